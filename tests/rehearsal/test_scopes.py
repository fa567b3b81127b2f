"""Who may what: every command as member, coach, ex-coach, from another community, in private.

List-driven over the command tree: a new command that is in no list fails.
"""

from __future__ import annotations

import sqlite3

import pytest
from discord import app_commands

from bot.chat.client import TowerClient
from bot.clock import SystemClock
from bot.commands.desk import Desk
from bot.commands.tree import command_tree
from bot.rehearsal import Person, Refused, Seen
from bot.rehearsal.world import Channel
from bot.storage import Store
from tests.rehearsal.conftest import Town

# One good call of each command, and whether only a coach may.
CALLS = {
    "help": ("/help", False),
    "start": ("/start", False),
    "settings": ("/settings jug:5 l", False),
    "topup": ("/topup level:half", False),
    "dose": ("/dose", False),
    "log": ("/log level:half", False),
    "undo": ("/undo", False),
    "check": ("/check ec:1.9", False),
    "schedule": ("/schedule", False),
    "reminders new": ("/reminders new about:rinse when:every sunday 8 am", False),
    "reminders list": ("/reminders list", False),
    "reminders change": ("/reminders change which:1 when:9 am", False),
    "reminders stop": ("/reminders stop which:1", False),
    "reminders calendar": ("/reminders calendar", False),
    "timer": ("/timer timer:15/45", False),
    "lamp": ("/lamp ppfd:280 dli:16", False),
    "ph": ("/ph drops:2 level:half", False),
    "source": ("/source water:Tap hardness:154 mg/L", False),
    "heat": ("/heat temp:83F level:11 gal", False),
    "outage": ("/outage", False),
    "clean": ("/clean", False),
    "away": ("/away days:9 use:1.3 gal", False),
    "plan": ("/plan crop:lettuce per_week:5 germination:70 %", False),
    "port show": ("/port show", False),
    "port plant": ("/port plant crop:parsley ports:L4P5", False),
    "port move": ("/port move port:L4P5 to:L1P2", False),
    "port swap": ("/port swap port:L4P5 to:L1P2", False),
    "port clear": ("/port clear ports:L4P5", False),
    "harvest": ("/harvest what:340 g lettuce", False),
    "stock": ("/stock item:A left:900 ml use:48 ml", False),
    "group plugs": ("/group plugs people:27 each:9 spare:15 % seeds:2", False),
    "group share": ("/group share total:124.50 shipping:24 shares:11 mine:2", False),
    "group notice": ("/group notice about:heat temp:97F", True),
    "tank": ("/tank part:A label:N 5, Ca 4", True),
    "tower add": ("/tower add name:shed tank:40 l", False),
    "tower show": ("/tower show", False),
    "tower edit": ("/tower edit tower:kitchen target:1.6", False),
    "tower picture": ("/tower picture what:lid", False),
    "tower history": ("/tower history", False),
    "tower share": ("/tower share person:Bram tower:kitchen", False),
    "tower leave": ("/tower leave", False),
    "tower pack-away": ("/tower pack-away tower:kitchen", False),
    "mydata export": ("/mydata export", False),
    "mydata forget": ("/mydata forget", False),
    "setup": ("/setup", True),
    "feed": ("/feed name:Own parts:1 ml of each per l", True),
    "policy": ("/policy rule:ph_low value:5.4", True),
}
WITH_A_FILE = {"mydata import"}
COACHS = [name for name, (_, coach) in CALLS.items() if coach]
MEMBERS = [name for name, (_, coach) in CALLS.items() if not coach]


def test_every_command_is_in_the_matrix() -> None:
    tree = command_tree(
        TowerClient(), Desk(Store("sqlite+aiosqlite:////nowhere.db"), SystemClock())
    )
    leaves = {c.qualified_name for c in tree.walk_commands() if isinstance(c, app_commands.Command)}
    assert leaves == set(CALLS) | WITH_A_FILE


def facts(town: Town) -> list[tuple[object, ...]]:
    """Everything the community has set, to be the same after a refusal."""
    tables = ("community", "feed", "policy", "note", "member", "tower", "entry", "keeper",
              "planting", "supply")  # fmt: skip
    connection = sqlite3.connect(town.database)
    try:
        return [row for t in tables for row in connection.execute(f"SELECT '{t}', * FROM {t}")]
    finally:
        connection.close()


async def said(who: Person, where: Channel, text: str) -> str:
    """What came back; the platform's own refusal counts as one."""
    try:
        seen: list[Seen] = await who.say(where, text)
    except Refused as refused:
        return f"refused by the platform: {refused}"
    assert all(s.where != "room" for s in seen)
    return "\n".join(s.text for s in seen) or "form"


def shown_to_all(town: Town) -> None:
    """As if a server's manager had granted the coach's commands to everybody."""
    for command in town.server.board.registry.visible(town.guild.id):
        command["default_member_permissions"] = None


