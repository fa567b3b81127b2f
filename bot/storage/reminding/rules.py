"""Rules, and the one debt that each has open: its next occurrence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Row, Select, and_, func, insert, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import recurring
from bot.errors import Refusal
from bot.records.changes import AddRule, EditRule, StopRules
from bot.records.reminders import MOST_ROOM_RULES, MOST_RULES, NOTE, Pattern, Reminding, Rule
from bot.storage.engine import new_key
from bot.storage.models import debt, member, post, rule
from bot.storage.people import Writer
from bot.storage.reminding.unsent import read_unsent
from bot.storage.reminding.zones import OPEN
from bot.storage.towers import must_keep
from bot.storage.types import UtcTime

_SAID = ("sent", "done", "folded", "posted")


def pattern_of(row: Mapping[Any, Any]) -> Pattern | None:
    """A rule's times; None where they follow from facts."""
    if row["kind"] == "fact":
        return None
    return Pattern(
        start_local=row["start_local"],
        rrule=row["rrule"],
        zone=row["zone"],
        kind=row["kind"],
        overflow=row["overflow"],
    )


def coming(pattern: Pattern, after: str) -> Iterator[tuple[str, datetime]]:
    """Its occurrences after a key, as (key, moment)."""
    return recurring(
        start_local=pattern.start_local,
        rrule=pattern.rrule,
        zone=pattern.zone,
        kind=pattern.kind,
        overflow=pattern.overflow,
        after=after,
    )


def first_after(pattern: Pattern, now: datetime, after: str = "") -> tuple[str, datetime] | None:
    """The first occurrence that is still to come."""
    return next((one for one in coming(pattern, after) if one[1] > now), None)


async def add_rule(
    connection: AsyncConnection, change: AddRule, who: Writer, now: datetime
) -> dict[str, Any]:
    """A rule with its first debt, in the same transaction."""
    made = change.rule
    await _room_left(connection, made, who)
    if made.tower_id is not None:
        await must_keep(connection, made.tower_id, who)
    told = made.pattern
    row = {
        "community_id": who.community_id,
        "member_id": who.member_id,
        "what": made.what,
        "text": made.text,
        "room": made.room,
        "place": made.place,
        "tower_id": made.tower_id,
        "kind": told.kind if told else "fact",
        "start_local": told.start_local if told else None,
        "rrule": told.rrule if told else "",
        "zone": told.zone if told else None,
        "overflow": told.overflow if told else "omit",
        "late": made.late,
        "ahead_min": made.ahead_min,
        "hour": made.hour,
        "made_at": now,
    }
    rule_id = new_key(await connection.execute(insert(rule).values(row)))
    found = None if told is None else first_after(told, now)
    if found is not None:
        key, due = found
        owed = {"rule_id": rule_id, "member_id": who.member_id, "key": key, "due": due}
        await connection.execute(insert(debt).values(owed))
    return {"rule": rule_id}


async def rule_for(
    connection: AsyncConnection, community_id: int, member_id: int, what: str, now: datetime
) -> tuple[int, bool]:
    """A member's rule for what others tell them, made when needed; whether they stopped it."""
    query = select(rule.c.id, rule.c.stopped_at).where(
        rule.c.member_id == member_id, rule.c.what == what
    )
    found = (await connection.execute(query)).first()
    if found is not None:
        return int(found.id), found.stopped_at is not None
    row = {"community_id": community_id, "member_id": member_id, "what": what, "kind": "fact",
           "made_at": now}  # fmt: skip
    return new_key(await connection.execute(insert(rule).values(row))), False


async def owe_next(
    connection: AsyncConnection, rule_id: int, member_id: int, pattern: Pattern, now: datetime
) -> bool:
    """The debt of a rule's next occurrence; False where the rule is over.

    One that was said already is not owed again, whatever the clock or the zone is now.
    """
    query = select(debt.c.key, debt.c.state).where(debt.c.rule_id == rule_id)
    there = {row.key: row.state for row in (await connection.execute(query)).all()}
    said = max((key for key, state in there.items() if state in _SAID), default="")
    for key, due in coming(pattern, said):
        if due <= now:
            continue
        if key in there:
            await connection.execute(
                update(debt)
                .where(debt.c.rule_id == rule_id, debt.c.key == key)
                .values(state="due", due=due, post_id=None, missed=0, sent_at=None)
            )
            return True
        row = {"rule_id": rule_id, "member_id": member_id, "key": key, "due": due}
        await connection.execute(insert(debt).values(row))
        return True
    return False


async def _room_left(connection: AsyncConnection, of: Rule | Row[Any], who: Writer) -> None:
    """Commands at once may all have found the last place free; here only one does.

    What is over takes no place.
    """
    mine = (
        and_(rule.c.community_id == who.community_id, rule.c.room)
        if of.room
        else and_(rule.c.member_id == who.member_id, ~rule.c.room)
    )
    most = MOST_ROOM_RULES if of.room else MOST_RULES
    to_come = select(debt.c.id).where(
        debt.c.rule_id == rule.c.id, debt.c.state.in_((*OPEN, "posted"))
    )
    query = select(func.count()).where(
        mine, rule.c.what == NOTE, rule.c.stopped_at.is_(None), to_come.exists()
    )
    if ((await connection.execute(query)).scalar() or 0) >= most:
        raise Refusal("bad.rule_limit", outcome="refuse", count=most)


