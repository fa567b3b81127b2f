"""What a button remembers: a random id on the platform's side, everything else here.

The id alone tells nothing and opens nothing: it is looked up together with who presses and where.
"""

from __future__ import annotations

import base64
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import insert, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.answer import Offer, Remember, line
from bot.records.people import Asker
from bot.records.questions import from_json, to_json
from bot.storage.engine import Store
from bot.storage.models import handle, member

_LIFE = timedelta(days=30)
_EVERYONES_LIFE = timedelta(days=3650)  # a pinned post stays where it is


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A button's offer, when it was made, and whether its work is done."""

    offer: Offer
    made_at: datetime
    used: bool
    community_id: int | None = None


def named(offers: Sequence[Offer]) -> tuple[tuple[str, Offer], ...]:
    """Each offer with a new random handle."""
    return tuple((_new_id(), offer) for offer in offers)


async def keep_offers(
    store: Store,
    asker: Asker,
    offers: Sequence[tuple[str, Offer]],
    now: datetime,
    member_id: int = 0,
) -> None:
    """Keep what each button stands for, under its handle.

    Buttons of answers that are worked out at the same time are written together: the disk is
    waited for once.
    """
    rows = _rows(asker, offers, now)
    await store.gathering.keep((rows, member_id), lambda batch: _write_batch(store, batch, now))


async def _write_batch(
    store: Store, batch: Sequence[tuple[list[dict[str, Any]], int]], now: datetime
) -> None:
    async with store.write() as connection:
        known = {member_id for _, member_id in batch if member_id}
        query = select(member.c.id).where(member.c.id.in_(known))
        there = set((await connection.execute(query)).scalars()) if known else set()
        # Who was forgotten meanwhile gets no button that remembers them.
        rows = [row for many, member_id in batch if not member_id or member_id in there
                for row in many]  # fmt: skip
        if rows:
            await connection.execute(insert(handle), rows)


async def write_handles(
    connection: AsyncConnection,
    asker: Asker,
    offers: Sequence[tuple[str, Offer]],
    now: datetime,
) -> None:
    """The same inside a transaction that writes more."""
    if not offers:
        return
    await connection.execute(insert(handle), _rows(asker, offers, now))


async def write_private_handles(
    connection: AsyncConnection,
    many: Sequence[tuple[int, int, Sequence[tuple[str, Offer]]]],
    now: datetime,
) -> None:
    """Buttons of private messages sent on our own: for whom, about which community."""
    rows = [
        row
        for user_id, community_id, offers in many
        for row in _rows(
            Asker(user_id=user_id, name="", guild_id=None, private=True, community_id=community_id),
            offers,
            now,
        )
    ]
    if rows:
        await connection.execute(insert(handle), rows)


def _rows(asker: Asker, offers: Sequence[tuple[str, Offer]], now: datetime) -> list[dict[str, Any]]:
    return [
        {
            "id": key,
            "guild_id": asker.guild_id,
            "community_id": asker.community_id,
            "user_id": None if offer.anyone else asker.user_id,
            "action": {
                "question": to_json(offer.question),
                "remember": [[r.setting, r.value] for r in offer.remember],
                "form": offer.form,
            },
            "made_at": now,
            "expires_at": now + (_EVERYONES_LIFE if offer.anyone and offer.form is None else _LIFE),
        }
        for key, offer in offers
    ]


async def use_handle(connection: AsyncConnection, key: str, now: datetime) -> None:
    """Mark a button's work as done, in the transaction that does it.

    Raises
    ------
    Refusal
        It was done before: two presses, one effect.
    """
    done = await connection.execute(
        update(handle)
        .where(handle.c.id == key, handle.c.used_at.is_(None), handle.c.user_id.is_not(None))
        .values(used_at=now)
    )
    if done.rowcount == 1:
        return
    own = select(handle.c.user_id).where(handle.c.id == key, handle.c.user_id.is_not(None))
    if (await connection.execute(own)).first() is not None:
        raise Refusal("no.used", outcome="refuse")


async def find_offer(store: Store, asker: Asker, key: str, now: datetime) -> Found | None:
    """What the button `key` stands for, if it is this person's, of this place, and still good."""
    query = select(
        handle.c.action, handle.c.made_at, handle.c.used_at, handle.c.community_id
    ).where(
        handle.c.id == key,
        or_(handle.c.user_id == asker.user_id, handle.c.user_id.is_(None)),
        handle.c.guild_id.is_(None)
        if asker.guild_id is None
        else handle.c.guild_id == asker.guild_id,
        handle.c.expires_at > now,
    )
    async with store.single() as connection:
        row = (await connection.execute(query)).first()
    if row is None:
        return None
    try:
        offer = Offer(
            label=line("button.text", text=""),
            question=from_json(row.action["question"]),
            remember=tuple(Remember(setting=s, value=v) for s, v in row.action["remember"]),
            form=row.action.get("form"),
        )
    except (KeyError, TypeError, ValueError):
        return None  # of another version: as good as expired
    return Found(
        offer=offer,
        made_at=row.made_at,
        used=row.used_at is not None,
        community_id=row.community_id,
    )


def _new_id() -> str:
    return base64.b32encode(secrets.token_bytes(16)).decode().rstrip("=").lower()
