"""Posts claimed: debts that are due, gathered into messages, and messages left by a worker that is
gone."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from time import monotonic
from typing import Any

import structlog
from sqlalchemy import Row, Select, Text, and_, bindparam, cast, func, insert, or_, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import elapsed_key, instant, quiet_until, zone_of
from bot.records.reminders import NOTE, Body, Claimed, Debt, Pattern, Recipient
from bot.storage.engine import Store
from bot.storage.models import community, debt, member, post, rule
from bot.storage.reminding.leases import Lease, boot_id, ended, new_nonce
from bot.storage.reminding.rules import coming, pattern_of, rule_of

MOST_TOGETHER = 10  # lines that one message holds
_LONGEST, _LINE = 1800, 90  # of the platform's 2,000; what stands beside a line's own text
_BATCH, _AT_ONCE = 200, 2000
_FRESH = timedelta(minutes=1)
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
        rows = await _due_rows(connection, now, most)
        readable = await _readable(connection, rows, now)
        kept = await _one_each(connection, await _put_off(connection, readable, now))
        if not kept:
            return begun
        groups = _gathered(kept, await _advanced(connection, kept, now))
        return (*begun, *await _write_posts(connection, groups, lease, now))


async def _due_rows(connection: AsyncConnection, now: datetime, most: int) -> Sequence[Row[Any]]:
    """All that is due for those whose turn it is, so that it folds: who waits longest, and who
    fell due just now, whom a long backlog must not hold up."""
    due = (debt.c.state == "due", debt.c.due <= now)
    place = select(debt.c.member_id, rule.c.room).join(rule, rule.c.id == debt.c.rule_id)
    oldest = place.where(*due).order_by(debt.c.due, debt.c.id).limit(most)
    fresh = place.where(*due, debt.c.due > now - _FRESH).order_by(debt.c.due).limit(most)
    turns = {
        (row.member_id, row.room)
        for query in (oldest, fresh)
        for row in (await connection.execute(query)).all()
    }
    if not turns:
        return ()
    theirs = [member_id for member_id, room in turns if not room]
    rooms = [member_id for member_id, room in turns if room]
    whose = or_(
        and_(~rule.c.room, debt.c.member_id.in_(theirs)),
        and_(rule.c.room, debt.c.member_id.in_(rooms)),
    )
    query_ = _joined().where(*due, whose).order_by(debt.c.due, debt.c.id).limit(_AT_ONCE)
    rows: Sequence[Row[Any]] = (await connection.execute(query_)).all()
    return rows


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


async def _readable(
    connection: AsyncConnection, rows: Sequence[Row[Any]], now: datetime
) -> list[Row[Any]]:
    """Those whose rule can be read; one that cannot is set aside, and holds up nobody."""
    kept, broken = [], []
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
        missed, step = _jumped(pattern, row.debt_key, now)
        after = row.debt_key if not missed else elapsed_key(now)
        for key, due in coming(pattern, after):
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


def _jumped(pattern: Pattern, key: str, now: datetime) -> tuple[int, timedelta | None]:
    """How many of a real-time rule fell due since, without counting each."""
    parts = dict(part.split("=") for part in pattern.rrule.split(";")) if pattern.rrule else {}
    if pattern.kind != "elapsed" or not parts or "COUNT" in parts or "UNTIL" in parts:
        return 0, None
    unit = timedelta(hours=1) if parts["FREQ"] == "HOURLY" else timedelta(minutes=1)
    since = now - datetime.fromisoformat(key)
    return max(0, since // (unit * int(parts.get("INTERVAL", 1)))), None


async def _moved(
    connection: AsyncConnection, rows: Sequence[Row[Any]], found: dict[int, _Step], now: datetime
) -> dict[int, _Step]:
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


def _gathered(rows: Sequence[Row[Any]], advanced: dict[int, _Step]) -> list[_Gathered]:
    """Debts by where they go: several at once in one place make one message."""
    groups: dict[tuple[object, ...], _Gathered] = {}
    full = 0
    for row in rows:
        place: tuple[object, ...] = ("room", row.community_id) if row.room else ("to", row.to_id)
        if row.what in _ALONE:
            place = ("alone", row.debt_id)
        if place in groups and _is_full(groups[place], row):
            full += 1
            groups[(*place, full)] = groups.pop(place)
        step = advanced.get(row.debt_id, _Step(missed=row.missed))
        one = _debt(row, step.missed, soon=step.soon)
        groups.setdefault(place, _Gathered(_recipient(row), [])).debts.append(one)
    return list(groups.values())


def _is_full(group: _Gathered, row: Row[Any]) -> bool:
    """Ten lines, or what one message holds when every sign in it has to be escaped."""
    texts = [*(d.rule.text for d in group.debts), row.text]
    longest = sum(_LINE + len(text) + sum(not c.isalnum() for c in text) for text in texts)
    return len(group.debts) >= MOST_TOGETHER or longest > _LONGEST


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
    columns = [c for c in post.c if c.name != "body"]
    query: Select[Any] = (
        select(*columns, cast(post.c.body, Text).label("body"))
        .where(post.c.state == "open", ended())
        .order_by(post.c.id)
        .limit(_BATCH)
    )
    rows = (await connection.execute(query)).all()
    if not rows:
        return ()
    ids = [row.id for row in rows]
    await connection.execute(
        update(post)
        .where(post.c.id.in_(ids))
        .values(owner=lease.owner, attempt=post.c.attempt + 1, stale=False, **lease.until())
    )
    found, empty = await _reclaimed(connection, rows)
    if empty:
        # All it was to say was stopped or done: it must not go anywhere.
        await connection.execute(
            update(post).where(post.c.id.in_(empty)).values(state="void", body=None)
        )
    return tuple(found)


async def _reclaimed(
    connection: AsyncConnection, rows: Sequence[Row[Any]]
) -> tuple[list[Claimed], list[int]]:
    """Those that still say something, and the numbers of those that do not."""
    ids = [row.id for row in rows]
    owed: dict[int, list[Row[Any]]] = {}
    query = _joined().where(debt.c.post_id.in_(ids), debt.c.state == "posted").order_by(debt.c.id)
    for one in (await connection.execute(query)).all():
        owed.setdefault(one.post_id, []).append(one)
    found, empty = [], []
    for row in rows:
        debts = owed.get(row.id, [])
        body = _body(row.body)
        if not debts and not (row.note and body is not None):
            empty.append(row.id)
            continue
        found.append(
            Claimed(
                id=row.id,
                attempt=row.attempt + 1,
                nonce=row.nonce,
                to=_recipient(debts[0]) if debts else await _room_of_note(connection, row),
                debts=tuple(_debt(one, one.missed) for one in debts),
                body=body,
                tried_at=row.tried_at,
                nonce_fresh=_is_fresh(row),
                stale=row.stale,
            )
        )
    return found, empty


def _is_fresh(row: Row[Any]) -> bool:
    """Whether the platform still knows the nonce of the last try."""
    if row.tried_mono is None:
        return True
    return bool(row.boot == boot_id() and monotonic() - row.tried_mono < _NONCE_S)


async def _room_of_note(connection: AsyncConnection, row: Row[Any]) -> Recipient:
    query = select(community.c.guild_id).where(community.c.id == row.community_id)
    guild_id = (await connection.execute(query)).scalar_one()
    return Recipient(community_id=row.community_id, guild_id=guild_id, channel_id=row.channel_id)


def _body(text: str | None) -> Body | None:
    """None where there are no words yet, or none that can be read: it is worded anew then."""
    try:
        data = json.loads(text or "null")
        return None if data is None else _words(data)
    except (ValueError, KeyError, TypeError):
        return None


def _words(data: dict[str, Any]) -> Body:
    return Body(
        content=data["content"],
        buttons=tuple((key, label) for key, label in data["buttons"]),
        silent=data["silent"],
        mention=data["mention"],
    )


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
        post.c.state == "open", post.c.nonce.notin_(sending)
    )
    async with store.read() as connection:
        due = (await connection.execute(next_due())).scalar()
        ends = (await connection.execute(next_lease)).scalar()
    return due, None if ends is None else max(0.0, ends - monotonic())
