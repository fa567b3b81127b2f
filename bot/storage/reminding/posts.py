"""Posts claimed: debts that are due, gathered into messages, and messages left by a worker that is
gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from time import monotonic
from typing import Any

import structlog
from sqlalchemy import Row, Select, bindparam, func, insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import instant, quiet_until
from bot.records.reminders import NOTE, Body, Claimed, Debt, Recipient
from bot.storage.engine import Store
from bot.storage.models import community, debt, member, post, rule
from bot.storage.reminding.leases import Lease, boot_id, ended, new_nonce
from bot.storage.reminding.rules import coming, pattern_of, rule_of

MOST_TOGETHER = 10  # lines that one message holds
_BATCH = 200
_NONCE_S = 110.0  # the platform remembers a nonce for "the past few minutes"
_SENT = ("sent", "done")
_ALONE = ("refill", "pump_line")  # feed is poured by these: never shortened to a line of several


@dataclass(slots=True)
class _Gathered:
    """Debts of one message to be."""

    to: Recipient
    debts: list[Debt]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """missed: occurrences that a debt stands for besides itself; to_next: the time to the next."""

    missed: int = 0
    to_next: timedelta | None = None
    soon: bool = False


async def claim(
    store: Store, lease: Lease, now: datetime, most: int = _BATCH
) -> tuple[Claimed, ...]:
    """Posts to send now, those that were begun before first; each is this worker's until its
    lease ends.

    most: debts looked at; few at first, so that the first message need not wait for many.
    """
    async with store.write() as connection:
        begun = await _left_behind(connection, lease)
        rows = (await connection.execute(_due(), {"now": now, "most": most})).all()
        readable = await _readable(connection, rows)
        kept = await _one_each(connection, await _put_off(connection, readable, now))
        if not kept:
            return begun
        groups = _gathered(kept, await _advanced(connection, kept, now))
        return (*begun, *await _write_posts(connection, groups, lease, now))


def _due() -> Select[Any]:
    """What is due, oldest first, with its rule and whom it goes to."""
    return (
        _joined()
        .where(debt.c.state == "due", debt.c.due <= bindparam("now"))
        .order_by(debt.c.due, debt.c.id)
        .limit(bindparam("most"))
    )


def _joined() -> Select[Any]:
    return (
        select(
            rule,
            debt.c.id.label("debt_id"),
            debt.c.key.label("debt_key"),
            debt.c.due,
            debt.c.missed,
            debt.c.sent_at,
            debt.c.post_id,
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
            community.c.time_zone.label("room_zone"),
            community.c.quiet_from.label("room_from"),
            community.c.quiet_to.label("room_to"),
        )
        .join(rule, rule.c.id == debt.c.rule_id)
        .join(member, member.c.id == debt.c.member_id)
        .join(community, community.c.id == rule.c.community_id)
    )


async def _readable(connection: AsyncConnection, rows: Sequence[Row[Any]]) -> list[Row[Any]]:
    """Those whose rule can be read; one that cannot is set aside, and holds up nobody."""
    kept, broken = [], []
    for row in rows:
        try:
            pattern = pattern_of(row._mapping)
            if pattern is not None:
                next(coming(pattern, row.debt_key), None)
            kept.append(row)
        except (ValueError, TypeError, KeyError) as error:
            structlog.get_logger().error("set aside", debt=row.debt_id, reason=str(error))
            broken.append({"one": row.debt_id})
    if broken:
        this = update(debt).where(debt.c.id == bindparam("one"))
        await connection.execute(this.values(state="failed"), broken)
    return kept


async def _put_off(
    connection: AsyncConnection, rows: Sequence[Row[Any]], now: datetime
) -> list[Row[Any]]:
    """Those to be said now; others wait for the end of quiet hours, or until somebody is there."""
    kept, later, held = [], [], []
    for row in rows:
        unreachable = row.room_held or row.room_id is None if row.room else row.closed
        if unreachable:
            held.append({"one": row.debt_id, "state": "held"})
        elif (end := _quiet_end(row, now)) is not None:
            later.append({"one": row.debt_id, "due": end})
        else:
            kept.append(row)
    this = debt.c.id == bindparam("one")
    if later:
        await connection.execute(update(debt).where(this).values(due=bindparam("due")), later)
    if held:
        await connection.execute(update(debt).where(this).values(state=bindparam("state")), held)
    return kept


async def _one_each(connection: AsyncConnection, rows: Sequence[Row[Any]]) -> list[Row[Any]]:
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
    if row.sent_at is not None or (row.what == NOTE and row.kind == "wall"):
        return None
    return quiet_until(now, row.time_zone, row.quiet_from, row.quiet_to)


async def _advanced(
    connection: AsyncConnection, rows: Sequence[Row[Any]], now: datetime
) -> dict[int, _Step]:
    """Each rule's next debt, written in this transaction, and what that says of this one."""
    found: dict[int, _Step] = {}
    new = []
    for row in rows:
        pattern = pattern_of(row._mapping)
        if pattern is None or row.sent_at is not None or row.stopped_at is not None:
            continue
        missed, step = 0, None
        for key, due in coming(pattern, row.debt_key):
            if due > now:
                new.append({"rule_id": row.id, "member_id": row.to_id, "key": key, "due": due})
                step = due - row.due
                break
            missed += 1
        found[row.debt_id] = _Step(missed=missed, to_next=step)
    if new:
        await connection.execute(sqlite_insert(debt).on_conflict_do_nothing(), new)
    late = [{"one": i, "missed": one.missed} for i, one in found.items() if one.missed]
    if late:
        this = update(debt).where(debt.c.id == bindparam("one"))
        await connection.execute(this.values(missed=bindparam("missed")), late)
    return await _moved(connection, rows, found, now)


