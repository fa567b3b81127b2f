"""Communities that the bot was put out of: nothing goes there, and after a time they are gone."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, delete, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.storage.engine import Store
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

KEPT = timedelta(days=30)  # the privacy text says so


async def present_in(store: Store, guild_ids: Collection[int], now: datetime) -> None:
    """The platform's word on where the bot is: there and nowhere else.

    What falls due for the others is held from now on; where it is let in again, all that waited is
    due, as late as it is: one try each tells who can be reached.
    """
    async with store.single() as connection:
        if not any(await _moved(connection, guild_ids)):
            return  # as mostly: the lock is not taken for it
    async with store.write() as connection:
        gone, back = await _moved(connection, guild_ids)
        if gone:
            left = update(community).where(community.c.id.in_(gone))
            await connection.execute(left.values(left_at=now))
        if back:
            await _come_back(connection, back)
    store.facts_changed()


async def _moved(
    connection: AsyncConnection, guild_ids: Collection[int]
) -> tuple[list[int], list[int]]:
    """Communities that the bot was put out of, and those it was let in again, since last told."""
    query = select(community.c.id, community.c.guild_id, community.c.left_at)
    known = (await connection.execute(query)).all()
    return (
        [row.id for row in known if row.guild_id not in guild_ids and row.left_at is None],
        [row.id for row in known if row.guild_id in guild_ids and row.left_at is not None],
    )


async def _come_back(connection: AsyncConnection, ids: Collection[int]) -> None:
    there = update(community).where(community.c.id.in_(ids))
    await connection.execute(there.values(left_at=None, room_held=False))
    theirs = update(member).where(member.c.community_id.in_(ids))
    await connection.execute(theirs.values(closed=False, noted=False))
    rules = select(rule.c.id).where(rule.c.community_id.in_(ids))
    held = update(debt).where(debt.c.state == "held", debt.c.rule_id.in_(rules))
    await connection.execute(held.values(state="due", reason=None, post_id=None))


def away() -> ColumnElement[bool]:
    """Posts of a community that the bot is not in: nobody sends them now."""
    out = select(community.c.id).where(community.c.left_at.is_not(None))
    return post.c.community_id.in_(out)


async def forget_left(store: Store, now: datetime) -> None:
    """Everything of communities that were left so long ago, and its traces in the file."""
    query = select(community.c.id).where(community.c.left_at < now - KEPT)
    async with store.write() as connection:
        gone = (await connection.execute(query)).scalars().all()
        for community_id in gone:
            await _forget(connection, community_id)
    if gone:
        store.books.clear()
        store.facts_changed()
        await store.compact()


async def _forget(connection: AsyncConnection, community_id: int) -> None:
    members = select(member.c.id).where(member.c.community_id == community_id)
    towers = select(tower.c.id).where(tower.c.community_id == community_id)
    rules = select(rule.c.id).where(rule.c.community_id == community_id)
    guild = select(community.c.guild_id).where(community.c.id == community_id).scalar_subquery()
    for table, whose in (
        (debt, debt.c.rule_id.in_(rules)),
        (post, post.c.community_id == community_id),
        (rule, rule.c.community_id == community_id),
        (planting, planting.c.tower_id.in_(towers)),
        (entry, entry.c.tower_id.in_(towers)),
        (forecast, forecast.c.tower_id.in_(towers)),
        (keeper, keeper.c.tower_id.in_(towers)),
        (tower, tower.c.community_id == community_id),
        (conversation, conversation.c.member_id.in_(members)),
        (replan, replan.c.member_id.in_(members)),
        (supply, supply.c.member_id.in_(members)),
        (waiting, waiting.c.community_id == community_id),
        (audit, audit.c.community_id == community_id),
        (feed, feed.c.community_id == community_id),
        (policy, policy.c.community_id == community_id),
        (note, note.c.community_id == community_id),
        (handle, or_(handle.c.community_id == community_id, handle.c.guild_id == guild)),
        (member, member.c.community_id == community_id),
        (community, community.c.id == community_id),
    ):
        await connection.execute(delete(table).where(whose))
