"""Posts claimed: what is due, gathered into messages that are one worker's while a lease lasts."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from time import monotonic
from typing import Any

from sqlalchemy import Row, Select, bindparam, func, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.reminders import Claimed, Debt, Recipient
from bot.storage.engine import Store
from bot.storage.leaving import away
from bot.storage.models import debt, post
from bot.storage.reminding.advancing import Step, advance
from bot.storage.reminding.begun import left_behind
from bot.storage.reminding.due import debt_of, due_rows, one_each, put_off, readable, recipient_of
from bot.storage.reminding.leases import Lease, new_nonce
from bot.storage.reminding.unsent import ALONE

MOST_TOGETHER = 10  # lines that one message holds
_LONGEST = 1800  # of the platform's 2,000 characters
_LINE = 90  # what stands beside a line's own text
_BATCH = 200
_ALONE = ("refill", "pump_line")  # feed is poured by these: never shortened to a line of several


@dataclass(slots=True)
class _Gathered:
    """Debts of one message to be."""

    to: Recipient
    debts: list[Debt]


async def claim(
    store: Store, lease: Lease, now: datetime, most: int = _BATCH
) -> tuple[Claimed, ...]:
    """Posts to send now, those that were begun before first; each is this worker's until its
    lease ends.

    most: debts looked at; few at first, so that the first message need not wait for many.
    """
    async with store.write() as connection:
        begun = await left_behind(connection, lease)
        rows = await due_rows(connection, now, most)
        said = await readable(connection, rows, now)
        kept = await one_each(connection, await put_off(connection, said, now))
        if not kept:
            return begun
        groups = _gathered(kept, await advance(connection, kept, now))
        return (*begun, *await _write_posts(connection, groups, lease, now))


def _gathered(rows: Sequence[Row[Any]], advanced: dict[int, Step]) -> list[_Gathered]:
    """Debts by where they go: several at once in one place make one message."""
    groups: dict[tuple[object, ...], _Gathered] = {}
    full = 0
    for row in rows:
        place: tuple[object, ...] = ("room", row.community_id) if row.room else ("to", row.to_id)
        if row.what in _ALONE or row.reason == ALONE:
            place = ("alone", row.debt_id)
        if place in groups and _is_full(groups[place], row):
            full += 1
            groups[(*place, full)] = groups.pop(place)
        step = advanced.get(row.debt_id, Step(missed=row.missed))
        one = debt_of(row, step.missed, soon=step.soon)
        groups.setdefault(place, _Gathered(recipient_of(row), [])).debts.append(one)
    return list(groups.values())


def _is_full(group: _Gathered, row: Row[Any]) -> bool:
    """Ten lines, or what one message holds when every sign in it has to be escaped."""
    texts = [*(d.rule.text for d in group.debts), row.text]
    longest = sum(_LINE + len(text) + sum(not c.isalnum() for c in text) for text in texts)
    return len(group.debts) >= MOST_TOGETHER or longest > _LONGEST


async def _write_posts(
    connection: AsyncConnection, groups: Sequence[_Gathered], lease: Lease, now: datetime
) -> list[Claimed]:
    newest = (await connection.execute(select(func.max(post.c.id)))).scalar() or 0
    rows, owed, claimed = [], [], []
    for number, group in enumerate(groups, newest + 1):
        nonce = new_nonce()
        rows.append(
            {
                "id": number,
                "community_id": group.to.community_id,
                "member_id": group.to.member_id or None,
                "made_at": now,
                "owner": lease.owner,
                "nonce": nonce,
                **lease.until(),
            }
        )
        owed += [{"one": d.id, "post": number} for d in group.debts]
        claimed.append(
            Claimed(
                id=number,
                attempt=1,
                nonce=nonce,
                to=group.to,
                debts=tuple(group.debts),
            )
        )
    await connection.execute(insert(post), rows)
    this = update(debt).where(debt.c.id == bindparam("one"))
    await connection.execute(this.values(state="posted", post_id=bindparam("post")), owed)
    return claimed


def next_due() -> Select[Any]:
    """The next moment at which something is due."""
    return select(func.min(debt.c.due, type_=debt.c.due.type)).where(debt.c.state == "due")


async def waits(
    store: Store, sending: Collection[str] = ()
) -> tuple[datetime | None, float | None]:
    """The calendar moment, and the real seconds, until there is something to do.

    sending: the nonces of what is on its way; its own end is told of otherwise.
    """
    next_lease = select(func.min(post.c.lease_until)).where(
        post.c.state == "open", post.c.nonce.notin_(sending), ~away()
    )
    async with store.read() as connection:
        due = (await connection.execute(next_due())).scalar()
        ends = (await connection.execute(next_lease)).scalar()
    return due, None if ends is None else max(0.0, ends - monotonic())
