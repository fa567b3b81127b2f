"""A post kept as it is to be sent, and looked at once more just before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from time import monotonic
from typing import Any

from sqlalchemy import bindparam, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.answer import Offer
from bot.records.reminders import Body, Claimed
from bot.storage.engine import Store
from bot.storage.handles import write_private_handles
from bot.storage.models import debt, post
from bot.storage.reminding.leases import Lease, held_by, new_nonce
from bot.storage.reminding.plans import mark_one
from bot.storage.reminding.unsent import set_unsent


@dataclass(frozen=True, slots=True, kw_only=True)
class Frozen:
    """A post as it is to be sent; body None: nothing of it serves any more.

    void: debts that their facts no longer owe; failed: those that cannot be put into words.
    """

    post: Claimed
    body: Body | None
    void: tuple[int, ...] = ()
    failed: tuple[int, ...] = ()
    offers: tuple[tuple[str, Offer], ...] = ()


async def freeze(
    store: Store, lease: Lease, many: Sequence[Frozen], now: datetime
) -> frozenset[int]:
    """Keep what each post says before it is sent, so that a repeat says the same; the numbers of
    those that are still this worker's."""
    async with store.write() as connection:
        ours = await _still_held(connection, lease, many)
        if not ours:
            return frozenset()
        rows = [
            {
                "one": one.post.id,
                "state": "void" if one.body is None else "open",
                "body": None if one.body is None else body_json(one.body),
                "tried_at": now,
                "tried_mono": monotonic(),
                **lease.until(),
            }
            for one in ours
        ]
        names = ("state", "body", "tried_at", "tried_mono", "boot", "lease_until")
        kept: dict[str, Any] = {name: bindparam(name) for name in names}
        await connection.execute(
            update(post).where(post.c.id == bindparam("one")).values(kept), rows
        )
        await _void_debts(connection, ours, now)
        await write_private_handles(
            connection,
            [(one.post.to.user_id or 0, one.post.to.community_id, one.offers) for one in ours],
            now,
        )
    return frozenset(one.post.id for one in ours)


async def _still_held(
    connection: AsyncConnection, lease: Lease, many: Sequence[Frozen]
) -> list[Frozen]:
    query = select(post.c.id, post.c.attempt, post.c.nonce).where(
        post.c.id.in_([one.post.id for one in many]),
        post.c.owner == lease.owner,
        post.c.state == "open",
    )
    held = {(row.id, row.attempt, row.nonce) for row in (await connection.execute(query)).all()}
    return [one for one in many if (one.post.id, one.post.attempt, one.post.nonce) in held]


async def _void_debts(connection: AsyncConnection, many: Sequence[Frozen], now: datetime) -> None:
    """What its facts no longer owe is looked at again: it may be owed another time."""
    for one in many:
        if one.failed:
            broken = debt.c.id.in_(one.failed) & (debt.c.state == "posted")
            await set_unsent(connection, broken, "broken", now)
        if not one.void:
            continue
        await connection.execute(
            update(debt)
            .where(debt.c.id.in_(one.void), debt.c.state == "posted")
            .values(state="withdrawn", post_id=None)
        )
        await mark_one(connection, one.post.to.member_id)


def body_json(body: Body) -> dict[str, Any]:
    return {
        "content": body.content,
        "buttons": [list(pair) for pair in body.buttons],
        "silent": body.silent,
        "mention": body.mention,
    }


async def looked_at(store: Store, lease: Lease, one: Claimed) -> str:
    """What is to become of a post just before it is sent: "send", "void" when all of it was
    stopped or done since, "anew" when some of it was, and it is to be put into words again."""
    left = select(debt.c.id).where(debt.c.post_id == one.id, debt.c.state == "posted").limit(1)
    async with store.read() as connection:
        owed = (await connection.execute(left)).first() is not None
        stale = (await connection.execute(select(post.c.stale).where(post.c.id == one.id))).scalar()
    if not owed:
        return "void"
    return "anew" if stale else "send"


async def give_back(store: Store, lease: Lease, one: Claimed) -> None:
    """Not sent: claimed anew at once. Words of a first try were never said, so they may go."""
    values: dict[str, Any] = {**lease.until(0.0)}
    if one.body is None:
        values |= {"body": None, "tried_at": None, "tried_mono": None, "stale": False}
    async with store.write() as connection:
        await connection.execute(update(post).where(held_by(lease.owner, one)).values(values))


async def begin_anew(store: Store, lease: Lease, one: Claimed) -> None:
    """An earlier try made nothing, and its words are old: forgotten, like the nonce they had."""
    async with store.write() as connection:
        await connection.execute(
            update(post)
            .where(held_by(lease.owner, one))
            .values(
                body=None, tried_at=None, tried_mono=None, nonce=new_nonce(), stale=False,
                reason=None,
                **lease.until(0.0),
            )
        )  # fmt: skip
