"""What a button remembers: a random id on the platform's side, everything else here.

The id alone tells nothing and opens nothing: it is looked up together with who presses and where.
"""

from __future__ import annotations

import base64
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from sqlalchemy import delete, insert, select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.answer import Offer, Remember, line
from bot.records.people import Asker
from bot.records.questions import from_json, to_json
from bot.storage.engine import Store
from bot.storage.models import handle

_LIFE = timedelta(hours=24)


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
            "user_id": asker.user_id,
            "action": {
                "question": to_json(offer.question),
                "remember": [[r.setting, r.value] for r in offer.remember],
            },
            "expires_at": now + _LIFE,
        }
        for key, offer in offers
    ]
    await connection.execute(insert(handle), rows)


async def find_offer(store: Store, asker: Asker, key: str, now: datetime) -> Offer | None:
    """What the button `key` stands for, if it is this person's, of this place, and still good."""
    query = select(handle.c.action).where(
        handle.c.id == key,
        handle.c.user_id == asker.user_id,
        handle.c.guild_id.is_(None)
        if asker.guild_id is None
        else handle.c.guild_id == asker.guild_id,
        handle.c.expires_at > now,
    )
    async with store.single() as connection:
        action = (await connection.execute(query)).scalar()
    if action is None:
        return None
    remember = tuple(Remember(setting=s, value=v) for s, v in action["remember"])
    return Offer(
        label=line("button.text", text=""),
        question=from_json(action["question"]),
        remember=remember,
    )


def _new_id() -> str:
    return base64.b32encode(secrets.token_bytes(16)).decode().rstrip("=").lower()
