"""A coach's notice of heat, wind or frost: who is owed their own numbers."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.clock import by_day, offset
from bot.errors import Refusal
from bot.records.changes import TellOutdoors
from bot.records.reminders import SPELL
from bot.storage.models import community, debt, keeper, member, rule, tower
from bot.storage.people import Writer
from bot.storage.reminding.rules import rule_for

_AGAIN = timedelta(hours=3)


async def tell_outdoors(
    connection: AsyncConnection, change: TellOutdoors, who: Writer, now: datetime
) -> dict[str, Any]:
    """Each keeper of a tower outdoors whose clocks are the community's: weather is no further than
    that. At once by day, else at their next morning; not who has stopped them.

    Raises
    ------
    Refusal
        The community was told of that kind within the last hours.
    """
    await _not_again(connection, change, who, now)
    zone = select(community.c.time_zone).where(community.c.id == who.community_id)
    here = (await connection.execute(zone)).scalar() or "UTC"
    query = (
        select(member.c.id, member.c.time_zone, member.c.morning)
        .select_from(
            keeper.join(tower, tower.c.id == keeper.c.tower_id).join(
                member, member.c.id == keeper.c.member_id
            )
        )
        .where(
            tower.c.community_id == who.community_id,
            tower.c.place == "outdoor",
            tower.c.packed.is_(False),
            keeper.c.accepted,
        )
        .distinct()
    )
    told = 0
    for row in (await connection.execute(query)).all():
        if offset(row.time_zone, now) != offset(here, now):
            continue
        rule_id, stopped = await rule_for(connection, who.community_id, row.id, SPELL, now)
        if stopped:
            continue
        due = by_day(now, row.time_zone, row.morning)
        owed = {"rule_id": rule_id, "member_id": row.id, "key": change.key, "due": due}
        await connection.execute(sqlite_insert(debt).values(owed).on_conflict_do_nothing())
        told += 1
    return {"told": told}


async def _not_again(
    connection: AsyncConnection, change: TellOutdoors, who: Writer, now: datetime
) -> None:
    kind = change.key.split(":")[0]
    query = (
        select(debt.c.id)
        .join(rule, rule.c.id == debt.c.rule_id)
        .where(
            rule.c.community_id == who.community_id,
            rule.c.what == SPELL,
            debt.c.key.startswith(f"{kind}:"),
            debt.c.due > now - _AGAIN,
        )
        .limit(1)
    )
    if (await connection.execute(query)).first() is not None:
        raise Refusal("bad.notice_again", outcome="refuse")
