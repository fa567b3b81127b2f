"""What is due, for whom it is, and what of it can be said now."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

import structlog
from sqlalchemy import ColumnElement, Row, Select, and_, bindparam, func, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import quiet_until, zone_of
from bot.records.reminders import NOTE, OUTAGE, Debt, Recipient
from bot.storage.models import community, debt, member, rule
from bot.storage.reminding.rules import coming, pattern_of, rule_of
from bot.storage.reminding.unsent import set_unsent

_AT_ONCE = 2000
_FRESH = timedelta(minutes=1)


async def due_rows(connection: AsyncConnection, now: datetime, most: int) -> Sequence[Row[Any]]:
    """All that is due for those whose turn it is, so that it folds: who waits longest, and who
    fell due just now, whom a long backlog must not hold up."""
    due = (debt.c.state == "due", debt.c.due <= now)
    place = select(debt.c.member_id, rule.c.room).join(rule, rule.c.id == debt.c.rule_id)
    oldest = place.where(*due).order_by(debt.c.due, debt.c.id).limit(most)
    fresh = place.where(*due, debt.c.due > now - _FRESH).order_by(debt.c.due).limit(most)
    found = [row for query in (fresh, oldest) for row in (await connection.execute(query)).all()]
    turns = dict.fromkeys((row.member_id, row.room) for row in found)
    if not turns:
        return ()
    owed = place.add_columns(func.count().label("owed")).where(*due, _theirs(turns))
    counts = (await connection.execute(owed.group_by(debt.c.member_id, rule.c.room))).all()
    whole = _as_many(turns, {(row.member_id, row.room): row.owed for row in counts})
    query_ = joined().where(*due, _theirs(whole)).order_by(debt.c.due, debt.c.id)
    rows: Sequence[Row[Any]] = (await connection.execute(query_)).all()
    return rows


def _theirs(turns: Collection[tuple[int, bool]]) -> ColumnElement[bool]:
    people = [member_id for member_id, room in turns if not room]
    rooms = [member_id for member_id, room in turns if room]
    return or_(
        and_(~rule.c.room, debt.c.member_id.in_(people)),
        and_(rule.c.room, debt.c.member_id.in_(rooms)),
    )


def _as_many(
    turns: Collection[tuple[int, bool]], owed: Mapping[tuple[int, bool], int]
) -> list[tuple[int, bool]]:
    """Those of whom all that is due can be taken now; what is left of anybody would not fold."""
    taken: list[tuple[int, bool]] = []
    total = 0
    for turn in turns:
        total += owed.get(turn, 0)
        if taken and total > _AT_ONCE:
            break
        taken.append(turn)
    return taken


def joined() -> Select[Any]:
    return (
        select(
            rule,
            debt.c.id.label("debt_id"),
            debt.c.key.label("debt_key"),
            debt.c.due,
            debt.c.missed,
            debt.c.sent_at,
            debt.c.post_id,
            debt.c.reason,
            debt.c.member_id.label("to_id"),
            member.c.name.label("by"),
            member.c.user_id,
            member.c.units,
            member.c.time_zone,
            member.c.quiet_from,
            member.c.quiet_to,
            member.c.channel_id,
            member.c.closed,
            community.c.guild_id,
            community.c.room_id,
            community.c.room_held,
            community.c.left_at,
            community.c.time_zone.label("room_zone"),
            community.c.quiet_from.label("room_from"),
            community.c.quiet_to.label("room_to"),
        )
        .join(rule, rule.c.id == debt.c.rule_id)
        .join(member, member.c.id == debt.c.member_id)
        .join(community, community.c.id == rule.c.community_id)
    )


async def readable(
    connection: AsyncConnection, rows: Sequence[Row[Any]], now: datetime
) -> list[Row[Any]]:
    """Those whose rule can be read; one that cannot is set aside, and holds up nobody."""
    kept: list[Row[Any]] = []
    broken: list[int] = []
    for row in rows:
        try:
            pattern = pattern_of(row._mapping)
            if pattern is not None:
                next(coming(pattern, row.debt_key), None)
            _quiet_end(row, now)
            zone_of(row.time_zone)
            kept.append(row)
        except (ValueError, TypeError, KeyError) as error:
            structlog.get_logger().error("set aside", debt=row.debt_id, reason=str(error))
            broken.append(row.debt_id)
    if broken:
        await set_unsent(connection, debt.c.id.in_(broken), "broken", now)
    return kept


async def put_off(
    connection: AsyncConnection, rows: Sequence[Row[Any]], now: datetime
) -> list[Row[Any]]:
    """Those to be said now; others wait for the end of quiet hours, or until somebody is there."""
    kept, later, held = [], [], []
    for row in rows:
        unreachable = row.room_held or row.room_id is None if row.room else row.closed
        if row.left_at is not None or unreachable:
            reason = "left" if row.left_at is not None else None
            held.append({"one": row.debt_id, "why": reason})
        elif (end := _quiet_end(row, now)) is not None:
            later.append({"one": row.debt_id, "due": end})
        else:
            kept.append(row)
    this = debt.c.id == bindparam("one")
    if later:
        await connection.execute(update(debt).where(this).values(due=bindparam("due")), later)
    if held:
        to = {"state": "held", "reason": bindparam("why")}
        await connection.execute(update(debt).where(this).values(to), held)
    return kept


async def one_each(connection: AsyncConnection, rows: Sequence[Row[Any]]) -> list[Row[Any]]:
    """Of several occurrences of one rule that wait together, the first stands for all."""
    first: dict[tuple[int, int], Row[Any]] = {}
    folded = []
    for row in rows:
        place = (row.id, row.to_id)
        if row.kind == "fact" or place not in first:
            first.setdefault(place if row.kind != "fact" else (row.id, -row.debt_id), row)
        elif first[place].sent_at is not None and row.sent_at is None:
            folded.append({"one": first[place].debt_id})  # put off once: the new one says it too
            first[place] = row
        else:
            folded.append({"one": row.debt_id})
    if folded:
        this = update(debt).where(debt.c.id == bindparam("one"))
        await connection.execute(this.values(state="folded"), folded)
    return list(first.values())


def _quiet_end(row: Row[Any], now: datetime) -> datetime | None:
    """The end of the reader's quiet hours; an hour that people chose themselves is never moved."""
    if row.room:
        return quiet_until(now, row.room_zone, row.room_from, row.room_to)
    if row.sent_at is not None or row.what == OUTAGE or (row.what == NOTE and row.kind == "wall"):
        return None
    return quiet_until(now, row.time_zone, row.quiet_from, row.quiet_to)


def debt_of(row: Row[Any], missed: int, *, soon: bool = False) -> Debt:
    return Debt(
        id=row.debt_id,
        rule=rule_of(row._mapping),
        key=row.debt_key,
        due=row.due,
        missed=missed,
        soon=soon,
    )


def recipient_of(row: Row[Any]) -> Recipient:
    if row.room:
        return Recipient(
            community_id=row.community_id,
            guild_id=row.guild_id,
            channel_id=row.room_id,
            time_zone=row.room_zone,
        )
    return Recipient(
        community_id=row.community_id,
        guild_id=row.guild_id,
        member_id=row.to_id,
        user_id=row.user_id,
        name=row.by,
        channel_id=row.channel_id,
        units=row.units,
        time_zone=row.time_zone,
        quiet=(row.quiet_from, row.quiet_to),
    )
