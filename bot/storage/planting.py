"""What grows in which port. A planting hangs on the log lines of its beginning and end."""

from __future__ import annotations

from sqlalchemy import ColumnElement, and_, exists, func, insert, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.facts import Planting
from bot.storage.models import entry, planting


def begun() -> ColumnElement[bool]:
    """The line that told of its beginning was not taken back."""
    return or_(planting.c.begun_by.is_(None), ~_taken_back(planting.c.begun_by))


def ended() -> ColumnElement[bool]:
    """It has ended, and the line that told of that was not taken back."""
    by_line = and_(planting.c.ended_by.is_not(None), ~_taken_back(planting.c.ended_by))
    return or_(by_line, and_(planting.c.ended_by.is_(None), planting.c.status != "growing"))


def _taken_back(line: ColumnElement[int | None]) -> ColumnElement[bool]:
    back = entry.alias()
    return exists(select(back.c.id).where(back.c.undoes_id == line).correlate(planting))


async def replant(
    connection: AsyncConnection,
    tower_id: int,
    entry_id: int,
    *,
    ended_ones: tuple[tuple[int, str], ...],
    made: tuple[Planting, ...],
) -> None:
    """End some, begin others, all by one line of the log.

    Raises
    ------
    Refusal
        One of them has ended already, or a port is taken by now.
    """
    for status in {status for _, status in ended_ones}:
        numbers = [number for number, one in ended_ones if one == status]
        done = await connection.execute(
            update(planting)
            .where(planting.c.id.in_(numbers), planting.c.tower_id == tower_id, begun(), ~ended())
            .values(ended_by=entry_id, status=status)
        )
        if done.rowcount != len(numbers):
            raise Refusal("no.ports_changed", outcome="refuse")
    if made:
        await connection.execute(insert(planting), [_row(one, tower_id, entry_id) for one in made])
    await ports_in_order(connection, tower_id, "no.ports_changed")


async def ports_in_order(connection: AsyncConnection, tower_id: int, refusal: str) -> None:
    """One plug a port, whatever was taken back."""
    doubled = (
        select(planting.c.level)
        .where(planting.c.tower_id == tower_id, begun(), ~ended())
        .group_by(planting.c.level, planting.c.port)
        .having(func.count() > 1)
        .limit(1)
    )
    if (await connection.execute(doubled)).first() is not None:
        raise Refusal(refusal, outcome="refuse")


async def ended_later(connection: AsyncConnection, entry_id: int) -> bool:
    """What this line planted has been moved, harvested or cleared since, and that still holds."""
    later = select(planting.c.id).where(
        planting.c.begun_by == entry_id, planting.c.ended_by != entry_id, ended()
    )
    return (await connection.execute(later.limit(1))).first() is not None


async def add_plantings(
    connection: AsyncConnection, tower_id: int, plantings: tuple[Planting, ...]
) -> dict[str, object]:
    """From a file: no line tells of them, they are as they are."""
    rows = [{**_row(one, tower_id, None), "status": one.status} for one in plantings]
    await connection.execute(insert(planting), rows)
    await ports_in_order(connection, tower_id, "no.ports_changed")
    return {"tower": tower_id, "plantings": len(rows)}


def _row(one: Planting, tower_id: int, entry_id: int | None) -> dict[str, object]:
    return {
        "tower_id": tower_id,
        "level": one.level,
        "port": one.port,
        "crop": one.crop,
        "plants": one.plants,
        "sown": one.sown,
        "planted": one.planted,
        "begun_by": entry_id,
    }