async def edit_rule(
    connection: AsyncConnection, change: EditRule, who: Writer, now: datetime
) -> dict[str, Any]:
    """Other text, times or hour; what was owed by the old times is owed by the new ones."""
    row = await _mine(connection, change.rule_id, who)
    values: dict[str, Any] = {}
    if change.text is not None:
        values["text"] = change.text
    if change.hour is not None:
        values["hour"] = change.hour
    told = change.pattern
    if told is not None:
        values |= {
            "kind": told.kind,
            "start_local": told.start_local,
            "rrule": told.rrule,
            "zone": told.zone,
            "overflow": told.overflow,
        }
    if change.again and row.what == NOTE:
        await _room_left(connection, row, who)
    if values or change.again:
        await connection.execute(
            update(rule).where(rule.c.id == change.rule_id).values(stopped_at=None, **values)
        )
    if told is not None:
        await _end_debts(connection, [change.rule_id])
    elif change.text is not None:
        await words_changed(connection, debt.c.rule_id == change.rule_id)
    pattern = told or (pattern_of(row._mapping) if change.again else None)
    if pattern is not None:
        coming_ = await owe_next(connection, change.rule_id, row.member_id, pattern, now)
        if not coming_:
            raise Refusal("bad.over", outcome="refuse")
    return {"rule": change.rule_id}


async def stop_rules(
    connection: AsyncConnection, change: StopRules, who: Writer, now: datetime
) -> dict[str, Any]:
    """Rules that remind no more; what they owe is not sent, also what is being sent just now."""
    ids = list(change.rule_ids)
    for one in ids:
        await _mine(connection, one, who)
    await connection.execute(update(rule).where(rule.c.id.in_(ids)).values(stopped_at=now))
    await _end_debts(connection, ids)
    return {"rules": ids}


async def _end_debts(connection: AsyncConnection, ids: Sequence[int]) -> None:
    await words_changed(connection, debt.c.rule_id.in_(ids))
    await connection.execute(
        update(debt)
        .where(debt.c.rule_id.in_(ids), debt.c.state.in_((*OPEN, "posted", "failed")))
        .values(state="stopped")
    )


async def words_changed(connection: AsyncConnection, which: ColumnElement[bool]) -> None:
    """What is being sent of these debts says something that is no more so."""
    posts = select(debt.c.post_id).where(which, debt.c.state == "posted")
    await connection.execute(
        update(post).where(post.c.id.in_(posts), post.c.state == "open").values(stale=True)
    )


async def _mine(connection: AsyncConnection, rule_id: int, who: Writer) -> Row[Any]:
    """One's own rule; a room's is every coach's of that community."""
    role = select(member.c.role).where(member.c.id == who.member_id).scalar_subquery()
    query = select(rule).where(
        rule.c.id == rule_id,
        or_(
            and_(rule.c.member_id == who.member_id, ~rule.c.room),
            and_(rule.c.community_id == who.community_id, rule.c.room, role == "coach"),
        ),
    )
    row = (await connection.execute(query)).first()
    if row is None:
        raise Refusal("bad.rule_gone", outcome="refuse")
    return row


def _with_next() -> Select[Any]:
    next_due = (
        select(func.min(debt.c.due, type_=UtcTime))
        .where(debt.c.rule_id == rule.c.id, debt.c.state == "due")
        .correlate(rule)
        .scalar_subquery()
    )
    held = (
        select(func.count())
        .where(debt.c.rule_id == rule.c.id, debt.c.state == "held")
        .correlate(rule)
        .scalar_subquery()
    )
    return select(
        rule, member.c.name.label("by"), next_due.label("next_due"), held.label("held")
    ).join(member, member.c.id == rule.c.member_id)


async def reminding(connection: AsyncConnection, member_id: int, community_id: int) -> Reminding:
    """What a person and the room of their community are reminded of."""
    query = _with_next().where(
        or_(
            and_(rule.c.member_id == member_id, ~rule.c.room),
            and_(rule.c.community_id == community_id, rule.c.room),
        )
    )
    rows = (await connection.execute(query.order_by(rule.c.id))).all()
    rules = [rule_of(row._mapping, member_id) for row in rows]
    return Reminding(
        rules=tuple(one for one in rules if not one.room),
        room=tuple(one for one in rules if one.room),
        unsent=await read_unsent(connection, member_id, community_id),
    )


def rule_of(row: Mapping[Any, Any], reader: int = 0) -> Rule:
    """A row as a rule."""
    return Rule(
        id=row["id"],
        what=row["what"],
        text=row["text"],
        pattern=pattern_of(row),
        room=row["room"],
        place=row["place"],
        tower_id=row["tower_id"],
        ahead_min=row["ahead_min"],
        hour=row["hour"],
        late=row["late"],
        by=row.get("by") or "",
        mine=row["member_id"] == reader,
        stopped=row["stopped_at"] is not None,
        next_due=row.get("next_due"),
        held=row.get("held") or 0,
    )
