"""Who is reminded of what: every text once in the whole run, so that each message can be told."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import select, update

from bot.demo import saltmarsh
from bot.records.changes import AddRule
from bot.records.facts import Member
from bot.records.reminders import MOST_ROOM_RULES, Pattern, Rule
from bot.rehearsal import ChatServer, Guild
from bot.storage import Store
from bot.storage.founding import Founding, Resident, found, settle
from bot.storage.models import community, member
from bot.storage.people import Writer
from bot.storage.reminding.rules import add_rule

PEOPLE = 60
_EACH = 40  # reminders of one person, under the store's limit of 50
_STRANGERS = 5  # every fifth person's private channel is not known yet: it must be opened
_BURST = 24
_BURSTY = 0.4  # of all reminders, fall due in bursts
_FIRST_S = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """One reminder; its text is nowhere else in the run.

    whose: a person by their place in the town; None: the room.
    """

    text: str
    due: datetime
    whose: int | None


def planned(count: int, begins: datetime, span_s: float, rng: random.Random) -> list[Planned]:
    """Reminders that fall due all through the run, some many at once."""
    bursty = int(count * _BURSTY)
    bursts = [rng.uniform(_FIRST_S, span_s) for _ in range(max(1, bursty // _BURST))]
    moments = [rng.choice(bursts) + rng.uniform(0, 0.3) for _ in range(bursty)]
    moments += [rng.uniform(_FIRST_S, span_s) for _ in range(count - bursty)]
    room = min(MOST_ROOM_RULES, count // 10)
    rng.shuffle(moments)
    people = how_many(count)
    return [
        Planned(
            text=f"rinse tray q{number:05d}q",
            due=begins + timedelta(seconds=moment),
            whose=None if number < room else number % people,
        )
        for number, moment in enumerate(moments)
    ]


def how_many(reminders: int) -> int:
    """People enough that nobody has more reminders than a person may have."""
    return max(PEOPLE, -(-reminders // _EACH))


async def settled(server: ChatServer, store: Store, reminders: Sequence[Planned]) -> Guild:
    """The town on the server and in the store, its reminders set."""
    guild = server.add_guild(
        saltmarsh.COMMUNITY, room=saltmarsh.ROOM, id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID
    )
    names = [f"Tamsin {number}" for number in range(how_many(len(reminders)))]
    people = [server.add_person(name, guilds=[guild]) for name in names]
    town = Founding(
        guild_id=guild.id, room_id=saltmarsh.ROOM_ID, name=saltmarsh.COMMUNITY, time_zone="UTC",
        units="us", coach=names[0], feeds=[], rules=[], set_on=reminders[0].due.date(),
    )  # fmt: skip
    await found(store, town)
    residents = [
        Resident(user_id=one.id, member=Member(name=one.account.name, time_zone="UTC"))
        for one in people
    ]
    await settle(store, guild.id, residents, [])
    channels = {
        one.id: one.account.private.id for n, one in enumerate(people) if n % _STRANGERS != 0
    }
    await _remind(store, [one.id for one in people], channels, reminders)
    return guild


async def _remind(
    store: Store, people: Sequence[int], channels: dict[int, int], reminders: Sequence[Planned]
) -> None:
    """Each reminder by the storage's own function, all in one transaction."""
    now = min(one.due for one in reminders) - timedelta(seconds=_FIRST_S)
    async with store.write() as connection:
        place = (await connection.execute(select(community.c.id))).scalar_one()
        rows = (await connection.execute(select(member.c.user_id, member.c.id))).all()
        ids = {row.user_id: row.id for row in rows}
        for user_id, channel_id in channels.items():
            this = update(member).where(member.c.user_id == user_id)
            await connection.execute(this.values(channel_id=channel_id))
        for one in reminders:
            user_id = people[one.whose or 0]
            who = Writer(community_id=place, member_id=ids[user_id], user_id=user_id, name="")
            await add_rule(connection, AddRule(rule=_rule(one)), who, now)


def _rule(one: Planned) -> Rule:
    local = one.due.astimezone(UTC).replace(tzinfo=None)
    # Real time, as in "in 20 minutes": wall times are kept to the minute, which would make bursts.
    pattern = Pattern(start_local=local.isoformat(timespec="milliseconds"), kind="elapsed")
    return Rule(text=one.text, pattern=pattern, room=one.whose is None)
