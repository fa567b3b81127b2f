"""Forget a person: rows, names on others' rows, and the traces in the file.

Pages are overwritten as they are freed (secure_delete); `Store.compact` then folds the write-ahead
log back and cuts it, so that the files hold nothing of what was forgotten.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import (
    ColumnElement,
    Text,
    and_,
    case,
    cast,
    delete,
    func,
    insert,
    or_,
    select,
    update,
)
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.storage.models import (
    audit,
    community,
    conversation,
    debt,
    entry,
    feed,
    forecast,
    handle,
    keeper,
    member,
    note,
    planting,
    policy,
    post,
    replan,
    rule,
    supply,
    tower,
    waiting,
)
from bot.storage.people import Writer


async def forget(connection: AsyncConnection, who: Writer, now: datetime) -> None:
    """Everything kept about `who`, in every community they are in.

    Towers that others keep too stay, with their log: its lines become "a member's".
    """
    rows = (
        await connection.execute(
            select(member.c.id, member.c.community_id, member.c.name, member.c.role).where(
                member.c.user_id == who.user_id
            )
        )
    ).all()
    for row in rows:
        await _towers(connection, row.id)
        await connection.execute(
            update(entry)
            .where(entry.c.member_id == row.id)
            .values(member_id=None, note=case((_correction(), entry.c.note), else_=None))
        )
        if await _has_signed(connection, row.id, row.role):
            await _coach(connection, row.community_id, row.name)
        await _feeds(connection, row.id)
        await _reminders(connection, row.id)
        for table in (conversation, keeper, replan, supply, waiting):
            await connection.execute(delete(table).where(table.c.member_id == row.id))
        await connection.execute(
            delete(audit).where(
                or_(
                    audit.c.member_id == row.id,
                    func.json_extract(audit.c.detail, "$.person") == row.id,
                )
            )
        )
        await connection.execute(delete(member).where(member.c.id == row.id))
        line = {"community_id": row.community_id, "at": now, "what": "ForgetMe", "detail": {}}
        await connection.execute(insert(audit).values(line))
    await connection.execute(delete(handle).where(handle.c.user_id == who.user_id))
    # What others had begun with this person stands in their buttons and open questions.
    number = f"%{who.user_id}%"
    await connection.execute(delete(post).where(cast(post.c.body, Text).like(number)))
    await connection.execute(delete(handle).where(cast(handle.c.action, Text).like(number)))
    open_ = cast(conversation.c.question, Text)
    await connection.execute(delete(conversation).where(open_.like(number)))


def _correction() -> ColumnElement[bool]:
    """How much pH-down went into a tank that others keep: it holds their next one back."""
    return and_(entry.c.kind == "ph", entry.c.note.like("pH-%"))


async def _towers(connection: AsyncConnection, member_id: int) -> None:
    """The person's own towers with their log; shared ones stay."""
    mine = select(keeper.c.tower_id).where(keeper.c.member_id == member_id)
    shared = select(keeper.c.tower_id).where(keeper.c.member_id != member_id, keeper.c.accepted)
    only = select(tower.c.id).where(tower.c.id.in_(mine), tower.c.id.notin_(shared))
    ids = list((await connection.execute(only)).scalars())
    await connection.execute(delete(planting).where(planting.c.tower_id.in_(ids)))
    await connection.execute(
        delete(entry).where(entry.c.tower_id.in_(ids), entry.c.undoes_id.is_not(None))
    )
    await connection.execute(update(rule).where(rule.c.tower_id.in_(ids)).values(tower_id=None))
    for table in (entry, forecast, keeper):
        await connection.execute(delete(table).where(table.c.tower_id.in_(ids)))
    await connection.execute(delete(tower).where(tower.c.id.in_(ids)))


async def _has_signed(connection: AsyncConnection, member_id: int, role: str) -> bool:
    """A coach, or somebody who was one: a namesake's forgetting leaves their signature alone."""
    query = select(audit.c.id).where(
        audit.c.member_id == member_id, audit.c.what.in_(("SetPolicy", "SetNote", "SetRole"))
    )
    return role == "coach" or (await connection.execute(query.limit(1))).first() is not None


async def _coach(connection: AsyncConnection, community_id: int, name: str) -> None:
    """House rules and notes stay with the community, without the name."""
    for table in (policy, note):
        await connection.execute(
            update(table)
            .where(table.c.community_id == community_id, table.c.by == name)
            .values(by=None)
        )
    await connection.execute(
        update(community)
        .where(community.c.id == community_id, community.c.coach == name)
        .values(coach=None)
    )


async def _feeds(connection: AsyncConnection, member_id: int) -> None:
    await connection.execute(delete(feed).where(feed.c.member_id == member_id))


async def _reminders(connection: AsyncConnection, member_id: int) -> None:
    """Rules, what they owe and what is being sent; a room's rules go with the coach who made them.

    A note in the room that names the person is not sent any more.
    """
    own = select(rule.c.id).where(rule.c.member_id == member_id)
    mine = or_(debt.c.member_id == member_id, debt.c.rule_id.in_(own))
    posts = select(debt.c.post_id).where(mine, debt.c.post_id.is_not(None))
    ids = list((await connection.execute(posts)).scalars())
    await connection.execute(delete(debt).where(mine))
    left = select(debt.c.post_id).where(debt.c.post_id.in_(ids))
    await connection.execute(
        delete(post).where(
            or_(post.c.member_id == member_id, and_(post.c.id.in_(ids), post.c.id.notin_(left)))
        )
    )
    await connection.execute(delete(rule).where(rule.c.member_id == member_id))
