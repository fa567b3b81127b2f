"""A month of the demo town, stepped from one due time to the next; its people log as they do."""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

from bot.chat.client import point_at
from bot.chat.deliver import Deliverer
from bot.demo import saltmarsh
from bot.demo.people import PEOPLE, person
from bot.demo.season import Stand, season
from bot.records.changes import AddEntry, AddRule
from bot.records.facts import Entry
from bot.records.people import Asker
from bot.records.reminders import Pattern, Rule
from bot.rehearsal import ChatServer
from bot.reminders import Worker
from bot.stepping import SteppedClock
from bot.storage import Store, Writing, apply, migrate
from bot.storage.founding import Founding, Household, Resident, found, settle

pytestmark = pytest.mark.asyncio
BEGINS = datetime(2026, 5, 4, 12, tzinfo=UTC)
ENDS = BEGINS + timedelta(days=31)
NUMBERS = count(1)
# What people set beside what their records owe: (who, text, start, rrule, zone, in the room)
SET = (
    ("Tamsin", "rinse the filter", "2026-05-10T19:30", "FREQ=WEEKLY;BYDAY=SU", False),
    ("Tamsin", "look at the plugs", "2026-05-05T07:00", "FREQ=DAILY", False),
    ("Wenna", "seed day", "2026-05-09T18:00", "FREQ=WEEKLY;BYDAY=SA", True),
    ("Wenna", "bring your logs", "2026-05-09T18:00", "FREQ=WEEKLY;INTERVAL=2;BYDAY=SA", True),
)


async def test_a_month_of_the_town_is_on_time_and_once(tmp_path: Path) -> None:
    clock = SteppedClock(BEGINS)
    clock.run(0)
    url = f"sqlite+aiosqlite:///{tmp_path / 'tankwren.db'}"
    await asyncio.to_thread(migrate, url)
    server = ChatServer(now=clock.now)
    guild = server.add_guild(
        saltmarsh.COMMUNITY, room=saltmarsh.ROOM, id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID
    )
    for one in PEOPLE:
        server.add_person(one.name, guilds=[guild], id=one.user_id)
    server.limits.buckets["message-create"].limit = 1000
    await server.start()
    point_at(server.api_url, server.gateway_url)
    store = Store(url)
    stands = season(seed=7, until=ENDS)
    await _settled(store, stands)
    for who, text, start, rrule, room in SET:
        pattern = Pattern(start_local=start, rrule=rrule, zone="America/New_York")
        made = AddRule(rule=Rule(text=text, pattern=pattern, room=room))
        await _write(store, who, made, BEGINS)
    outbox = Deliverer(server.token)
    worker = Worker(store, clock, outbox)
    await worker.begin(alone=True)
    working = asyncio.create_task(worker.run())
    try:
        await _lived(store, clock, stands)
    finally:
        working.cancel()
        await asyncio.gather(working, return_exceptions=True)
        await outbox.close()
        await store.close()
        await server.stop()
    _on_time(tmp_path / "tankwren.db", server)


async def _settled(store: Store, stands: Sequence[Stand]) -> None:
    from bot.demo.feeds import SET_ON, metric, three_part, two_part

    town = Founding(
        guild_id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID, name=saltmarsh.COMMUNITY,
        time_zone="America/New_York", units="us", coach=saltmarsh.COACH,
        feeds=[two_part(), metric(), three_part()], rules=[("tap_ec", 0.4), ("target_ec", 1.7)],
        set_on=SET_ON, quiet=("21:00", "08:00"),
    )  # fmt: skip
    await found(store, town)
    people = [Resident(user_id=p.user_id, member=p.member) for p in PEOPLE if p.member]
    houses = [
        Household(
            tower=stand.tower,
            keepers=tuple(person(name).user_id for name in stand.keepers),
            entries=tuple(e for e in stand.entries if e.at <= BEGINS),
            plantings=stand.plantings,
        )
        for stand in stands
    ]
    await settle(store, saltmarsh.GUILD_ID, people, houses)


async def _write(store: Store, who: str, change: AddRule | AddEntry, now: datetime) -> None:
    asker = Asker(user_id=person(who).user_id, name=who, guild_id=saltmarsh.GUILD_ID, private=True)
    assert await apply(store, asker, Writing(changes=[change]), next(NUMBERS), now)


async def _lived(store: Store, clock: SteppedClock, stands: Sequence[Stand]) -> None:
    """Each line told at its own time, and everything due on the way."""
    async with store.single() as connection:
        rows = await connection.exec_driver_sql("SELECT id, name FROM tower")
        towers = {name: number for number, name in rows.all()}
    lines: list[tuple[datetime, str, Entry]] = [
        (entry.recorded_at or entry.at, stand.keepers[0], entry)
        for stand in stands
        for entry in stand.entries
        if entry.at > BEGINS
    ]
    assert len(lines) > 100
    for at, who, entry in sorted(lines, key=lambda one: one[0]):
        await clock.walk_to(at)
        change = AddEntry(tower_id=towers[entry.tower], entry=replace(entry, by="", id=0))
        await _write(store, who, change, clock.now())
    await clock.walk_to(ENDS)


def _on_time(database: Path, server: ChatServer) -> None:
    with closing(sqlite3.connect(database)) as connection:
        states = dict(connection.execute("SELECT state, count(*) FROM debt GROUP BY state"))
        late = connection.execute(
            "SELECT what, key, due, sent_at FROM debt JOIN rule ON rule.id = rule_id"
            " WHERE sent_at > datetime(due, '+2 seconds') OR missed > 0"
        ).fetchall()
        apart = connection.execute(
            "SELECT post_id FROM debt WHERE state = 'sent' AND post_id IS NOT NULL"
            " GROUP BY post_id HAVING count(DISTINCT due) > 1"
        ).fetchall()
        posts = dict(connection.execute("SELECT state, count(*) FROM post GROUP BY state"))
    assert late == []
    assert apart == []
    assert not {"folded", "failed", "held", "posted"} & set(states), states
    assert len(server.messages) == posts["sent"]
    texts = [one["content"].casefold() for one in server.messages]
    assert sum("look at the plugs" in text for text in texts) >= 31
    assert sum("seed day" in text for text in texts) == 4
    assert sum("bring your logs" in text for text in texts) == 2
    assert not any("late, due" in text or "more came due" in text for text in texts)
