"""A coach's notice of heat, wind or frost: who is owed their own numbers."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.changes import TellOutdoors
from bot.records.reminders import SPELL
from bot.storage.models import debt, keeper, tower
from bot.storage.people import Writer
from bot.storage.reminding.rules import rule_for


async def tell_outdoors(
    connection: AsyncConnection, change: TellOutdoors, who: Writer, now: datetime
) -> dict[str, Any]:
    """Each keeper of a tower outdoors, once for each spell; not who has stopped them."""
    query = (
        select(keeper.c.member_id)
        .join(tower, tower.c.id == keeper.c.tower_id)
        .where(
            tower.c.community_id == who.community_id,
            tower.c.place == "outdoor",
            tower.c.packed.is_(False),
            keeper.c.accepted,
        )
        .distinct()
    )
    whom = (await connection.execute(query)).scalars().all()
    told = 0
    for member_id in whom:
        rule_id, stopped = await rule_for(connection, who.community_id, member_id, SPELL, now)
        if stopped:
            continue
        owed = {"rule_id": rule_id, "member_id": member_id, "key": change.key, "due": now}
        await connection.execute(sqlite_insert(debt).values(owed).on_conflict_do_nothing())
        told += 1
    return {"told": told}
