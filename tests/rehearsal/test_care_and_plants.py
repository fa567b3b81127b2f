"""Outage, ports, harvest, stock and undo through the whole bot and a real file."""

from __future__ import annotations

import pytest

from bot.rehearsal import Seen
from tests.rehearsal.conftest import Town
from tests.rehearsal.test_reminders import posts, private, say, walk

pytestmark = pytest.mark.asyncio


async def test_an_outage_from_the_first_pour_to_the_restart_list(stepped: Town) -> None:
    """Nudges come every half hour, through quiet hours too, and end when the power is back."""
    await say(stepped, stepped.tamsin, "/settings quiet:11 am - 8 am")
    steps = await say(stepped, stepped.tamsin, "/outage heat:95F")
    assert steps.text.startswith("**Unplug the pump.")
    (begun,) = await stepped.tamsin.press(steps, "Remind me every 30 min")
    assert "every 30 min" in begun.text
    await walk(stepped, "2026-10-21T16:10")
    nudges = [t for t in posts(stepped, stepped.tamsin) if "pour by hand now" in t]
    assert len(nudges) == 4  # 10:30, 11:00, 11:30, 12:00 in New York
    last = private(stepped, stepped.tamsin)[-1]
    (back,) = await stepped.tamsin.press(last, "Power is back")
    assert "turn the dial forward 2.2 h" in back.text  # begun at 10:00, back at 12:10
    await walk(stepped, "2026-10-22T16:00")
    assert len([t for t in posts(stepped, stepped.tamsin) if "pour by hand now" in t]) == 4
    lines = stepped.rows("SELECT kind, note FROM entry ORDER BY id")
    assert lines == [("outage", None), ("outage", "power back after 130 min")]


async def test_a_new_interval_takes_the_place_of_the_old(stepped: Town) -> None:
    steps = await say(stepped, stepped.tamsin, "/outage")
    await stepped.tamsin.press(steps, "Remind me every 30 min")
    await stepped.tamsin.press(steps, "Remind me every 60 min")
    await walk(stepped, "2026-10-21T16:10")
    assert len([t for t in posts(stepped, stepped.tamsin) if "pour by hand now" in t]) == 2


async def test_planted_swapped_harvested_and_taken_back(town: Town) -> None:
    async def said(text: str) -> str:
        return (await town.tamsin.say(town.guild.room, text))[0].text

    assert "L4P5: parsley" in await said("/port plant crop:parsley ports:level 4 port 5")
    asked = (await town.tamsin.say(town.guild.room, "/port plant crop:basil ports:L4P5"))[0]
    assert "holds parsley" in asked.text
    (left,) = await town.tamsin.press(asked, "No, leave it")
    assert "Left as it is" in left.text
    assert "L1P1-L1P2: kale" in await said("/port plant crop:kale ports:L1P1, L1P2")
    assert "changed places" in await said("/port swap port:L4P5 to:L1P1")
    assert "3 of 30 ports grow, 27 empty" in await said("/port show")
    assert "L1P1 empty now" in await said("/harvest what:40 g parsley ports:L1P1")
    assert "2 of 30 ports grow" in await said("/port show")
    assert "Taken back" in await said("/undo")
    assert "3 of 30 ports grow" in await said("/port show")
    assert "Level 1: parsley 1, kale 2." in await said("/port show")


async def test_a_bottle_is_used_up_by_what_is_logged_and_full_again_by_undo(town: Town) -> None:
    """FEATURES M15: undo -> level and stock back as before."""

    async def said(text: str) -> str:
        return (await town.tamsin.say(town.guild.room, text))[0].text

    assert "A: 900 mL" in await said("/stock item:A left:900 ml size:1 l")
    await said("/log added:6 gal poured:48 ml each")
    assert "A: 852 mL" in await said("/stock item:a")
    await said("/undo")
    assert "A: 900 mL" in await said("/stock item:A")


async def test_the_room_never_hears_of_dates_away_ports_or_supplies(town: Town) -> None:
    """Slash commands answer only their asker, whoever reads in the room."""
    for text in (
        "/away days:9 use:1.3 gal",
        "/port show",
        "/stock",
        "/harvest what:3 heads romaine",
    ):
        seen = await town.tamsin.say(town.guild.room, text)
        assert all(one.where != "room" for one in seen)
    assert all(one.where != "room" for one in town.bram.history(town.guild.room))


async def test_the_coach_looks_into_the_tank(town: Town) -> None:
    await town.wenna.say(town.guild.room, "/setup")
    for text in ("/tank part:A label:N 5, Ca 4 weight:1.2", "/tank part:B label:0-3-6, S 1"):
        assert "Saved" in (await town.wenna.say(town.guild.room, text))[0].text
    shown = (await town.wenna.say(town.guild.room, "/tank"))[0].text
    assert "Ca 101" in shown and "A carries calcium" in shown
    kept = (await town.wenna.say(town.guild.room, "/feed parts:10 ml of A and of B per gal"))[0]
    assert "10 mL" in kept.text
    assert "Ca 127" in (await town.wenna.say(town.guild.room, "/tank"))[0].text


async def test_pictures_come_with_their_words(town: Town) -> None:
    """A table for the lid: said, drawn, and described for who does not see it."""
    lid = await say_once(town, "/tower picture what:lid tower:kitchen")
    assert "1.14 gal of water" in lid.text
    (file,) = lid.files
    assert (file.name, file.data[:4]) == ("lid.png", b"\x89PNG")
    assert "1.14 gal of water" in file.description
    assert len(file.data) <= 150_000


async def say_once(town: Town, text: str) -> Seen:
    (seen,) = await town.tamsin.say(town.guild.room, text)
    return seen
