"""What members asked that only the coach can answer: kept until it is answered or put aside."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import delete, func, insert, select, update
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.changes import MOST_WAITING, PassOn, SetAside
from bot.records.facts import OpenQuestion
from bot.records.reminders import ANSWERED
from bot.storage.models import debt, member, waiting
from bot.storage.people import Writer
from bot.storage.reminding.rules import rule_for


async def pass_on(
    connection: AsyncConnection, change: PassOn, who: Writer, now: datetime
) -> dict[str, Any]:
    """One more question on the list; the same words of the same member are counted.

    Of one member so many wait at a time: the oldest gives way.
    """
    mine = waiting.c.member_id == who.member_id
    if change.instead_of is not None:
        before = func.lower(waiting.c.text) == change.instead_of.lower()
        await connection.execute(delete(waiting).where(mine, before))
    same = mine, func.lower(waiting.c.text) == change.text.lower()
    again = update(waiting).where(*same).values(count=waiting.c.count + 1, at=now)
    if (await connection.execute(again)).rowcount:
        return {}
    kept = select(waiting.c.id).where(mine).order_by(waiting.c.at.desc(), waiting.c.id.desc())
    newest = kept.limit(MOST_WAITING - 1)
    await connection.execute(delete(waiting).where(mine, waiting.c.id.not_in(newest)))
    row = {"community_id": who.community_id, "member_id": who.member_id, "text": change.text}
    await connection.execute(insert(waiting).values({**row, "at": now}))
    return {}


async def set_aside(connection: AsyncConnection, change: SetAside, who: Writer) -> dict[str, Any]:
    """Questions that are left without an answer."""
    of_here = waiting.c.community_id == who.community_id
    await connection.execute(delete(waiting).where(of_here, waiting.c.id.in_(change.ids)))
    return {"count": len(change.ids)}


async def tell_askers(
    connection: AsyncConnection,
    community_id: int,
    ids: Sequence[int],
    note_id: int,
    now: datetime,
) -> None:
    """Each who asked is owed the answer, once; their questions wait no more."""
    asked = waiting.c.community_id == community_id, waiting.c.id.in_(ids)
    query = select(waiting.c.member_id).where(*asked).distinct()
    for member_id in (await connection.execute(query)).scalars().all():
        rule_id, _ = await rule_for(connection, community_id, member_id, ANSWERED, now)
        owed = {"rule_id": rule_id, "member_id": member_id, "key": f"note:{note_id}", "due": now}
        await connection.execute(sqlite_insert(debt).values(owed).on_conflict_do_nothing())
    await connection.execute(delete(waiting).where(*asked))


async def read_waiting(connection: AsyncConnection, community_id: int) -> tuple[OpenQuestion, ...]:
    """All that waits in a community, oldest first."""
    query = (
        select(
            waiting.c.id,
            waiting.c.text,
            waiting.c.at,
            waiting.c.count.label("times"),
            member.c.name,
        )
        .join(member, member.c.id == waiting.c.member_id)
        .where(waiting.c.community_id == community_id)
        .order_by(waiting.c.at, waiting.c.id)
    )
    rows = (await connection.execute(query)).all()
    return tuple(
        OpenQuestion(id=r.id, text=r.text, name=r.name or "", at=r.at, count=r.times) for r in rows
    )
