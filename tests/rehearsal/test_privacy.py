"""The privacy drill: export, forget, and a search of the raw files; homes; what the room shows."""

from __future__ import annotations

import json
import logging
import struct
from datetime import timedelta
from pathlib import Path

import pytest

from bot.rehearsal import Person, Seen
from bot.rehearsal.world import BOT_PERMISSIONS, PIN, SEND
from tests.rehearsal.conftest import Town

pytestmark = pytest.mark.asyncio
EPHEMERAL = 1 << 6
MARKER = "Quillonby"  # a name that nothing else in the files can hold
NOTE = "marigoldnote"


def only(seen: list[Seen]) -> Seen:
    assert len(seen) == 1, [s.text for s in seen]
    return seen[0]


def traces(database: Path, person: Person) -> list[str]:
    """Where a person's name, number or words stand in the files, byte for byte."""
    wanted = {
        "name": MARKER.encode(),
        "name, small": MARKER.lower().encode(),
        "note": NOTE.encode(),
        "number as text": str(person.id).encode(),
        "number as stored": struct.pack(">q", person.id),
    }
    files = [f for f in database.parent.iterdir() if f.name.startswith(database.name)]
    assert files
    return [
        f"{what} in {file.name}"
        for file in files
        for what, raw in wanted.items()
        if raw in file.read_bytes()
    ]


async def lived(town: Town, who: Person) -> None:
    """Somebody who leaves a trace everywhere that the bot writes."""
    for text in (
        "/settings jug:5 l finger:17 mm",
        "/tower add name:quillonby shed tank:40 l place:Outdoors",
        f"/log level:half ec:1.9 note:{NOTE}",
        "/log added:10 l poured:20 ml each",
        "/topup level:half",
        "/tower share person:Bram tower:quillonby shed",
        "/tower add name:quillonby attic tank:30 l",
        f"/log level:half tower:quillonby attic note:{NOTE}",
        "/undo",
        "/start",
    ):
        await who.say(town.guild.room, text)
        if "share" in text:
            shown = only(await town.bram.say(town.guild.room, "/topup level:half"))
            await town.bram.press(shown, "Keep quillonby shed too")
        town.clock.step_to(town.clock.now() + timedelta(minutes=1))
    await who.say(who.private, "start")


async def test_forgotten_means_gone_from_the_files(town: Town) -> None:
    """RELIABILITY S12: export, delete, search the raw file and its write-ahead log: 0 hits."""
    who = town.server.add_person(MARKER, guilds=[town.guild])
    await lived(town, who)
    assert len(traces(town.database, who)) >= 4  # the search finds what is there
    told = only(await who.say(town.guild.room, "/mydata export"))
    assert told.where == "only you"
    records = json.loads(told.files[0].data)
    assert {t["name"] for t in records["towers"]} == {"quillonby shed", "quillonby attic"}
    assert len(records["log"]) == 2
    asked = only(await who.say(town.guild.room, "/mydata forget"))
    assert "Really?" in asked.text
    done = only(await who.press(asked, "Forget me"))
    assert "I keep nothing about you" in done.text
    found = traces(town.database, who)
    # the shared tower stays with its other keeper, under the name that both used
    assert [f for f in found if not f.startswith("name, small")] == []
    history = only(await town.bram.say(town.guild.room, "/tower history"))
    assert "a member" in history.text and NOTE not in history.text
    assert MARKER not in history.text.replace("Quillonby shed", "")  # the tower, named by both
    await town.bram.say(town.guild.room, "/tower edit tower:quillonby shed name:shed")
    await town.bram.say(town.guild.room, "/mydata forget")
    again = only(await who.say(town.guild.room, "/mydata forget"))
    assert "I keep nothing about you" in again.text


async def test_nothing_at_all_is_left_of_somebody_alone(town: Town) -> None:
    who = town.server.add_person(MARKER, guilds=[town.guild])
    await who.say(town.guild.room, "/tower add name:quillonby shed tank:40 l")
    await who.say(town.guild.room, f"/log level:half note:{NOTE}")
    await who.press(only(await who.say(town.guild.room, "/topup level:half")), "Filled as shown")
    asked = only(await who.say(town.guild.room, "/mydata forget"))
    old = only(await who.say(town.guild.room, "/topup level:half"))
    await who.press(asked, "Forget me")
    assert traces(town.database, who) == []
    pressed = only(await who.press(old, "Filled as shown"))
    assert "not yours, or too old" in pressed.text
    assert traces(town.database, who) == []


