"""People of an invented town with reminders to send, and a worker that can be killed."""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, closing, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from sqlalchemy import update

from bot.chat.client import point_at
from bot.chat.deliver import Deliverer
from bot.demo import saltmarsh
from bot.records.changes import AddRule, Change
from bot.records.facts import Member
from bot.records.people import Asker
from bot.records.reminders import Pattern, Rule
from bot.rehearsal import ChatServer, Guild, Person
from bot.reminders import Worker
from bot.stepping import SteppedClock
from bot.storage import Store, Writing, apply, load_book, migrate
from bot.storage.founding import Founding, Resident, found, settle
from bot.storage.models import member
from bot.storage.reminding.leases import Lease
from bot.watch import Pulse

NOW = datetime(2026, 5, 11, 12, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)
COACH = 0
NUMBERS = count(1)


@dataclass(slots=True)
class Office:
    """people[0] is the coach. The calendar stands until it is stepped; all else is real time."""

    server: ChatServer
    guild: Guild
    people: list[Person]
    url: str
    clock: SteppedClock
    store: Store
    lease_s: float = 30.0
    pulse: Pulse = field(default_factory=Pulse)
    worker: Worker | None = None
    _task: asyncio.Task[None] | None = None
    _outbox: Deliverer | None = None

    @property
    def database(self) -> Path:
        return Path(self.url.removeprefix("sqlite+aiosqlite:///"))

    def asker(self, whose: int) -> Asker:
        one = self.people[whose]
        return Asker(user_id=one.id, name=one.name, guild_id=self.guild.id, private=True)

    async def write(self, whose: int, *changes: Change) -> None:
        writing = Writing(changes=changes)
        await apply(self.store, self.asker(whose), writing, next(NUMBERS), self.clock.now())

    async def remind(
        self, whose: int, text: str, at: datetime, *, rrule: str = "", room: bool = False
    ) -> None:
        start = at.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="minutes")
        pattern = Pattern(start_local=start, rrule=rrule, zone="UTC")
        await self.write(whose, AddRule(rule=Rule(text=text, pattern=pattern, room=room)))

    async def rule_id(self, whose: int, text: str) -> int:
        book = await load_book(self.store, self.asker(whose), self.clock.now(), whole=True)
        rules = (*book.reminding.rules, *book.reminding.room)
        return next(rule.id for rule in rules if rule.text == text)

    # The worker

    async def start(self, *, alone: bool = True) -> None:
        self._outbox = Deliverer(self.server.token)
        self.worker = Worker(self.store, self.clock, self._outbox,
                             lease=Lease(seconds=self.lease_s), pulse=self.pulse)  # fmt: skip
        await self.worker.begin(alone=alone)
        self._task = asyncio.create_task(self.worker.run())

    async def stop(self) -> None:
        """In good order, as on SIGTERM."""
        if self._task is None or self._outbox is None:
            return
        self._task.cancel()
        await asyncio.gather(self._task, return_exceptions=True)
        await self._outbox.close()
        self._task = None

    async def kill(self) -> None:
        """As kill -9: nothing is finished, nothing given back, every connection gone."""
        assert self.worker is not None
        sending = list(self.worker._sending.values())
        for task in sending:
            task.cancel()
        await asyncio.gather(*sending, return_exceptions=True)
        self.worker._finish = _nothing  # type: ignore[method-assign]
        await self.stop()
        await self.store.close()
        self.store = Store(self.url)

    async def due(self, wanted: int, within_s: float = 30.0) -> None:
        """An hour later: until so many messages were created, and their word is kept."""
        self.clock.step_to(max(self.clock.now(), NOW) + HOUR)
        await self.settled(wanted, within_s)

    async def settled(self, wanted: int, within_s: float = 30.0) -> None:
        """Until so many messages stand there, and nothing is on its way."""
        open_ = "SELECT count(*) FROM post WHERE state = 'open'"
        try:
            await until(
                lambda: len(self.server.messages) >= wanted and self.rows(open_) == [(0,)], within_s
            )
        except TimeoutError:
            states = self.rows("SELECT state, count(*) FROM debt GROUP BY state")
            raise AssertionError((len(self.server.messages), wanted, states)) from None

    # What stands there

    def rows(self, query: str) -> list[tuple[object, ...]]:
        with closing(sqlite3.connect(self.database, timeout=30)) as connection:
            return connection.execute(query).fetchall()

    def states(self, whose: int | None = None) -> list[str]:
        """Of the reminders that were set, not of notices."""
        mine = "" if whose is None else f" AND user_id = {self.people[whose].id}"
        query = (
            "SELECT debt.state FROM debt JOIN rule ON rule.id = rule_id"
            " JOIN member ON member.id = debt.member_id"
            f" WHERE what = 'note'{mine} ORDER BY debt.id"
        )
        return [str(state) for (state,) in self.rows(query)]

    def times(self, text: str) -> int:
        """How many messages that were ever created say it."""
        return sum(text.casefold() in m["content"].casefold() for m in self.server.messages)

    def tries(self, whose: int | None = None) -> list[int]:
        """The status of each request to make a message, of one person's or of all; 0: no answer."""
        end = "/messages"
        where = "" if whose is None else f"/channels/{self.people[whose].private.id}"
        return [
            one.get("status", 0)
            for one in self.server.requests
            if one["method"] == "POST" and one["path"].endswith(where + end)
        ]


