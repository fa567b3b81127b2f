"""Whose facts changed and are to be looked at again.

The mark is set in the transaction that changes a fact, and taken away with the debts that follow
from it: a crash between the two leaves the mark.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, and_, bindparam, delete, func, literal, select, union, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import instant, zone_data, zone_names
from bot.records.forecasts import Foretold
from bot.records.people import Asker
from bot.records.reminders import Coming, Owed, Standing
from bot.storage.engine import Store
from bot.storage.forecasts import keep_forecasts
from bot.storage.models import community, debt, keeper, member, meta, post, replan, rule
from bot.storage.people import Writer
from bot.storage.reminding.debts import write_owed
from bot.storage.reminding.zones import OPEN

_MOST = 50
_PART = 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """Somebody to look at: who asks for their Book, the mark that was seen, the hour that they
    chose for a kind of fact."""

    member_id: int
    asker: Asker
    mark: int
    hours: Mapping[str, str]


async def mark_keepers(connection: AsyncConnection, who: Writer) -> None:
    """The writer, and all who keep a tower with them."""
    theirs = keeper.alias("theirs")
    together: Select[Any] = (
        select(theirs.c.member_id, literal(1))
        .select_from(keeper.join(theirs, theirs.c.tower_id == keeper.c.tower_id))
        .where(keeper.c.member_id == who.member_id, theirs.c.accepted)
    )
    own = select(literal(who.member_id), literal(1))
    await _mark(connection, union(together, own).subquery())


async def mark_one(connection: AsyncConnection, member_id: int) -> None:
    """Somebody whose facts turned out to be others than when they were looked at."""
    them = select(member.c.id, literal(1)).where(member.c.id == member_id)
    await _mark(connection, them.subquery())


async def mark_community(connection: AsyncConnection, community_id: int) -> None:
    """Everybody: a house rule or a feed is another."""
    all_ = select(member.c.id, literal(1)).where(member.c.community_id == community_id)
    await _mark(connection, all_.subquery())


async def _mark(connection: AsyncConnection, whom: Any) -> None:
    first, one = whom.c
    # SQLite takes ON CONFLICT after a SELECT for a join's ON, unless there is a WHERE.
    rows = select(first, one).where(first.is_not(None))
    marked = sqlite_insert(replan).from_select(["member_id", "mark"], rows)
    await connection.execute(
        marked.on_conflict_do_update(index_elements=["member_id"], set_={"mark": replan.c.mark + 1})
    )


async def marked(store: Store) -> tuple[Marked, ...]:
    """Some of those to look at."""
    query = (
        select(replan, member.c.user_id, member.c.name, community.c.guild_id)
        .join(member, member.c.id == replan.c.member_id)
        .join(community, community.c.id == member.c.community_id)
        .limit(_MOST)
    )
    async with store.read() as connection:
        rows = (await connection.execute(query)).all()
        ids = [row.member_id for row in rows]
        own = select(rule.c.member_id, rule.c.what, rule.c.hour).where(
            rule.c.member_id.in_(ids), rule.c.hour.is_not(None)
        )
        hours = (await connection.execute(own)).all() if ids else []
    return tuple(
        Marked(
            member_id=row.member_id,
            asker=Asker(user_id=row.user_id, name=row.name, guild_id=row.guild_id, private=True),
            mark=row.mark,
            hours={one.what: one.hour for one in hours if one.member_id == row.member_id},
        )
        for row in rows
    )


async def planned(
    store: Store,
    found: Sequence[tuple[Marked, Sequence[Owed] | None]],
    now: datetime,
    told: Sequence[Foretold] = (),
    judged: Sequence[Foretold] = (),
) -> None:
    """Write what each owes and what is foretold of their tanks; take their marks away unless they
    were marked again meanwhile.

    None: they have no tower, so nothing is watched for them.
    """
    async with store.write() as connection:
        await keep_forecasts(connection, told, judged)
        for one, owed in found:
            there = select(member.c.id).where(member.c.id == one.member_id)
            if (await connection.execute(there)).first() is None:
                continue  # forgotten meanwhile
            if owed is not None:
                await write_owed(connection, one.member_id, owed, now)
            await connection.execute(
                delete(replan).where(
                    and_(replan.c.member_id == one.member_id, replan.c.mark == one.mark)
                )
            )


async def new_zone_data(store: Store) -> bool:
    """Unsent moments worked out anew when the tz data is another than last time; False: it is not.

    The wall time and the key stay; only the moment is another. Done in parts, so that nobody waits
    long for the file; cut short, it is begun anew at the next start.
    """
    edition = zone_data()
    async with store.single() as connection:
        query = select(meta.c.value).where(meta.c.name == "tz")
        if (await connection.execute(query)).scalar() == edition:
            return False
    last: int | None = 0
    while last is not None:
        last = await _some_moments(store, last)
    async with store.write() as connection:
        row = {"name": "tz", "value": edition}
        await connection.execute(
            sqlite_insert(meta)
            .values(row)
            .on_conflict_do_update(index_elements=["name"], set_={"value": edition})
        )
    return True


async def _some_moments(store: Store, after: int) -> int | None:
    """The next unsent debts after that number looked at; the last one's number, None at the end."""
    query = (
        select(debt.c.id, debt.c.key, debt.c.due, rule.c.zone)
        .join(rule, rule.c.id == debt.c.rule_id)
        .where(debt.c.id > after, rule.c.kind == "wall", debt.c.state.in_(OPEN),
               debt.c.sent_at.is_(None))
        .order_by(debt.c.id)
        .limit(_PART)
    )  # fmt: skip
    async with store.write() as connection:
        rows = (await connection.execute(query)).all()
        moved = [
            {"one": row.id, "due": due}
            for row in rows
            if row.zone in zone_names()
            and (due := instant(datetime.fromisoformat(row.key), row.zone)) != row.due
        ]
        if moved:
            this = update(debt).where(debt.c.id == bindparam("one"))
            await connection.execute(this.values(due=bindparam("due")), moved)
    return rows[-1].id if len(rows) == _PART else None


