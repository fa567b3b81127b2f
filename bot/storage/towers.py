"""A person's towers: added, changed, shared, left, put away."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from typing import Any

from sqlalchemy import delete, func, insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.changes import (
    MOST_TOWERS,
    AddTower,
    EditTower,
    JoinTower,
    LeaveTower,
    PackTower,
    ShareTower,
)
from bot.records.facts import Tower
from bot.storage.engine import new_key
from bot.storage.models import keeper, tower
from bot.storage.people import Writer, member_row, other

_MOST_INVITATIONS = 10


def tower_columns(made: Tower) -> dict[str, Any]:
    """A tower's facts as the table's columns."""
    return {key: value for key, value in asdict(made).items() if key in tower.c and key != "id"}


async def add_tower(connection: AsyncConnection, change: AddTower, who: Writer) -> int:
    """A new tower of one's own; its number."""
    await _name_is_free(connection, change.tower.name, None, who.member_id)
    made = await connection.execute(
        insert(tower).values(community_id=who.community_id, **tower_columns(change.tower))
    )
    tower_id = new_key(made)
    await connection.execute(insert(keeper).values(member_id=who.member_id, tower_id=tower_id))
    return tower_id


async def edit_tower(connection: AsyncConnection, change: EditTower, who: Writer) -> dict[str, Any]:
    """Other facts for a tower that one keeps."""
    await _mine(connection, change.tower_id, who, change.name)
    await _name_is_free(connection, change.name, change.tower_id, who.member_id)
    await _free_for_others(connection, change, who)
    await connection.execute(
        update(tower).where(tower.c.id == change.tower_id).values(dict(change.facts))
    )
    return {"tower": change.tower_id, "facts": [name for name, _ in change.facts]}


async def share_tower(
    connection: AsyncConnection, change: ShareTower, who: Writer, now: datetime
) -> dict[str, Any]:
    """An invitation to one more person of the same community; they say yes themselves."""
    await _mine(connection, change.tower_id, who, "")
    named = other(change.user_id, change.name)
    one = await member_row(connection, who.community_id, named, now)
    if one == who.member_id:
        raise Refusal("no.share_self", outcome="refuse")
    waiting = select(func.count()).where(
        keeper.c.member_id == one,
        keeper.c.accepted.is_(False),
        keeper.c.invited_by == who.member_id,
    )
    if ((await connection.execute(waiting)).scalar() or 0) >= _MOST_INVITATIONS:
        raise Refusal("no.share_many", outcome="refuse", name=change.name)
    row = {"member_id": one, "tower_id": change.tower_id, "accepted": False,
           "invited_by": who.member_id}  # fmt: skip
    await connection.execute(sqlite_insert(keeper).values(row).on_conflict_do_nothing())
    return {"tower": change.tower_id, "person": one}


async def join_tower(connection: AsyncConnection, change: JoinTower, who: Writer) -> dict[str, Any]:
    """The invited person's yes or no."""
    mine = keeper.c.tower_id == change.tower_id, keeper.c.member_id == who.member_id
    if not change.accept:
        await connection.execute(delete(keeper).where(*mine, keeper.c.accepted.is_(False)))
        return {"tower": change.tower_id, "accept": False}
    query = select(tower.c.name).join(keeper, keeper.c.tower_id == tower.c.id).where(*mine)
    name = (await connection.execute(query)).scalar()
    if name is None:
        raise Refusal("no.invitation_gone", outcome="refuse")
    try:
        await _name_is_free(connection, name, None, who.member_id)
    except Refusal as clash:
        if clash.word == "no.tower_limit":
            raise
        raise Refusal("no.join_clash", outcome="refuse", name=name) from None
    await connection.execute(update(keeper).where(*mine).values(accepted=True))
    return {"tower": change.tower_id, "accept": True}


async def leave_tower(
    connection: AsyncConnection, change: LeaveTower, who: Writer
) -> dict[str, Any]:
    """No longer one's own; the last keeper stays."""
    await _mine(connection, change.tower_id, who, "")
    count = select(func.count()).where(keeper.c.tower_id == change.tower_id, keeper.c.accepted)
    if (await connection.execute(count)).scalar() == 1:
        raise Refusal("no.last_keeper", outcome="refuse")
    await connection.execute(
        delete(keeper).where(
            keeper.c.tower_id == change.tower_id, keeper.c.member_id == who.member_id
        )
    )
    return {"tower": change.tower_id}


async def pack_tower(connection: AsyncConnection, change: PackTower, who: Writer) -> dict[str, Any]:
    """Put away, or taken out again."""
    await _mine(connection, change.tower_id, who, "")
    await connection.execute(
        update(tower).where(tower.c.id == change.tower_id).values(packed=change.packed)
    )
    return {"tower": change.tower_id, "packed": change.packed}


async def must_keep(connection: AsyncConnection, tower_id: int, who: Writer) -> None:
    """Refuse what is no tower of the writer's."""
    await _mine(connection, tower_id, who, "")


async def _mine(connection: AsyncConnection, tower_id: int, who: Writer, name: str) -> None:
    query = select(keeper.c.tower_id).where(
        keeper.c.tower_id == tower_id,
        keeper.c.member_id == who.member_id,
        keeper.c.accepted,
    )
    if (await connection.execute(query)).first() is None:
        raise Refusal("no.changed", outcome="refuse", tower=name)


async def _name_is_free(
    connection: AsyncConnection, name: str, own_id: int | None, member_id: int
) -> None:
    """Commands at once may all have found the name, or the last place, free; here only one does."""
    rows = (
        await connection.execute(
            select(tower.c.id, tower.c.name)
            .join(keeper, keeper.c.tower_id == tower.c.id)
            .where(keeper.c.member_id == member_id, keeper.c.accepted)
        )
    ).all()
    if own_id is None and len(rows) >= MOST_TOWERS:
        raise Refusal("no.tower_limit", count=MOST_TOWERS)
    if any(row.id != own_id and row.name.casefold() == name.casefold() for row in rows):
        raise Refusal("no.tower_taken", name=name)


async def _free_for_others(connection: AsyncConnection, change: EditTower, who: Writer) -> None:
    """A shared tower's new name must be free for each of its keepers."""
    here, there = keeper.alias("here"), keeper.alias("there")
    query = (
        select(tower.c.name)
        .select_from(
            here.join(there, there.c.member_id == here.c.member_id).join(
                tower, tower.c.id == there.c.tower_id
            )
        )
        .where(
            here.c.tower_id == change.tower_id,
            here.c.member_id != who.member_id,
            here.c.accepted,
            there.c.accepted,
            there.c.tower_id != change.tower_id,
        )
    )
    names = (await connection.execute(query)).scalars()
    if any(name.casefold() == change.name.casefold() for name in names):
        raise Refusal("no.tower_taken_other", name=change.name)