async def _nothing() -> None:
    return


async def until(holds: Callable[[], bool], within_s: float = 30.0) -> None:
    """Real time passes for leases, waits and the disk until it holds; too long is a failure."""
    async with asyncio.timeout(within_s):
        while not holds():
            await asyncio.sleep(0.01)


def locked(holder: sqlite3.Connection) -> bool:
    """The bot may be writing just now: it is waited for, in its own loop."""
    with suppress(sqlite3.OperationalError):
        holder.execute("BEGIN IMMEDIATE")
    return holder.in_transaction


async def fill(store: Store, *, full: bool) -> None:
    """The writing connection may take no page more, as on a full disk; or as many as it likes."""
    async with store._open(store._bare) as connection:
        pages = (await connection.exec_driver_sql("PRAGMA page_count")).scalar()
        most = pages if full else 1_000_000
        await connection.exec_driver_sql(f"PRAGMA max_page_count = {most}")


@asynccontextmanager
async def office(
    folder: Path,
    people: int = 4,
    *,
    now: datetime = NOW,
    strangers: bool = False,
    lease_s: float = 30.0,
) -> AsyncIterator[Office]:
    """A town with so many people beside the coach; strangers: their channels are not open yet."""
    url = f"sqlite+aiosqlite:///{folder / 'tankwren.db'}"
    await asyncio.to_thread(migrate, url)
    clock = SteppedClock(now)
    clock.run(0)
    server = ChatServer(now=clock.now)
    guild = server.add_guild(
        saltmarsh.COMMUNITY, room=saltmarsh.ROOM, id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID
    )
    names = ["Wenna", *(f"Bram {number}" for number in range(1, people + 1))]
    persons = [server.add_person(name, guilds=[guild], coach=name == "Wenna") for name in names]
    await server.start()
    point_at(server.api_url, server.gateway_url)
    made = Office(server, guild, persons, url, clock, Store(url), lease_s)
    try:
        await _settled(made, strangers=strangers)
        yield made
    finally:
        await made.stop()
        await made.store.close()
        await server.stop()
    assert server.board.surprises == []


async def _settled(made: Office, *, strangers: bool) -> None:
    town = Founding(
        guild_id=made.guild.id, room_id=saltmarsh.ROOM_ID, name=saltmarsh.COMMUNITY,
        time_zone="UTC", units="us", coach="Wenna", feeds=[], rules=[], set_on=NOW.date(),
    )  # fmt: skip
    await found(made.store, town)
    residents = [
        Resident(
            user_id=one.id,
            member=Member(
                name=one.name, time_zone="UTC", role="coach" if one.name == "Wenna" else "member"
            ),
        )
        for one in made.people
    ]
    await settle(made.store, made.guild.id, residents, [])
    if strangers:
        return
    async with made.store.write() as connection:
        for one in made.people:
            this = update(member).where(member.c.user_id == one.id)
            await connection.execute(this.values(channel_id=one.private.id))
