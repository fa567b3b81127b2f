"""What only the coach can answer, replies corrected, sick plants, and logging by talking."""

from __future__ import annotations

import pytest

from bot.rehearsal import Person, Refused
from tests.rehearsal.conftest import Town
from tests.rehearsal.test_reminders import in_room, private, settled, walk

pytestmark = pytest.mark.asyncio

NETS = "how do i keep birds off the plants"


async def asked(town: Town, who: Person, text: str) -> str:
    """A sentence in private; what came back."""
    seen = await who.say(who.private, text)
    await settled(town)
    return seen[0].text


async def test_a_question_waits_for_the_coach_and_its_answer_comes_to_whoever_asked(
    stepped: Town,
) -> None:
    await stepped.wenna.say(stepped.guild.room, "/setup")
    assert "coach's list" in await asked(stepped, stepped.tamsin, NETS)
    assert "coach's list" in await asked(stepped, stepped.tamsin, NETS.upper())
    assert stepped.rows("SELECT text, count FROM waiting") == [(NETS, 2)]
    listed = (await stepped.wenna.say(stepped.wenna.private, "what questions are unanswered"))[0]
    assert f"1. “{NETS}” Tamsin, 2 times" in listed.text
    (form,) = await stepped.wenna.press(listed, "Answer 1")
    (kept,) = await stepped.wenna.submit(form, {"text": "A net on hoops, off the leaves."})
    assert "Sent to whoever asked" in kept.text
    assert stepped.rows("SELECT count(*) FROM waiting") == [(0,)]
    await walk(stepped, "2026-10-21T14:05")
    told = private(stepped, stepped.tamsin)[-1].text
    assert told.startswith("**Wenna has answered") and "A net on hoops" in told
    # Who asks again has the coach's words at once.
    assert "A net on hoops" in await asked(stepped, stepped.tamsin, f"{NETS}?")


async def test_a_members_question_is_the_coachs_to_see_only(stepped: Town) -> None:
    await stepped.wenna.say(stepped.guild.room, "/setup")
    await asked(stepped, stepped.tamsin, NETS)
    refused = await asked(stepped, stepped.bram, "what questions are unanswered")
    assert NETS not in refused
    assert all(NETS not in seen.text for seen in in_room(stepped))


async def test_what_no_list_should_hold_is_stored_nowhere(stepped: Town) -> None:
    await stepped.wenna.say(stepped.guild.room, "/setup")
    for text in ("🍅🍅🍅", "сколько воды", "a" * 1900, "@everyone how do i prune my basil plants",
                 "see https://example.invalid how to prune basil plants", "asdf lol"):  # fmt: skip
        await stepped.tamsin.say(stepped.tamsin.private, text)
    assert stepped.rows("SELECT * FROM waiting") == []


async def test_the_coach_corrects_a_reply_where_it_stands(stepped: Town) -> None:
    await stepped.wenna.say(stepped.guild.room, "/setup")
    (reply,) = await stepped.bram.say(stepped.guild.room, NETS)
    (no,) = await stepped.bram.press(reply, "Coach: correct")
    assert "coach's to set" in no.text
    (form,) = await stepped.wenna.press(reply, "Coach: correct")
    seen = await stepped.wenna.submit(form, {"text": "A net on hoops, *never* on the leaves."})
    assert any("I now answer" in one.text for one in seen)
    shown = next(one for one in in_room(stepped) if "on hoops" in one.text)
    assert shown.text.startswith("**A net on hoops, \\*never\\* on the leaves.**")
    assert "Wenna, coach" in shown.text
    (again,) = await stepped.bram.say(stepped.guild.room, f"hey, {NETS}")
    assert "A net on hoops" in again.text


async def test_one_form_of_four_menus_for_a_sick_plant(stepped: Town) -> None:
    await stepped.wenna.say(stepped.guild.room, "/setup")
    (first,) = await stepped.tamsin.say(
        stepped.tamsin.private, "the old leaves of the basil go yellow"
    )
    assert "coach's list" in first.text and "No sprays" in first.text
    (form,) = await stepped.tamsin.press(first, "Look closer")
    assert [field.custom_id for field in form.fields] == ["where", "leaves", "roots", "readings"]
    assert next(f.value for f in form.fields if f.custom_id == "leaves") == "old"
    with pytest.raises(Refused):
        await stepped.tamsin.submit(form, {"where": "no such place"})
    told = {"where": "low", "leaves": "old", "roots": "slimy", "readings": "ec_low"}
    (steps,) = await stepped.tamsin.submit(form, told)
    for words in ("Slimy roots", "Old leaves pale first", "Low levels only", "EC under the target"):
        assert words in steps.text
    assert not any(word in steps.text.casefold() for word in ("peroxide", "bleach", "spoon"))
    (row,) = stepped.rows("SELECT text, count FROM waiting")
    assert "Brown, slimy" in str(row[0]) and row[1] == 1


async def test_a_line_told_and_mended_by_talking(stepped: Town) -> None:
    assert "EC 1.8, pH 6.1" in await asked(stepped, stepped.tamsin, "kitchen ec 1.8 ph 6.1")
    assert "EC 1.9, pH 6.1" in await asked(stepped, stepped.tamsin, "no, ec 1.9")
    assert "30 mL of each" in await asked(stepped, stepped.tamsin, "put 30 of each in the kitchen")
    assert "32 mL of each" in await asked(stepped, stepped.tamsin, "sorry, 32 each")
    again = await asked(stepped, stepped.tamsin, "gave the kitchen 30 ml of each")
    assert "Is this one more?" in again and "32 mL of each" in again
    assert "Taken back" in await asked(stepped, stepped.tamsin, "undo")
    undone = "SELECT undoes_id FROM entry WHERE undoes_id IS NOT NULL"
    poured = f"SELECT amounts FROM entry WHERE undoes_id IS NULL AND id NOT IN ({undone})"
    assert all("32" not in str(row) for row in stepped.rows(poured))