async def test_a_forgotten_coach_leaves_rules_without_a_name(town: Town) -> None:
    head = town.server.add_person(MARKER, guilds=[town.guild], coach=True)
    await head.say(town.guild.room, "/setup")
    await head.say(town.guild.room, "/policy rule:ph_low value:5.4")
    asked = only(await head.say(town.guild.room, "/mydata forget"))
    await head.press(asked, "Forget me")
    assert traces(town.database, head) == []
    assert town.rows("SELECT value, by FROM policy WHERE key = 'ph_low'") == [(5.4, None)]


async def test_an_export_brought_in_again_is_all_there(town: Town) -> None:
    who = town.server.add_person(MARKER, guilds=[town.guild])
    await who.say(town.guild.room, "/tower add name:shed tank:40 l")
    await who.say(town.guild.room, f"/log level:half note:{NOTE}")
    file = only(await who.say(town.guild.room, "/mydata export")).files[0]
    asked = only(await who.say(town.guild.room, "/mydata forget"))
    await who.press(asked, "Forget me")
    back = only(
        await who.say(
            town.guild.room, "/mydata import file:mine.json", files=[("mine.json", file.data)]
        )
    )
    assert "New towers: 1, new log lines: 1" in back.text
    assert NOTE in only(await who.say(town.guild.room, "/tower history")).text
    for name, data in (("x.json", b"\xff\xfe\x00"), ("x.zip", b"PK"), ("x.csv", b"a,b\n1,2")):
        seen = only(
            await who.say(town.guild.room, f"/mydata import file:{name}", files=[(name, data)])
        )
        assert "othing was imported" in seen.text


async def test_logs_hold_ids_and_never_texts(town: Town, caplog: pytest.LogCaptureFixture) -> None:
    """RELIABILITY S11."""
    caplog.set_level(logging.DEBUG, "discord")
    who = town.server.add_person("Marek", guilds=[town.guild])
    await who.say(town.guild.room, "/tower add name:shed tank:40 l")
    await who.say(town.guild.room, f"/log level:half note:{NOTE}")
    ours = [r.getMessage() for r in caplog.records if not r.name.startswith("discord")]
    assert not any(NOTE in text for text in ours)
    room = [m for m in town.server.messages if not int(str(m.get("flags", 0))) & EPHEMERAL]
    assert not any(NOTE in str(m) for m in room)


async def test_someone_in_two_communities_is_asked_once_which_is_home(town: Town) -> None:
    harbour = town.server.add_guild("Harbour", room="tubs")
    who = town.server.add_person("Marek", guilds=[town.guild, harbour])
    await who.say(town.guild.room, "/tower add name:shed tank:40 l")
    await who.say(harbour.room, "/tower add name:barge tank:80 l")
    asked = only(await who.say(who.private, "half, what do i add"))
    assert asked.text.count("?") == 1
    assert [b.label for b in asked.buttons] == ["Saltmarsh Growers", "Harbour"]
    await who.press(asked, "Harbour")
    own = only(await who.say(who.private, "/tower show"))
    assert "Barge" in own.text
    here = only(await who.say(town.guild.room, "/tower show"))
    assert "Shed" in here.text


async def test_a_wish_for_private_answers_is_kept(town: Town) -> None:
    await town.tamsin.say(town.guild.room, "/settings answers:To me alone")
    asked = only(await town.tamsin.say(town.guild.room, "half, what do i add"))
    assert [b.label for b in asked.buttons] == ["Just for me"]
    assert "gal" not in asked.text
    mine = only(await town.tamsin.press(asked, "Just for me"))
    assert mine.where == "only you" and "add 8 gal water" in mine.text


@pytest.mark.parametrize(("gone", "name"), [(PIN, "Pin Messages"), (SEND, "Send Messages")])
async def test_a_missing_permission_is_named_and_nothing_half_done(
    town: Town, gone: int, name: str
) -> None:
    town.guild.bot_permissions = BOT_PERMISSIONS & ~gone
    first = only(await town.wenna.say(town.guild.room, "/setup"))
    assert f"I lack: {name}" in first.text
    post = only(await town.wenna.press(first, "Go on"))
    seen = await town.wenna.press(post, "Post and pin")
    assert ("may not post" if gone == SEND else "could not pin") in seen[-1].text
    town.guild.bot_permissions = BOT_PERMISSIONS
    again = await town.wenna.press(post, "Post and pin")
    assert "Done." in again[-1].text
    posts = [m for m in town.server.messages if "New here" in str(m["content"])]
    shown = [m for m in posts if not int(str(m.get("flags", 0))) & EPHEMERAL and not m["deleted"]]
    assert len(shown) == 1
