"""Wall rules that go by another zone: the same wall times, the same keys, other moments."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ColumnElement, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import instant
from bot.storage.models import debt, rule

OPEN = ("due", "held")


async def move_zone(
    connection: AsyncConnection, whose: ColumnElement[bool], zone_name: str
) -> None:
    """The rules of `whose`, from now on by the clocks of `zone_name`.

    What was said for a local date is not said for it again: its key is there already.
    """
    of_wall = whose & (rule.c.kind == "wall")
    query = (
        select(debt.c.id, debt.c.key)
        .join(rule, rule.c.id == debt.c.rule_id)
        .where(of_wall, debt.c.state.in_(OPEN), debt.c.sent_at.is_(None))
    )
    rows = (await connection.execute(query)).all()
    await connection.execute(update(rule).where(of_wall).values(zone=zone_name))
    for row in rows:
        due = instant(datetime.fromisoformat(row.key), zone_name)
        await connection.execute(update(debt).where(debt.c.id == row.id).values(due=due))