REFUSALS = ("the coach's to set", "in a room of your community", "refused by the platform")


@pytest.mark.asyncio
async def test_what_is_the_coachs_is_refused_to_all_others(town: Town) -> None:
    """Member, ex-coach, other community and private; shown to all or not; nothing is written."""
    await town.wenna.say(town.guild.room, "/setup")  # who runs the server is the first coach
    await town.wenna.say(town.guild.room, "/setup coach:Bram")
    await town.wenna.say(town.guild.room, "/setup former:Bram")  # Bram is an ex-coach now
    harbour = town.server.add_guild("Harbour", room="tubs")
    stranger = town.server.add_person("Marek", guilds=[harbour])
    tried = 0
    for granted in (False, True):
        if granted:
            shown_to_all(town)
        before = facts(town)
        for name in COACHS:
            for who, where in (
                (town.tamsin, town.guild.room),
                (town.bram, town.guild.room),
                (stranger, harbour.room),
                (town.tamsin, town.tamsin.private),
                (town.wenna, town.wenna.private),
            ):
                text = await said(who, where, CALLS[name][0])
                assert any(no in text for no in REFUSALS), (name, who.name, text)
                tried += 1
        assert facts(town) == before
    assert tried == 2 * len(COACHS) * 5


@pytest.mark.asyncio
@pytest.mark.parametrize("name", COACHS)
async def test_the_coach_may(town: Town, name: str) -> None:
    await town.wenna.say(town.guild.room, "/setup")
    text = await said(town.wenna, town.guild.room, CALLS[name][0])
    assert not any(no in text for no in REFUSALS)


@pytest.mark.asyncio
@pytest.mark.parametrize("name", MEMBERS)
async def test_members_are_answered_in_the_room_and_in_private(town: Town, name: str) -> None:
    for where in (town.guild.room, town.tamsin.private):
        text = await said(town.tamsin, where, CALLS[name][0])
        assert not any(no in text for no in REFUSALS), text
        assert "went wrong" not in text


@pytest.mark.asyncio
async def test_an_ex_coachs_old_buttons_do_nothing(town: Town) -> None:
    await town.wenna.say(town.guild.room, "/setup")
    await town.wenna.say(town.guild.room, "/setup coach:Bram")
    shown_to_all(town)
    rule = (await town.bram.say(town.guild.room, "/policy rule:ph_low"))[0]
    form = (await town.bram.press(rule, "Set it"))[0]
    await town.wenna.say(town.guild.room, "/setup former:Bram")
    before = facts(town)
    seen = await town.bram.submit(form, {"rule": "ph_low", "value": "5.4"})
    assert "coach's to set" in seen[0].text
    assert facts(town) == before


@pytest.mark.asyncio
async def test_the_last_coach_stays_one(town: Town) -> None:
    await town.wenna.say(town.guild.room, "/setup")
    text = await said(town.wenna, town.guild.room, "/setup former:Wenna")
    assert "needs one coach at least" in text
    assert town.rows("SELECT role FROM member WHERE name = 'Wenna'") == [("coach",)]


@pytest.mark.asyncio
async def test_two_communities_are_strictly_apart(town: Town) -> None:
    """One person in both, the same names on both sides, other towers, feeds, rules and notes."""
    harbour = town.server.add_guild("Harbour", room="tubs")
    both = town.server.add_person("Marek", guilds=[town.guild, harbour])
    head = town.server.add_person("Oona", guilds=[harbour], coach=True)
    await head.say(harbour.room, "/setup")
    await head.say(harbour.room, "/feed name:Harbour mix parts:3 ml of each per l gain:2")
    await head.say(harbour.room, "/policy rule:target_ec value:2.2")
    await both.say(harbour.room, "/tower add name:kitchen tank:99 l")
    await both.say(harbour.room, "/log level:90 l ec:1.5")
    await both.say(town.guild.room, "/tower add name:kitchen tank:30 l")
    here = await said(both, town.guild.room, "/tower show")
    there = await said(both, harbour.room, "/tower show")
    assert ("7.9 gal" in here or "30 L" in here) and "99" not in here and "2.2" not in here
    assert "99 L" in there and "Harbour mix" in there and "EC 2.2" in there
    assert "1.5" not in await said(both, town.guild.room, "/tower history")
    assert await town.tamsin.complete(town.guild.room, "/topup tower:k") == [("kitchen", "kitchen")]
    feeds = await head.complete(harbour.room, "/dose feed:")
    assert feeds == [("Harbour mix", "Harbour mix")]
    export = (await both.say(harbour.room, "/mydata export"))[0].files[0].data.decode()
    assert "Saltmarsh" not in export and "113562" not in export  # 30 L in US gallons' litres
    foreign = await said(head, harbour.room, "/tower share person:Tamsin")
    assert "don't see that person" in foreign or "refused by the platform" in foreign
    assert town.rows("SELECT count(*) FROM keeper WHERE NOT accepted") == [(0,)]
