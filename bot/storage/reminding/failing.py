"""A post that does not stand there: tried again, or kept until somebody can be reached."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import quiet_until
from bot.records.reminders import NOTE, TROUBLE, Body, Claimed, Failed
from bot.storage.engine import Store, new_key
from bot.storage.models import community, debt, member, post, rule
from bot.storage.reminding.freezing import body_json
from bot.storage.reminding.leases import Lease, held_by, new_nonce

_LONGEST_WAIT_S = 900.0


async def settle_failed(
    store: Store, lease: Lease, one: Claimed, failed: Failed, note: Body | None, now: datetime
) -> None:
    """It does not stand there: tried again later, or kept until somebody can be reached.

    note: what to say in the room to one whose private messages are closed, if they agreed to it.
    """
    async with store.write() as connection:
        fence = held_by(lease.owner, one)
        row = (await connection.execute(select(post.c.failures).where(fence))).first()
        if row is None:
            return
        failures = row.failures + (0 if failed.why == "limited" else 1)
        match failed.why:
            case "closed":
                await _void(connection, one, "held", "closed")
                await _closed(connection, lease, one, note, now)
            case "gone" if one.to.user_id is None:
                await _void(connection, one, "held", f"gone {failed.code}")
                await _room_gone(connection, one, now)
            case "gone":
                await connection.execute(
                    update(member).where(member.c.id == one.to.member_id).values(channel_id=None)
                )
                await _again(connection, lease, one, failures, failed.wait_s)
            case "rejected":
                await _void(connection, one, "failed", f"rejected {failed.code}")
                await _tell_owners(connection, one, "rejected", now)
            case _:  # however late: an outage is no reason to lose anything
                await _again(connection, lease, one, failures, failed.wait_s)


async def _again(
    connection: AsyncConnection, lease: Lease, one: Claimed, failures: int, wait_s: float
) -> None:
    """The lease is kept until the next try, which takes it anew like anybody's."""
    wait = min(_LONGEST_WAIT_S, wait_s or 2.0 ** min(failures, 9))
    await connection.execute(
        update(post).where(post.c.id == one.id).values(failures=failures, **lease.until(wait))
    )


async def _void(connection: AsyncConnection, one: Claimed, state: str, reason: str) -> None:
    await connection.execute(
        update(post)
        .where(post.c.id == one.id)
        .values(state="failed" if state == "failed" else "void", body=None, reason=reason)
    )
    await connection.execute(
        update(debt)
        .where(debt.c.post_id == one.id, debt.c.state == "posted")
        .values(state=state, post_id=None)
    )


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
    coaches = select(member.c.id).where(
        member.c.community_id == one.to.community_id, member.c.role == "coach"
    )
    for member_id in (await connection.execute(coaches)).scalars().all():
        await _trouble(connection, one.to.community_id, member_id, f"room:{one.id}", now)


async def _tell_owners(connection: AsyncConnection, one: Claimed, word: str, now: datetime) -> None:
    """Whoever made the rule hears that it could not be said; never of a notice about a notice."""
    query = select(rule.c.member_id).where(
        rule.c.id.in_([d.rule.id for d in one.debts]), rule.c.what == NOTE, rule.c.room
    )
    for member_id in set((await connection.execute(query)).scalars()):
        await _trouble(connection, one.to.community_id, member_id, f"{word}:{one.id}", now)


async def _trouble(
    connection: AsyncConnection, community_id: int, member_id: int, key: str, now: datetime
) -> None:
    query = select(rule.c.id).where(rule.c.member_id == member_id, rule.c.what == TROUBLE)
    rule_id = (await connection.execute(query)).scalar()
    if rule_id is None:
        row = {"community_id": community_id, "member_id": member_id, "what": TROUBLE,
               "kind": "fact", "made_at": now}  # fmt: skip
        rule_id = new_key(await connection.execute(insert(rule).values(row)))
    owed = {"rule_id": rule_id, "member_id": member_id, "key": key, "due": now}
    await connection.execute(sqlite_insert(debt).values(owed).on_conflict_do_nothing())
