"""An old copy takes the file's place: what may have been sent since waits for the coach's word."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Row, func, or_, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.storage.engine import Store
from bot.storage.forgetting import forget
from bot.storage.models import community, debt, member, meta, post, replan, rule
from bot.storage.people import Writer
from bot.storage.reminding.rules import first_after, pattern_of
from bot.storage.reminding.unsent import set_unsent

_KNOWN = "sent_until"


def _doubted(until: datetime) -> ColumnElement[bool]:
    """To be sent by then, or on its way when the copy was made."""
    by_then = debt.c.state.in_(("due", "held")) & (debt.c.due <= until)
    return or_(by_then, debt.c.state == "posted")


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubted:
    """A reminder that may have been sent since the copy was made; what: its kind, not its text."""

    community: str
    name: str
    what: str
    room: bool
    due: datetime


async def newest_sent(store: Store) -> datetime | None:
    """When the last message that these records know of was sent, or tried; of records that were
    restored themselves, what was known then counts too."""
    queries = (
        select(func.max(debt.c.sent_at, type_=debt.c.sent_at.type)),
        select(func.max(post.c.tried_at, type_=post.c.tried_at.type)),
    )
    before = select(meta.c.value).where(meta.c.name == _KNOWN)
    async with store.read() as connection:
        found = [(await connection.execute(query)).scalar() for query in queries]
        known = (await connection.execute(before)).scalar()
    found.append(None if known is None else datetime.fromisoformat(known))
    return max((at for at in found if at is not None), default=None)


async def people_of(store: Store) -> frozenset[int]:
    """Everybody whom the records know, by their number on the platform."""
    async with store.single() as connection:
        return frozenset((await connection.execute(select(member.c.user_id))).scalars())


async def forget_again(store: Store, gone: Iterable[int], now: datetime) -> None:
    """Who was forgotten after the copy was made is forgotten in it as well."""
    for user_id in gone:
        who = Writer(community_id=0, member_id=0, user_id=user_id, name="")
        async with store.write() as connection:
            await forget(connection, who, now)


async def doubted(store: Store, until: datetime) -> tuple[Doubted, ...]:
    """What would be held: all that was to be sent by then, oldest first."""
    query = (
        select(debt.c.due, rule.c.what, rule.c.room, member.c.name, community.c.name.label("place"))
        .join(rule, rule.c.id == debt.c.rule_id)
        .join(member, member.c.id == debt.c.member_id)
        .join(community, community.c.id == rule.c.community_id)
        .where(_doubted(until))
        .order_by(debt.c.due, debt.c.id)
    )
    async with store.single() as connection:
        rows = (await connection.execute(query)).all()
    return tuple(
        Doubted(community=row.place, name=row.name, what=row.what, room=row.room, due=row.due)
        for row in rows
    )


async def hold_doubted(store: Store, until: datetime, now: datetime) -> int:
    """Hold them; each rule goes on with its first occurrence after that. How many are held."""
    which = _doubted(until)
    async with store.write() as connection:
        query = select(rule, debt.c.key, debt.c.member_id.label("to_id"))
        query = query.join(debt, debt.c.rule_id == rule.c.id)
        rows = (await connection.execute(query.where(which))).all()
        await set_unsent(connection, which, "restored", now)
        await connection.execute(
            update(post).where(post.c.state == "open").values(state="void", body=None)
        )
        known = sqlite_insert(meta).values(name=_KNOWN, value=until.isoformat())
        await connection.execute(
            known.on_conflict_do_update(index_elements=["name"], set_={"value": until.isoformat()})
        )
        await _go_on(connection, rows, until)
        await connection.execute(
            sqlite_insert(replan)
            .from_select(["member_id"], select(member.c.id).where(member.c.id.is_not(None)))
            .on_conflict_do_nothing()
        )
    return len(rows)


async def _go_on(connection: AsyncConnection, rows: Iterable[Row[Any]], until: datetime) -> None:
    new = []
    for row in rows:
        pattern = pattern_of(row._mapping)
        found: tuple[str, datetime] | None = None
        if pattern is not None and row.stopped_at is None:
            with suppress(ValueError, TypeError, KeyError):  # unreadable: the worker sets it aside
                found = first_after(pattern, until, row.key)
        if found is not None:
            key, due = found
            new.append({"rule_id": row.id, "member_id": row.to_id, "key": key, "due": due})
    if new:
        await connection.execute(sqlite_insert(debt).on_conflict_do_nothing(), new)
