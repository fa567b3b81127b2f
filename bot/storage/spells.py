"""A coach's notice of heat, wind or frost: who is owed their own numbers."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import insert, select
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.changes import TellOutdoors
from bot.records.reminders import SPELL
from bot.storage.engine import new_key
from bot.storage.models import debt, keeper, rule, tower
from bot.storage.people import Writer


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
        rule_id = await _rule(connection, who.community_id, member_id, now)
        if rule_id is None:
            continue
        owed = {"rule_id": rule_id, "member_id": member_id, "key": change.key, "due": now}
        await connection.execute(sqlite_insert(debt).values(owed).on_conflict_do_nothing())
        told += 1
    return {"told": told}


async def _rule(
    connection: AsyncConnection, community_id: int, member_id: int, now: datetime
) -> int | None:
    """The member's rule for it, made when it is first needed; None where they stopped it."""
    query = select(rule.c.id, rule.c.stopped_at).where(
        rule.c.member_id == member_id, rule.c.what == SPELL
    )
    found = (await connection.execute(query)).first()
    if found is not None:
        return None if found.stopped_at is not None else int(found.id)
    row = {"community_id": community_id, "member_id": member_id, "what": SPELL, "kind": "fact",
           "made_at": now}  # fmt: skip
    return new_key(await connection.execute(insert(rule).values(row)))
