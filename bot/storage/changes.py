"""An answer's changes, written in one transaction together with the interaction's id."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import delete, insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.answer import Offer
from bot.records.changes import MOST_TOWERS, AddTower, Change, EditTower, SetMember
from bot.records.facts import Tower
from bot.records.people import Asker
from bot.storage.books import stranger
from bot.storage.engine import Store, new_key
from bot.storage.handles import write_handles
from bot.storage.models import audit, community, keeper, member, seen_interaction, tower

_REMEMBERED = timedelta(days=7)  # the platform never repeats an interaction after minutes


async def apply(
    store: Store,
    asker: Asker,
    changes: Sequence[Change],
    interaction_id: int,
    now: datetime,
    offers: Sequence[tuple[str, Offer]] = (),
) -> bool:
    """Write `changes` and the buttons under their answer; False when they were written before.

    Raises
    ------
    Refusal
        What a change rests on is no longer so; nothing is written.
    Unavailable
        The database cannot be written; nothing is.
    """
    async with store.write() as connection:
        if not await _first_time(connection, interaction_id, now):
            return False
        community_id, member_id = await _who(connection, asker)
        for change in changes:
            detail = await _write(connection, change, community_id, member_id)
            row = {
                "community_id": community_id,
                "member_id": member_id,
                "at": now,
                "what": type(change).__name__,
                "detail": detail,
            }
            await connection.execute(insert(audit).values(row))
        await write_handles(connection, asker, offers, now)
    store.facts_changed()
    return True


async def _first_time(connection: AsyncConnection, interaction_id: int, now: datetime) -> bool:
    old = delete(seen_interaction).where(seen_interaction.c.at < now - _REMEMBERED)
    await connection.execute(old)
    row = {"id": interaction_id, "at": now}
    done = await connection.execute(
        sqlite_insert(seen_interaction).values(row).on_conflict_do_nothing()
    )
    return done.rowcount == 1


async def _who(connection: AsyncConnection, asker: Asker) -> tuple[int, int]:
    """The asker's community and member rows, made on their first change."""
    if asker.guild_id is None:
        found = (
            await connection.execute(
                select(member.c.community_id, member.c.id)
                .where(member.c.user_id == asker.user_id)
                .order_by(member.c.id)
            )
        ).first()
        if found is None:
            raise Refusal("no.no_home", outcome="refuse")
        return found.community_id, found.id
    place = (
        await connection.execute(
            select(community.c.id, community.c.time_zone).where(
                community.c.guild_id == asker.guild_id
            )
        )
    ).first()
    if place is None:
        made = await connection.execute(insert(community).values(guild_id=asker.guild_id, name=""))
        community_id, zone = new_key(made), "UTC"
    else:
        community_id, zone = place.id, place.time_zone
    known = (
        await connection.execute(
            select(member.c.id).where(
                member.c.community_id == community_id, member.c.user_id == asker.user_id
            )
        )
    ).scalar()
    if known is not None:
        return community_id, known
    new = stranger(asker, zone)
    made = await connection.execute(
        insert(member).values(
            community_id=community_id,
            user_id=asker.user_id,
            name=asker.name,
            units=new.units,
            time_zone=new.time_zone,
        )
    )
    return community_id, new_key(made)


async def _write(
    connection: AsyncConnection, change: Change, community_id: int, member_id: int
) -> dict[str, Any]:
    match change:
        case AddTower():
            await _name_is_free(connection, change.tower.name, None, member_id)
            values = _columns(change.tower)
            made = await connection.execute(
                insert(tower).values(community_id=community_id, **values)
            )
            await connection.execute(
                insert(keeper).values(member_id=member_id, tower_id=new_key(made))
            )
            return {"tower": change.tower.name}
        case EditTower():
            await _name_is_free(connection, change.name, change.tower_id, member_id)
            mine = select(keeper.c.tower_id).where(keeper.c.member_id == member_id)
            done = await connection.execute(
                update(tower)
                .where(tower.c.id == change.tower_id, tower.c.id.in_(mine))
                .values(dict(change.facts))
            )
            if done.rowcount != 1:
                raise Refusal("no.changed", outcome="refuse", tower=change.name)
            return {"tower": change.name, "facts": [name for name, _ in change.facts]}
        case SetMember():
            if change.setting not in member.c:
                raise ValueError(change.setting)
            await connection.execute(
                update(member)
                .where(member.c.id == member_id)
                .values({change.setting: change.value})
            )
            return {"setting": change.setting, "value": change.value}


def _columns(made: Tower) -> dict[str, Any]:
    return {key: value for key, value in asdict(made).items() if key in tower.c and key != "id"}


async def _name_is_free(
    connection: AsyncConnection, name: str, own_id: int | None, member_id: int
) -> None:
    """Commands at once may all have found the name, or the last place, free; here only one does."""
    rows = (
        await connection.execute(
            select(tower.c.id, tower.c.name)
            .join(keeper, keeper.c.tower_id == tower.c.id)
            .where(keeper.c.member_id == member_id)
        )
    ).all()
    if own_id is None and len(rows) >= MOST_TOWERS:
        raise Refusal("no.tower_limit", count=MOST_TOWERS)
    if any(row.id != own_id and row.name.casefold() == name.casefold() for row in rows):
        raise Refusal("no.tower_taken", name=name)