async def _moved(
    connection: AsyncConnection, rows: Sequence[Row[Any]], found: dict[int, _Step], now: datetime
) -> dict[int, _Step]:
    """Which follow the last one closely because their reader's zone is another since."""
    wall = {row.id: row for row in rows if row.debt_id in found and row.kind == "wall"}
    newest = select(func.max(debt.c.id)).where(
        debt.c.rule_id.in_(wall), debt.c.state.in_(_SENT)
    ).group_by(debt.c.rule_id)  # fmt: skip
    query = select(debt.c.rule_id, debt.c.key, debt.c.due, debt.c.sent_at).where(
        debt.c.id.in_(newest)
    )
    for last in (await connection.execute(query)).all() if wall else ():
        row = wall[last.rule_id]
        step = found[row.debt_id]
        elsewhere = instant(datetime.fromisoformat(last.key), row.zone) != last.due
        if elsewhere and step.to_next is not None and now - last.sent_at < step.to_next / 2:
            found[row.debt_id] = replace(step, soon=True)
    return found


def _gathered(rows: Sequence[Row[Any]], advanced: dict[int, _Step]) -> list[_Gathered]:
    """Debts by where they go: several at once in one place make one message."""
    groups: dict[tuple[object, ...], _Gathered] = {}
    full = 0
    for row in rows:
        place: tuple[object, ...] = ("room", row.community_id) if row.room else ("to", row.to_id)
        if row.what in _ALONE:
            place = ("alone", row.debt_id)
        if place in groups and len(groups[place].debts) >= MOST_TOGETHER:
            full += 1
            groups[(*place, full)] = groups.pop(place)
        step = advanced.get(row.debt_id, _Step(missed=row.missed))
        one = _debt(row, step.missed, soon=step.soon)
        groups.setdefault(place, _Gathered(_recipient(row), [])).debts.append(one)
    return list(groups.values())


def _debt(row: Row[Any], missed: int, *, soon: bool = False) -> Debt:
    return Debt(
        id=row.debt_id,
        rule=rule_of(row._mapping),
        key=row.debt_key,
        due=row.due,
        missed=missed,
        soon=soon,
    )


def _recipient(row: Row[Any]) -> Recipient:
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


async def _left_behind(connection: AsyncConnection, lease: Lease) -> tuple[Claimed, ...]:
    """Posts whose lease ended: of a worker that died, or that are to be tried again now."""
    query = select(post).where(post.c.state == "open", ended()).order_by(post.c.id).limit(_BATCH)
    rows = (await connection.execute(query)).all()
    if not rows:
        return ()
    ids = [row.id for row in rows]
    await connection.execute(
        update(post)
        .where(post.c.id.in_(ids))
        .values(owner=lease.owner, attempt=post.c.attempt + 1, **lease.until())
    )
    return tuple(await _reclaimed(connection, rows))


async def _reclaimed(connection: AsyncConnection, rows: Sequence[Row[Any]]) -> list[Claimed]:
    ids = [row.id for row in rows]
    owed: dict[int, list[Row[Any]]] = {}
    query = _joined().where(debt.c.post_id.in_(ids), debt.c.state == "posted").order_by(debt.c.id)
    for one in (await connection.execute(query)).all():
        owed.setdefault(one.post_id, []).append(one)
    found = []
    for row in rows:
        debts = owed.get(row.id, [])
        to = _recipient(debts[0]) if debts else await _recipient_of(connection, row)
        fresh = row.tried_mono is None or (
            row.boot == boot_id() and monotonic() - row.tried_mono < _NONCE_S
        )
        found.append(
            Claimed(
                id=row.id,
                attempt=row.attempt + 1,
                nonce=row.nonce,
                to=to,
                debts=tuple(_debt(one, one.missed) for one in debts),
                body=_body(row.body),
                tried_at=row.tried_at,
                nonce_fresh=fresh,
            )
        )
    return found


async def _recipient_of(connection: AsyncConnection, row: Row[Any]) -> Recipient:
    """Of a post without debts: a note in a room, or one whose debts were all taken back."""
    query: Select[Any] = select(community.c.guild_id, community.c.room_id).where(
        community.c.id == row.community_id
    )
    place = (await connection.execute(query)).one()
    return Recipient(
        community_id=row.community_id,
        guild_id=place.guild_id,
        channel_id=row.channel_id or place.room_id,
    )


def _body(data: dict[str, Any] | None) -> Body | None:
    if data is None:
        return None
    return Body(
        content=data["content"],
        buttons=tuple((key, label) for key, label in data["buttons"]),
        silent=data["silent"],
        mention=data["mention"],
    )


def next_due() -> Select[Any]:
    """The next moment at which something is due."""
    return select(func.min(debt.c.due, type_=debt.c.due.type)).where(debt.c.state == "due")


def next_lease() -> Select[Any]:
    """The next time by the monotonic clock at which a post may be tried again."""
    return select(func.min(post.c.lease_until)).where(post.c.state == "open")


async def waits(store: Store) -> tuple[datetime | None, float | None]:
    """The calendar moment, and the real seconds, until there is something to do."""
    async with store.read() as connection:
        due = (await connection.execute(next_due())).scalar()
        ends = (await connection.execute(next_lease())).scalar()
    return due, None if ends is None else max(0.0, ends - monotonic())
