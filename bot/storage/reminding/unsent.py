"""Reminders that could not be sent: set aside with the reason, until somebody says what with them.

The owner and the coach see them; only of one's own is the text shown.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, and_, bindparam, insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.changes import LeaveOut, Resend
from bot.records.reminders import TROUBLE, Unsent
from bot.storage.engine import new_key
from bot.storage.models import debt, member, rule
from bot.storage.people import Writer

_NOTICE = "unsent"
_QUIET = timedelta(hours=1)  # one notice an hour at the most
_MOST_SHOWN = 1000
ALONE = "alone"  # the reason of a debt that is due: in a message of its own


async def set_unsent(
    connection: AsyncConnection, which: ColumnElement[bool], reason: str, now: datetime
) -> None:
    """Debts that nobody tries to send any more; the coaches of their communities hear of it.

    A notice of this kind that cannot be sent itself is let go.
    """
    query = select(debt.c.id, rule.c.community_id, rule.c.what).join(
        rule, rule.c.id == debt.c.rule_id
    )
    rows = (await connection.execute(query.where(which))).all()
    if not rows:
        return
    this = debt.c.id == bindparam("one")
    to: dict[str, Any] = {"state": bindparam("to"), "reason": reason, "post_id": None}
    settled = [{"one": r.id, "to": "stopped" if r.what == TROUBLE else "failed"} for r in rows]
    await connection.execute(update(debt).where(this).values(to), settled)
    said = [row for row in rows if row.what != TROUBLE]
    for community_id in sorted({row.community_id for row in said}):
        newest = max(row.id for row in said if row.community_id == community_id)
        await tell_coaches(connection, community_id, f"{_NOTICE}:{newest}:{now:%Y%m%dT%H%M}", now)


async def tell_coaches(
    connection: AsyncConnection, community_id: int, key: str, now: datetime
) -> None:
    """A notice to each coach; of one kind the next waits until the last one was an hour ago."""
    kind = key.partition(":")[0]
    coaches = select(member.c.id).where(
        member.c.community_id == community_id, member.c.role == "coach"
    )
    for member_id in (await connection.execute(coaches)).scalars().all():
        rule_id = await _notices(connection, community_id, member_id, now)
        last = await _last(connection, rule_id, kind)
        if last is not None and last.state in ("due", "posted", "held"):
            continue
        due = now if last is None or last.sent_at is None else max(now, last.sent_at + _QUIET)
        owed = {"rule_id": rule_id, "member_id": member_id, "key": key, "due": due}
        await connection.execute(sqlite_insert(debt).values(owed).on_conflict_do_nothing())


async def _notices(
    connection: AsyncConnection, community_id: int, member_id: int, now: datetime
) -> int:
    """The rule that a coach's notices hang on; made when it is first needed."""
    query = select(rule.c.id).where(rule.c.member_id == member_id, rule.c.what == TROUBLE)
    found = (await connection.execute(query)).scalar()
    if found is not None:
        return int(found)
    row = {"community_id": community_id, "member_id": member_id, "what": TROUBLE, "kind": "fact"}
    return new_key(await connection.execute(insert(rule).values(**row, made_at=now)))


async def _last(connection: AsyncConnection, rule_id: int, kind: str) -> Any:
    query = (
        select(debt.c.state, debt.c.sent_at)
        .where(debt.c.rule_id == rule_id, debt.c.key.startswith(f"{kind}:", autoescape=True))
        .order_by(debt.c.id.desc())
        .limit(1)
    )
    return (await connection.execute(query)).first()


async def read_unsent(
    connection: AsyncConnection, member_id: int, community_id: int
) -> tuple[Unsent, ...]:
    """One's own, and for a coach those of the whole community, oldest first."""
    role = select(member.c.role).where(member.c.id == member_id)
    coach = (await connection.execute(role)).scalar() == "coach"
    own = and_(debt.c.member_id == member_id, ~rule.c.room)
    whose = rule.c.community_id == community_id if coach else own
    query = (
        select(debt.c.id, debt.c.due, debt.c.reason, debt.c.member_id, rule.c.what, rule.c.text,
               rule.c.room, member.c.name, rule.c.tower_id)
        .join(rule, rule.c.id == debt.c.rule_id)
        .join(member, member.c.id == debt.c.member_id)
        .where(debt.c.state == "failed", whose)
        .order_by(debt.c.due, debt.c.id)
        .limit(_MOST_SHOWN)
    )  # fmt: skip
    return tuple(
        Unsent(
            debt_id=row.id,
            due=row.due,
            reason=row.reason or "broken",
            what=row.what,
            text=row.text if row.room or row.member_id == member_id else "",
            name=row.name,
            room=row.room,
            mine=row.member_id == member_id and not row.room,
        )
        for row in (await connection.execute(query)).all()
    )


async def resend(connection: AsyncConnection, change: Resend, who: Writer) -> dict[str, Any]:
    """Due once more, at once: a new message, under a new nonce."""
    values = {"state": "due", "reason": ALONE, "post_id": None, "missed": 0}
    return {"debts": await _settle(connection, change.debt_ids, who, values)}


async def leave_out(connection: AsyncConnection, change: LeaveOut, who: Writer) -> dict[str, Any]:
    """They are not sent any more."""
    # Folded, not stopped: what a fact owes would be owed again at the next look.
    return {"debts": await _settle(connection, change.debt_ids, who, {"state": "folded"})}


async def _settle(
    connection: AsyncConnection, ids: Collection[int], who: Writer, values: dict[str, Any]
) -> Sequence[int]:
    """One's own, or any of the community for a coach; others are passed over."""
    seen = await read_unsent(connection, who.member_id, who.community_id)
    mine = [one.debt_id for one in seen if one.debt_id in ids]
    await connection.execute(
        update(debt).where(and_(debt.c.id.in_(mine), debt.c.state == "failed")).values(values)
    )
    return mine
