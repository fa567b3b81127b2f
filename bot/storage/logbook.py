"""The log: lines are added, never changed; one that was wrong gets a counter-line."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, func, insert, literal_column, select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.changes import AddEntries, AddEntry, Replant, UndoEntry
from bot.records.facts import Entry
from bot.storage.engine import new_key
from bot.storage.forecasts import void_forecasts
from bot.storage.models import entry
from bot.storage.people import Writer
from bot.storage.planting import ended_later, ports_in_order, replant
from bot.storage.towers import must_keep


def entry_columns(told: Entry) -> dict[str, Any]:
    """A line's facts as the table's columns, but whose it is and when it was told."""
    return {
        "at": told.at,
        "kind": told.kind,
        "level_l": told.level_l,
        "ec": told.ec,
        "ph": told.ph,
        "water_c": told.water_c,
        "water_added_l": told.water_added_l,
        "amounts": [list(pair) for pair in told.amounts] or None,
        "picked": [[one.crop, one.g, one.count] for one in told.picked] or None,
        "note": told.note or None,
    }


async def add_entry(
    connection: AsyncConnection, change: AddEntry, who: Writer, tower_id: int, now: datetime
) -> dict[str, Any]:
    """One line, refused when another hand wrote a newer one than its writer knew of."""
    await must_keep(connection, tower_id, who)
    if change.after is not None and await _newest(connection, tower_id) != change.after:
        raise Refusal("no.newer_entry", outcome="refuse")
    told = change.entry
    made = await connection.execute(
        insert(entry).values(
            tower_id=tower_id,
            member_id=who.member_id if told.mine else None,
            recorded_at=told.recorded_at or now,
            **entry_columns(told),
        )
    )
    return {"tower": tower_id, "entry": new_key(made)}


async def write_replant(
    connection: AsyncConnection, change: Replant, who: Writer, now: datetime
) -> dict[str, Any]:
    """Ports changed, and the line that tells of it."""
    line = AddEntry(tower_id=change.tower_id, entry=change.entry)
    written = await add_entry(connection, line, who, change.tower_id, now)
    await replant(
        connection,
        change.tower_id,
        written["entry"],
        ended_ones=change.ended,
        made=change.made,
    )
    return {**written, "ended": len(change.ended), "made": len(change.made)}


def still_true() -> ColumnElement[bool]:
    """A line that is no counter-line and has none.

    `coalesce` keeps the planner from walking the index of counter-lines through the whole file.
    """
    back = entry.alias("back")
    taken_back = select(literal_column("1")).where(back.c.undoes_id == entry.c.id).exists()
    return and_(func.coalesce(entry.c.undoes_id, 0) == 0, ~taken_back)


async def _newest(connection: AsyncConnection, tower_id: int) -> int:
    """How far the tower's log has come, counter-lines too."""
    query = select(func.max(entry.c.id)).where(entry.c.tower_id == tower_id)
    return (await connection.execute(query)).scalar() or 0


async def add_entries(
    connection: AsyncConnection, change: AddEntries, who: Writer, tower_id: int
) -> dict[str, Any]:
    """Lines brought in from a file, told when they happened."""
    await must_keep(connection, tower_id, who)
    rows = [
        {
            **entry_columns(told),
            "tower_id": tower_id,
            "member_id": who.member_id if told.mine else None,
            "recorded_at": told.at,
        }
        for told in change.entries
    ]
    await connection.execute(insert(entry), rows)
    return {"tower": tower_id, "entries": len(rows)}


async def undo_entry(
    connection: AsyncConnection, change: UndoEntry, who: Writer, now: datetime
) -> dict[str, Any]:
    """A counter-line to one of the writer's own."""
    query = select(entry.c.tower_id).where(
        entry.c.id == change.entry_id,
        entry.c.member_id == who.member_id,
        still_true(),
    )
    tower_id = (await connection.execute(query)).scalar()
    if tower_id is None:
        raise Refusal("no.undone", outcome="refuse")
    await must_keep(connection, tower_id, who)
    if await ended_later(connection, change.entry_id):
        raise Refusal("no.undo_later", outcome="refuse")
    await connection.execute(
        insert(entry).values(
            tower_id=tower_id,
            member_id=who.member_id,
            at=now,
            kind="undo",
            recorded_at=now,
            undoes_id=change.entry_id,
        )
    )
    await ports_in_order(connection, tower_id, "no.port_taken_since")
    await void_forecasts(connection, change.entry_id)
    return {"tower": tower_id, "entry": change.entry_id}
