"""What became of a claimed post, behind its fence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.reminders import Claimed, Sent
from bot.storage.engine import Store
from bot.storage.models import debt, member, post
from bot.storage.reminding.leases import Lease


async def settle_sent(store: Store, lease: Lease, one: Claimed, sent: Sent, now: datetime) -> bool:
    """It stands there. False: another worker has it by now, and this word is too late.

    Those sent at the same time are settled together: the disk is waited for once.
    """
    done = _Done(post=one, sent=sent, owner=lease.owner, at=now, result=[])
    await store.gathering_posts.keep(done, lambda batch: _settle_batch(store, batch))
    return bool(done.result and done.result[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Done:
    """One message that stands there, and where its sender waits for the word."""

    post: Claimed
    sent: Sent
    owner: str
    at: datetime
    result: list[bool]


async def _settle_batch(store: Store, batch: Sequence[_Done]) -> None:
    async with store.write() as connection:
        query = select(post.c.id, post.c.attempt, post.c.nonce, post.c.owner).where(
            post.c.id.in_([one.post.id for one in batch]), post.c.state == "open"
        )
        held = {tuple(row) for row in (await connection.execute(query)).all()}
        ours = [
            one
            for one in batch
            if (one.post.id, one.post.attempt, one.post.nonce, one.owner) in held
        ]
        if ours:
            await _write_sent(connection, ours)
        await _write_reached(connection, [one for one in batch if one.post.to.member_id])
    for one in batch:
        one.result.append(one in ours)


async def _write_sent(connection: AsyncConnection, many: Sequence[_Done]) -> None:
    rows = [
        {"one": d.post.id, "message": d.sent.message_id, "channel": d.sent.channel_id, "at": d.at}
        for d in many
    ]
    sent = update(post).where(post.c.id == bindparam("one"))
    values: dict[str, Any] = {
        "message_id": bindparam("message"),
        "channel_id": bindparam("channel"),
    }
    await connection.execute(sent.values(state="sent", body=None, **values), rows)
    paid = update(debt).where(debt.c.post_id == bindparam("one"), debt.c.state == "posted")
    await connection.execute(paid.values(state="sent", sent_at=bindparam("at")), rows)


async def _write_reached(connection: AsyncConnection, many: Sequence[_Done]) -> None:
    """Who takes messages again needs no word in the room any more."""
    if many:
        reached = update(member).where(member.c.id == bindparam("who"), member.c.noted)
        rows = [{"who": one.post.to.member_id} for one in many]
        await connection.execute(reached.values(noted=False), rows)


async def keep_channel(store: Store, member_id: int, channel_id: int) -> None:
    """The private channel with somebody, kept before the first message goes there."""
    async with store.write() as connection:
        await connection.execute(
            update(member).where(member.c.id == member_id).values(channel_id=channel_id)
        )


async def renew(store: Store, lease: Lease, nonces: Sequence[str]) -> None:
    """Hold on to posts that are being sent: the platform may let us wait."""
    async with store.write() as connection:
        await connection.execute(
            update(post)
            .where(post.c.nonce.in_(nonces), post.c.owner == lease.owner, post.c.state == "open")
            .values(**lease.until())
        )


async def release(store: Store, lease: Lease) -> None:
    """Give back what was claimed and not sent: whoever starts next sends it at once."""
    async with store.write() as connection:
        await connection.execute(
            update(post)
            .where(post.c.owner == lease.owner, post.c.state == "open")
            .values(**lease.until(0.0))
        )


async def free_all(store: Store) -> None:
    """Nobody else can be at work: what any worker held may be sent now."""
    async with store.write() as connection:
        await connection.execute(update(post).where(post.c.state == "open").values(lease_until=0.0))
