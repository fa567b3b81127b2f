"""What a person has at home: each telling is a row, the last word on an item counts."""

from __future__ import annotations

from typing import Any

from sqlalchemy import delete, func, insert, select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.changes import SetSupply, UndoSupply
from bot.storage.models import supply
from bot.storage.people import Writer

MOST_ITEMS = 60
_MOST_WORDS = 40  # tellings kept of one item


async def set_supply(connection: AsyncConnection, change: SetSupply, who: Writer) -> dict[str, Any]:
    """What is left now, as told."""
    told = change.supply
    mine = supply.c.member_id == who.member_id
    items = select(func.count(supply.c.item.distinct())).where(mine, supply.c.item != told.item)
    if ((await connection.execute(items)).scalar() or 0) >= MOST_ITEMS:
        raise Refusal("no.supply_limit", outcome="refuse", count=MOST_ITEMS)
    row = {
        "member_id": who.member_id,
        "item": told.item,
        "left": told.left,
        "unit": told.unit,
        "size": told.size,
        "week": told.week,
        "lead_days": told.lead_days,
        "at": told.at,
    }
    await connection.execute(insert(supply).values(row))
    old = (
        select(supply.c.id)
        .where(mine, supply.c.item == told.item)
        .order_by(supply.c.id.desc())
        .offset(_MOST_WORDS)
    )
    await connection.execute(delete(supply).where(supply.c.id.in_(old)))
    return {"item": "told"}


async def undo_supply(
    connection: AsyncConnection, change: UndoSupply, who: Writer
) -> dict[str, Any]:
    """One telling of an item gone."""
    gone = await connection.execute(
        delete(supply).where(
            supply.c.member_id == who.member_id,
            supply.c.item == change.item,
            supply.c.at == change.at,
        )
    )
    if gone.rowcount < 1:
        raise Refusal("no.undone", outcome="refuse")
    return {"item": "undone"}