async def coming_next(store: Store, most: int) -> tuple[Coming, ...]:
    """What is due next, soonest first, for whoever watches the clock."""
    query = (
        select(debt.c.due, rule.c.what, rule.c.text, rule.c.room, member.c.name,
               member.c.time_zone)
        .join(rule, rule.c.id == debt.c.rule_id)
        .join(member, member.c.id == debt.c.member_id)
        .where(debt.c.state == "due")
        .order_by(debt.c.due, debt.c.id)
        .limit(most)
    )  # fmt: skip
    async with store.single() as connection:
        rows = (await connection.execute(query)).all()
    return tuple(
        Coming(due=row.due, what=row.what, text=row.text, name=row.name, room=row.room,
               zone=row.time_zone)
        for row in rows
    )  # fmt: skip


async def how_many(store: Store) -> dict[str, int]:
    """Debts by state, for whoever watches the bot."""
    query = select(debt.c.state, func.count()).group_by(debt.c.state)
    async with store.single() as connection:
        return dict((await connection.execute(query)).all())


async def standing(store: Store, now: datetime) -> Standing:
    """How the queue stands at a moment; every count goes by an index."""
    due = (debt.c.state == "due", debt.c.due <= now)
    counts = {
        "due": select(func.count()).where(*due),
        "unsent": select(func.count()).where(debt.c.state == "failed"),
        "held": select(func.count()).where(debt.c.state == "held"),
        "sending": select(func.count()).where(post.c.state == "open"),
    }
    oldest = select(func.min(debt.c.due, type_=debt.c.due.type)).where(*due)
    async with store.read() as connection:
        found = {name: (await connection.execute(q)).scalar() or 0 for name, q in counts.items()}
        since = (await connection.execute(oldest)).scalar()
    late_s = 0.0 if since is None else (now - since).total_seconds()
    return Standing(**found, late_s=late_s)
