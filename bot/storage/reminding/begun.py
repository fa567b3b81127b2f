"""Posts left by a worker that is gone, or that are to be tried again."""

from __future__ import annotations

import json
from collections.abc import Sequence
from time import monotonic
from typing import Any

from sqlalchemy import Row, Select, Text, cast, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.reminders import Body, Claimed, Recipient
from bot.storage.leaving import away
from bot.storage.models import community, debt, post
from bot.storage.reminding.due import debt_of, joined, recipient_of
from bot.storage.reminding.leases import Lease, boot_id, ended

_BATCH = 200
_NONCE_S = 110.0  # the platform remembers a nonce for "the past few minutes"


async def left_behind(connection: AsyncConnection, lease: Lease) -> tuple[Claimed, ...]:
    """Posts whose lease ended: of a worker that died, or that are to be tried again now."""
    columns = [c for c in post.c if c.name != "body"]
    query: Select[Any] = (
        select(*columns, cast(post.c.body, Text).label("body"))
        .where(post.c.state == "open", ended(), ~away())
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
    query = joined().where(debt.c.post_id.in_(ids), debt.c.state == "posted").order_by(debt.c.id)
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
                to=recipient_of(debts[0]) if debts else await _room_of_note(connection, row),
                debts=tuple(debt_of(one, one.missed) for one in debts),
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
