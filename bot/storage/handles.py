"""What a button remembers: a random id on the platform's side, everything else here.

The id alone tells nothing and opens nothing: it is looked up together with who presses and where.
"""

from __future__ import annotations

import base64
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import delete, insert, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.answer import Offer, Remember, line
from bot.records.people import Asker
from bot.records.questions import from_json, to_json
from bot.storage.engine import Store
from bot.storage.models import handle

_LIFE = timedelta(days=30)
_EVERYONES_LIFE = timedelta(days=3650)  # a pinned post stays where it is


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A button's offer, when it was made, and whether its work is done."""

    offer: Offer
    made_at: datetime
    used: bool


def named(offers: Sequence[Offer]) -> tuple[tuple[str, Offer], ...]:
    """Each offer with a new random handle."""
    return tuple((_new_id(), offer) for offer in offers)


async def keep_offers(
    store: Store, asker: Asker, offers: Sequence[tuple[str, Offer]], now: datetime
) -> None:
    """Keep what each button stands for, under its handle."""
    async with store.write() as connection:
        await write_handles(connection, asker, offers, now)


async def write_handles(
    connection: AsyncConnection, asker: Asker, offers: Sequence[tuple[str, Offer]], now: datetime
) -> None:
    """The same inside a transaction that writes more; what has expired goes."""
    if not offers:
        return
    await connection.execute(delete(handle).where(handle.c.expires_at < now))
    rows = [
        {
            "id": key,
            "guild_id": asker.guild_id,
            "user_id": None if offer.anyone else asker.user_id,
            "action": {
                "question": to_json(offer.question),
                "remember": [[r.setting, r.value] for r in offer.remember],
                "form": offer.form,
            },
            "made_at": now,
            "expires_at": now + (_EVERYONES_LIFE if offer.anyone else _LIFE),
        }
        for key, offer in offers
    ]
    await connection.execute(insert(handle), rows)


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
    query = select(handle.c.action, handle.c.made_at, handle.c.used_at).where(
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
    remember = tuple(Remember(setting=s, value=v) for s, v in row.action["remember"])
    offer = Offer(
        label=line("button.text", text=""),
        question=from_json(row.action["question"]),
        remember=remember,
        form=row.action.get("form"),
    )
    return Found(offer=offer, made_at=row.made_at, used=row.used_at is not None)


def _new_id() -> str:
    return base64.b32encode(secrets.token_bytes(16)).decode().rstrip("=").lower()
