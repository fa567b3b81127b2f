"""A rule's next occurrence, owed as soon as the one before it is claimed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Row, bindparam, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import elapsed_key, instant
from bot.records.reminders import Pattern
from bot.storage.models import debt, rule
from bot.storage.reminding.rules import coming, pattern_of
from bot.storage.reminding.unsent import ALONE

_SENT = ("sent", "done")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """missed: occurrences that a debt stands for besides itself; to_next: the time to the next."""

    missed: int = 0
    to_next: timedelta | None = None
    soon: bool = False


async def advance(
    connection: AsyncConnection, rows: Sequence[Row[Any]], now: datetime
) -> dict[int, Step]:
    """Each rule's next debt, written in this transaction, and what that says of this one."""
    found: dict[int, Step] = {}
    new = []
    for row in rows:
        pattern = pattern_of(row._mapping)
        if pattern is None or row.sent_at is not None or row.stopped_at is not None:
            continue
        missed, step = _jumped(pattern, row.debt_key, now)
        again = row.reason == ALONE  # sent once more: what came since was said by itself
        after = row.debt_key if not missed else elapsed_key(now)
        for key, due in coming(pattern, after):
            if due > now:
                new.append({"rule_id": row.id, "member_id": row.to_id, "key": key, "due": due})
                step = due - row.due
                break
            missed += 1
        found[row.debt_id] = Step(missed=0 if again else missed, to_next=step)
    if new:
        await connection.execute(sqlite_insert(debt).on_conflict_do_nothing(), new)
    late = [{"one": i, "missed": one.missed} for i, one in found.items() if one.missed]
    if late:
        this = update(debt).where(debt.c.id == bindparam("one"))
        await connection.execute(this.values(missed=bindparam("missed")), late)
    return await _moved(connection, rows, found, now)


def _jumped(pattern: Pattern, key: str, now: datetime) -> tuple[int, timedelta | None]:
    """How many of a real-time rule fell due since, without counting each."""
    parts = dict(part.split("=") for part in pattern.rrule.split(";")) if pattern.rrule else {}
    if pattern.kind != "elapsed" or not parts or "COUNT" in parts or "UNTIL" in parts:
        return 0, None
    unit = timedelta(hours=1) if parts["FREQ"] == "HOURLY" else timedelta(minutes=1)
    since = now - datetime.fromisoformat(key)
    return max(0, since // (unit * int(parts.get("INTERVAL", 1)))), None


async def _moved(
    connection: AsyncConnection, rows: Sequence[Row[Any]], found: dict[int, Step], now: datetime
) -> dict[int, Step]:
    """Which follow the last one closely because their reader's zone is another since."""
    wall = {row.id: row for row in rows if row.debt_id in found and row.kind == "wall"}
    newest = (
        select(debt.c.id)
        .where(debt.c.rule_id == rule.c.id, debt.c.state.in_(_SENT))
        .order_by(debt.c.id.desc())
        .limit(1)
        .correlate(rule)
        .scalar_subquery()
    )
    query = select(debt.c.rule_id, debt.c.key, debt.c.due, debt.c.sent_at).where(
        debt.c.id.in_(select(newest).where(rule.c.id.in_(wall)))
    )
    for last in (await connection.execute(query)).all() if wall else ():
        row = wall[last.rule_id]
        step = found[row.debt_id]
        elsewhere = instant(datetime.fromisoformat(last.key), row.zone) != last.due
        if elsewhere and step.to_next is not None and now - last.sent_at < step.to_next / 2:
            found[row.debt_id] = replace(step, soon=True)
    return found
