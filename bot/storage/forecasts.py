"""Forecasts that were told, kept until they can be judged, and counted afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Select, and_, case, func, or_, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.forecasts import Foretold, Judged
from bot.storage.engine import Store
from bot.storage.models import forecast, keeper, member, tower

_FACTS = ("tower_id", "entry_id", "made_at", "what", "mark_l", "level_l", "likely", "early", "late",
          "readings")  # fmt: skip


async def unjudged(store: Store, tower_ids: Sequence[int]) -> tuple[Foretold, ...]:
    """What was told of these towers and is still open."""
    query = select(forecast).where(forecast.c.tower_id.in_(tower_ids), forecast.c.outcome == "open")
    async with store.single() as connection:
        rows = (await connection.execute(query)).mappings().all()
    return tuple(Foretold(**row) for row in rows)


async def keep_forecasts(
    connection: AsyncConnection, told: Sequence[Foretold], judged: Sequence[Foretold]
) -> None:
    """New ones, each once for its line of the log, and what became of older ones."""
    for one in judged:
        done = update(forecast).where(forecast.c.id == one.id)
        await connection.execute(done.values(outcome=one.outcome))
    ids = {one.tower_id for one in told}
    there = select(tower.c.id).where(tower.c.id.in_(ids))
    left = set((await connection.execute(there)).scalars()) if ids else set()
    # One that was forgotten since it was looked at takes nothing with it.
    rows = [{name: getattr(one, name) for name in _FACTS} for one in told if one.tower_id in left]
    if rows:
        new = sqlite_insert(forecast)
        # Another mark, or one that nobody could tell while a slip stood after it: told anew.
        again = or_(forecast.c.outcome == "void", forecast.c.mark_l != new.excluded.mark_l)
        told_now = {name: new.excluded[name] for name in _FACTS} | {"outcome": "open"}
        await connection.execute(
            new.on_conflict_do_update(
                index_elements=["tower_id", "entry_id", "what"],
                set_=told_now,
                where=and_(again, or_(forecast.c.outcome == "open", forecast.c.outcome == "void")),
            ),
            rows,
        )


async def void_forecasts(connection: AsyncConnection, entry_id: int) -> None:
    """The line behind them was taken back."""
    of_it = (forecast.c.entry_id == entry_id) & (forecast.c.outcome == "open")
    await connection.execute(update(forecast).where(of_it).values(outcome="void"))


async def judged_of(
    connection: AsyncConnection, community_id: int, member_id: int | None = None
) -> Judged:
    """How the forecasts for a member's towers did, or (None) those for a whole community's."""
    query: Select[Any] = (
        select(
            func.count(),
            func.coalesce(func.sum(case((forecast.c.outcome == "hit", 1), else_=0)), 0),
        )
        .select_from(forecast.join(tower, tower.c.id == forecast.c.tower_id))
        .where(
            tower.c.community_id == community_id,
            forecast.c.outcome.in_(("hit", "early", "late")),
        )
    )
    if member_id is not None:
        mine = select(keeper.c.tower_id).where(keeper.c.member_id == member_id, keeper.c.accepted)
        query = query.where(forecast.c.tower_id.in_(mine))
    count, hits = (await connection.execute(query)).one()
    return Judged(all=count, hits=hits)


async def dry_of(connection: AsyncConnection, community_id: int) -> dict[int, datetime]:
    """When the first tank of each member comes to its pump line, by what is still to come true."""
    newest = (
        select(func.max(forecast.c.id))
        .where(forecast.c.what == "pump_line", forecast.c.outcome == "open")
        .group_by(forecast.c.tower_id)
    )
    query = (
        select(keeper.c.member_id, func.min(forecast.c.likely, type_=forecast.c.likely.type))
        .select_from(
            forecast.join(tower, tower.c.id == forecast.c.tower_id)
            .join(keeper, keeper.c.tower_id == tower.c.id)
            .join(member, member.c.id == keeper.c.member_id)
        )
        .where(
            member.c.community_id == community_id,
            keeper.c.accepted,
            tower.c.packed.is_(False),
            forecast.c.id.in_(newest),
        )
        .group_by(keeper.c.member_id)
    )
    rows: Sequence[Any] = (await connection.execute(query)).all()
    return {row[0]: row[1] for row in rows}
