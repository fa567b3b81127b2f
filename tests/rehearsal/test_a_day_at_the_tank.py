"""What people see and what is stored, through the platform's own protocol."""

from __future__ import annotations

import sqlite3

import pytest

from bot.chat.send import nonce_for
from bot.rehearsal import Fault, Refused, Seen
from tests.faults.office import fill, locked, until
from tests.rehearsal.conftest import Town

EPHEMERAL = 1 << 6

pytestmark = pytest.mark.asyncio


def only(seen: list[Seen]) -> Seen:
    assert len(seen) == 1, [s.text for s in seen]
    return seen[0]


async def test_a_topup_is_answered_only_to_its_asker(town: Town) -> None:
    seen = only(await town.tamsin.say(town.guild.room, "/topup level:half ec:1.9"))
    assert seen.where == "only you"
    assert seen.text.startswith("**Kitchen: add 8 gal water, to the line, pump off.**")
    assert "A 44 mL (3 tbsp)" in seen.text
    assert "Expect EC about 1.7 (1.15 before feed)." in seen.text
    shown = [m for m in town.server.messages if not int(str(m.get("flags", 0))) & EPHEMERAL]
    assert shown == []


async def test_a_sentence_with_the_same_facts_gets_the_same_numbers(town: Town) -> None:
    slash = only(await town.tamsin.say(town.guild.room, "/topup level:half ec:1.9"))
    said = only(
        await town.tamsin.say(town.guild.room, "tank's at half, meter says 1.9. what do i add")
    )
    assert said.where == "room"
    assert said.text == slash.text
    private = only(await town.tamsin.say(town.tamsin.private, "half, meter says 1.9"))
    assert private.where == "private"
    assert private.text == slash.text


async def test_the_bot_keeps_quiet_where_nobody_mentions_it(town: Town) -> None:
    seen = await town.tamsin.say(
        town.guild.room, "tank's at half, what do i add", mention=False, timeout_s=0.3
    )
    assert seen == []


async def test_a_new_member_saves_a_tower_and_uses_it(town: Town) -> None:
    ask = only(await town.bram.say(town.guild.room, "/topup level:half"))
    assert "How much does the tank hold" in ask.text
    await town.bram.say(town.guild.room, "/tower add name:back porch tank:40 l place:Outdoors")
    assert town.rows("SELECT name, tank_l, place FROM tower WHERE name = 'back porch'") == [
        ("back porch", 40.0, "outdoor")
    ]
    seen = only(await town.bram.say(town.guild.room, "/topup level:half"))
    assert "Back porch: add 20 L water" in seen.text
    shown = only(await town.bram.say(town.guild.room, "/tower show"))
    assert "40 L (10.6 US gal)" in shown.text
    await town.bram.say(town.guild.room, "/tower edit tower:back porch tank:36 l")
    assert town.rows("SELECT tank_l FROM tower WHERE name = 'back porch'") == [(36.0,)]
    seen = only(await town.bram.say(town.bram.private, "the porch is at half"))
    assert "add 18 L water" in seen.text


async def test_options_are_completed_from_ones_own_towers(town: Town) -> None:
    assert await town.tamsin.complete(town.guild.room, "/topup tower:ki") == [
        ("kitchen", "kitchen")
    ]
    assert await town.bram.complete(town.guild.room, "/topup tower:ki") == []
    feeds = await town.bram.complete(town.guild.room, "/dose feed:salt")
    assert feeds == [("Saltmarsh two-part", "Saltmarsh two-part")]


async def test_a_button_settles_the_question_and_is_remembered(town: Town) -> None:
    asked = only(await town.bram.say(town.guild.room, "/dose water:10 gal"))
    assert [b.label for b in asked.buttons] == ["US gallons", "UK gallons"]
    answered = only(await town.bram.press(asked, "UK gallons"))
    assert "10 UK gal" in answered.text
    assert town.rows("SELECT gallon FROM member WHERE name = 'Bram'") == [("uk",)]
    again = only(await town.bram.say(town.guild.room, "/dose water:10 gal"))
    assert again.buttons == []
    assert "10 UK gal" in again.text


async def test_a_button_is_its_owners_alone(town: Town) -> None:
    await town.tamsin.say(town.guild.room, "/tower add name:porch tank:10 gal")
    asked = only(await town.tamsin.say(town.guild.room, "half, no meter, what do i add"))
    assert asked.where == "room"
    assert [b.label for b in asked.buttons] == ["Kitchen", "Porch"]
    strange = only(await town.bram.press(asked, "Kitchen"))
    assert strange.where == "only you"
    assert "not yours, or too old" in strange.text
    assert "gal water" not in strange.text
    own = only(await town.tamsin.press(asked, "Porch"))
    assert own.text.startswith("**Porch: add 5 gal water")


async def test_a_press_twice_has_one_effect(town: Town) -> None:
    asked = only(await town.bram.say(town.guild.room, "/dose water:10 gal"))
    for _ in range(2):
        await town.bram.press(asked, "UK gallons")
    assert town.rows("SELECT count(*) FROM member WHERE name = 'Bram'") == [(1,)]
    assert town.rows("SELECT detail FROM audit WHERE what = 'SetMember'")[0] == (
        '{"setting": "gallon", "value": "uk"}',
    )


