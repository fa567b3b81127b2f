"""A post that does not stand there: tried again, kept for later, or set aside."""

from __future__ import annotations

import random
from datetime import datetime
from typing import Any

from sqlalchemy import insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import quiet_until
from bot.records.reminders import Body, Claimed, Failed
from bot.storage.engine import Store
from bot.storage.models import community, debt, member, post
from bot.storage.reminding.freezing import body_json
from bot.storage.reminding.leases import Lease, held_by, new_nonce
from bot.storage.reminding.unsent import ALONE, set_unsent, tell_coaches

_LONGEST_WAIT_S = 900.0
_MOST_TRIES = 8  # over eight minutes, each of several requests
_UNCLEAR = "unclear"
_TOLD_TO_WAIT = frozenset({429, 40003})


async def settle_failed(
    store: Store,
    lease: Lease,
    one: Claimed,
    failed: Failed,
    now: datetime,
    *,
    note: Body | None = None,
    others_pass: bool = False,
) -> None:
    """It does not stand there: tried again later, kept until somebody can be reached, or set aside.

    note: what to say in the room to one whose private messages are closed, if they agreed to it;
    others_pass: the platform takes other messages just now.
    """
    async with store.write() as connection:
        fence = held_by(lease.owner, one)
        query = select(post.c.failures, post.c.reason).where(fence)
        row = (await connection.execute(query)).first()
        if row is None:
            return
        waited = failed.why == "limited" or failed.code in _TOLD_TO_WAIT
        failures = row.failures + (0 if waited else 1)
        unclear = row.reason == _UNCLEAR or failed.why == "unknown"
        match failed.why:
            case "closed":
                await _hold(connection, one, failed, now, unclear=unclear)
                await _closed(connection, lease, one, note, now)
            case "gone" if one.to.user_id is None:
                await _hold(connection, one, failed, now, unclear=unclear)
                await _room_gone(connection, one, now)
            case "rejected" if len(one.debts) > 1 and not unclear:
                await _apart(connection, one, failed)
            case "rejected":
                await _set_aside(connection, one, "rejected", failed, now)
            case _ if failures >= _MOST_TRIES and others_pass:
                await _set_aside(connection, one, _UNCLEAR if unclear else "tries", failed, now)
            case _:  # however late: an outage is no reason to lose anything
                if failed.why == "gone":
                    await _forget_channel(connection, one)
                await _again(connection, lease, one, failures, failed.wait_s)
                if unclear:
                    values = {"reason": _UNCLEAR}
                    await connection.execute(update(post).where(post.c.id == one.id).values(values))


async def _again(
    connection: AsyncConnection, lease: Lease, one: Claimed, failures: int, wait_s: float
) -> None:
    """The lease is kept until the next try, which takes it anew like anybody's."""
    wait = min(_LONGEST_WAIT_S, wait_s or 2.0 ** min(failures, 9) * random.uniform(0.8, 1.2))
    await connection.execute(
        update(post).where(post.c.id == one.id).values(failures=failures, **lease.until(wait))
    )


async def _forget_channel(connection: AsyncConnection, one: Claimed) -> None:
    """Their private channel is another by now: it is opened anew."""
    await connection.execute(
        update(member).where(member.c.id == one.to.member_id).values(channel_id=None)
    )


async def _void(
    connection: AsyncConnection, one: Claimed, state: str, failed: Failed, why: str
) -> None:
    await connection.execute(
        update(post)
        .where(post.c.id == one.id)
        .values(state=state, body=None, reason=f"{why} {failed.code}".strip())
    )


async def _apart(connection: AsyncConnection, one: Claimed, failed: Failed) -> None:
    """One line of several may be what is refused: each is tried by itself."""
    await _void(connection, one, "void", failed, failed.why)
    await connection.execute(
        update(debt)
        .where(debt.c.post_id == one.id, debt.c.state == "posted")
        .values(state="due", reason=ALONE, post_id=None)
    )


async def _hold(
    connection: AsyncConnection, one: Claimed, failed: Failed, now: datetime, *, unclear: bool
) -> None:
    """Its debts wait until somebody can be reached; not when an earlier try may stand there."""
    if unclear:
        await _set_aside(connection, one, _UNCLEAR, failed, now)
        return
    await _void(connection, one, "void", failed, failed.why)
    await connection.execute(
        update(debt)
        .where(debt.c.post_id == one.id, debt.c.state == "posted")
        .values(state="held", post_id=None)
    )


async def _set_aside(
    connection: AsyncConnection, one: Claimed, reason: str, failed: Failed, now: datetime
) -> None:
    """It is not tried any more: its owner and the coaches see why, and may send it again."""
    await _void(connection, one, "failed", failed, reason)
    theirs = (debt.c.post_id == one.id) & (debt.c.state == "posted")
    await set_unsent(connection, theirs, reason, now)


async def _closed(
    connection: AsyncConnection, lease: Lease, one: Claimed, note: Body | None, now: datetime
) -> None:
    """Their later reminders wait too; one note in the room, if they agreed to it."""
    who = (
        await connection.execute(
            select(
                member.c.room_notes,
                member.c.noted,
                community.c.room_id,
                community.c.room_held,
                community.c.time_zone,
                community.c.quiet_from,
                community.c.quiet_to,
            )
            .join(community, community.c.id == member.c.community_id)
            .where(member.c.id == one.to.member_id)
        )
    ).first()
    if who is None:
        return
    say = note is not None and who.room_notes and not who.noted
    say = say and who.room_id is not None and not who.room_held
    await connection.execute(
        update(member)
        .where(member.c.id == one.to.member_id)
        .values(closed=True, noted=who.noted or say)
    )
    if say and note is not None:
        row = {
            "community_id": one.to.community_id,
            "made_at": now,
            "owner": lease.owner,
            "nonce": new_nonce(),
            "note": True,
            "body": body_json(note),
            "channel_id": who.room_id,
            **lease.until(_until_loud(who, now)),
        }
        await connection.execute(insert(post).values(row))


def _until_loud(place: Any, now: datetime) -> float:
    """Seconds until the room's quiet hours are over."""
    end = quiet_until(now, place.time_zone, place.quiet_from, place.quiet_to)
    return 0.0 if end is None else (end - now).total_seconds()


async def _room_gone(connection: AsyncConnection, one: Claimed, now: datetime) -> None:
    """The room's reminders wait; each coach is told once."""
    held = update(community).where(community.c.id == one.to.community_id, ~community.c.room_held)
    if (await connection.execute(held.values(room_held=True))).rowcount == 0:
        return
    await tell_coaches(connection, one.to.community_id, f"room:{one.id}", now)
