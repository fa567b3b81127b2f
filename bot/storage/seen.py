"""The last moment at which the bot was known to be alive."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.dialects.sqlite import insert as sqlite_insert

from bot.storage.engine import Store
from bot.storage.models import meta

_NAME = "seen"


async def last_seen(store: Store) -> datetime | None:
    """When a worker last kept a sign of life; None: never."""
    async with store.single() as connection:
        query = select(meta.c.value).where(meta.c.name == _NAME)
        found = (await connection.execute(query)).scalar()
    return None if found is None else datetime.fromisoformat(found)


async def note_seen(store: Store, at: datetime) -> None:
    """Keep a sign of life (aware)."""
    row = {"name": _NAME, "value": at.isoformat()}
    write = sqlite_insert(meta).values(row)
    async with store.write() as connection:
        await connection.execute(
            write.on_conflict_do_update(index_elements=["name"], set_={"value": row["value"]})
        )