BAD = [
    "/topup level:18 gal",
    "/topup level:-3 gal",
    "/topup level:nan",
    "/topup level:1e309 l",
    "/topup level:9**9**9 l",
    "/topup level:half ec:19",
    "/topup level:half ec:-2",
    "/topup level:5 kg",
    "/topup level:27 in below full",
    "/topup level:half tower:shed",
    "/dose water:-1 l",
    "/dose water:@everyone",
    "/tower add name:kitchen tank:10 gal",
    "/tower add name:<@&1> tank:10 gal",
    "/tower edit tower:attic tank:10 gal",
    "/tower show tower:attic",
]


@pytest.mark.parametrize("text", BAD)
async def test_bad_input_gets_a_question_and_stores_nothing(town: Town, text: str) -> None:
    before = town.rows("SELECT * FROM tower"), town.rows("SELECT * FROM audit")
    seen = only(await town.tamsin.say(town.guild.room, text))
    assert seen.text.count("?") == 1
    assert "Traceback" not in seen.text
    assert "mL" not in seen.text or "tower:shed" in text
    assert (town.rows("SELECT * FROM tower"), town.rows("SELECT * FROM audit")) == before


async def test_the_platforms_own_limits_hold(town: Town) -> None:
    for text in ("/nope", "/tower add name:x", f"/topup level:{'x' * 81}", "/dose stage:elderly"):
        with pytest.raises(Refused):
            await town.tamsin.say(town.guild.room, text)


async def test_no_reply_mentions_anyone(town: Town) -> None:
    await town.tamsin.say(town.guild.room, "@everyone half, what do i add")
    await town.tamsin.say(town.guild.room, "/topup level:@here")
    for request in town.server.requests:
        if request["method"] == "POST" and isinstance(request["body"], dict):
            body = request["body"].get("data", request["body"])
            if isinstance(body, dict) and "content" in body:
                assert body.get("allowed_mentions") == {"parse": []} or (
                    body["allowed_mentions"]["parse"] == []
                )


async def test_a_message_is_sent_with_our_own_nonce(town: Town) -> None:
    await town.tamsin.say(town.guild.room, "half, what do i add")
    question = next(m for m in town.server.messages if "what do i add" in str(m["content"]))
    sent = [
        r["body"]
        for r in town.server.requests
        if r["method"] == "POST" and str(r["path"]).endswith("/messages")
    ]
    assert len(sent) == 1
    assert isinstance(sent[0], dict)
    assert sent[0]["nonce"] == nonce_for(f"message:{question['id']}")
    assert sent[0]["enforce_nonce"] is True


@pytest.mark.parametrize("created", [True, False])
async def test_a_server_error_on_a_reply_still_makes_one_message(town: Town, created: bool) -> None:
    town.server.script(
        Fault(method="POST", path_regex=r"/messages$", status=500, created=created, times=1)
    )
    await town.tamsin.say(town.guild.room, "half, what do i add", timeout_s=8)
    answers = [m for m in town.server.messages if "add 8 gal water" in str(m["content"])]
    assert len(answers) == 1


async def test_a_bug_gives_a_calm_sentence_with_a_code(
    town: Town, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr("bot.commands.desk.card", broken)
    for seen in (
        only(await town.tamsin.say(town.guild.room, "/topup level:half")),
        only(await town.tamsin.say(town.guild.room, "half, what do i add")),
    ):
        assert "Something went wrong here" in seen.text
        assert "secret" not in seen.text


async def test_a_locked_database_is_said_after_a_while_and_nothing_is_half_written(
    town: Town, monkeypatch: pytest.MonkeyPatch
) -> None:
    holder = sqlite3.connect(town.database, isolation_level=None, timeout=0)
    await until(lambda: locked(holder))
    seen = only(
        await town.tamsin.say(town.guild.room, "/tower add name:porch tank:10 gal", timeout_s=12)
    )
    holder.execute("ROLLBACK")
    holder.close()
    assert "can't reach my records" in seen.text
    assert town.rows("SELECT count(*) FROM tower") == [(1,)]
    again = only(await town.tamsin.say(town.guild.room, "/tower add name:porch tank:10 gal"))
    assert "Saved: porch" in again.text


async def test_on_a_full_disk_nothing_is_confirmed_and_nothing_half_written(town: Town) -> None:
    await fill(town.store, full=True)
    for number in range(45):
        text = f"/reminders new about:{'x' * 190}{number} when:tomorrow 8 am"
        seen = only(await town.tamsin.say(town.guild.room, text))
        if "can't reach my records" in seen.text:
            break
    before = town.rows("SELECT count(*) FROM rule WHERE what = 'note'")
    assert "nothing was saved" in seen.text
    assert before == [(number,)]
    await fill(town.store, full=False)
    again = only(await town.tamsin.say(town.guild.room, text))
    assert "can't reach" not in again.text
    assert town.rows("SELECT count(*) FROM rule WHERE what = 'note'") == [(number + 1,)]


async def test_the_connection_is_taken_up_again(town: Town) -> None:
    town.server.drop_gateway()
    await town.server.wait_ready()
    seen = only(await town.tamsin.say(town.guild.room, "/topup level:half", timeout_s=10))
    assert "add 8 gal water" in seen.text
