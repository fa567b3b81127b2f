"""What a coach sets for a community: itself, its feeds, its house rules, its notes."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from sqlalchemy import and_, func, insert, or_, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.changes import (
    MOST_FEEDS,
    MOST_NOTES,
    SetCommunity,
    SetFeed,
    SetNote,
    SetPolicy,
)
from bot.records.facts import Feed
from bot.storage.engine import new_key
from bot.storage.models import community, feed, member, note, policy, rule
from bot.storage.people import Writer
from bot.storage.reminding.zones import move_zone
from bot.storage.waiting import tell_askers

_SETTINGS = frozenset(
    "name time_zone units room_id quiet_from quiet_to rules_seen zone_set".split()
)


async def set_community(
    connection: AsyncConnection, change: SetCommunity, who: Writer
) -> dict[str, Any]:
    """One thing about the community."""
    if change.setting not in _SETTINGS:
        raise ValueError(change.setting)
    here = community.c.id == who.community_id
    if change.setting == "time_zone":
        # Who never said otherwise lives by the community's clock.
        old = select(community.c.time_zone).where(here).scalar_subquery()
        theirs = member.c.community_id == who.community_id, member.c.time_zone == old
        mine = rule.c.member_id.in_(select(member.c.id).where(*theirs))
        of_room = and_(rule.c.community_id == who.community_id, rule.c.room)
        await move_zone(connection, or_(and_(mine, ~rule.c.room), of_room), str(change.value))
        await connection.execute(update(member).where(*theirs).values(time_zone=change.value))
    await connection.execute(update(community).where(here).values({change.setting: change.value}))
    return {"setting": change.setting, "value": change.value}


def feed_row(
    told: Feed, community_id: int, set_on: date | None, owner: int | None
) -> dict[str, Any]:
    """A feed as the table's columns; owner: the member whose own bottle it is."""
    return {
        "community_id": community_id,
        "member_id": owner,
        "name": told.name,
        "parts": [asdict(part) for part in told.parts],
        "ec_gain_ms_per_cm": told.ec_gain_ms_per_cm,
        "set_on": set_on,
    }


async def set_feed(
    connection: AsyncConnection, change: SetFeed, who: Writer, now: datetime
) -> dict[str, Any]:
    """A feed, new or in place of the one of that name."""
    told = change.feed
    owner = who.member_id if told.own else None
    whose = feed.c.member_id == owner if told.own else feed.c.member_id.is_(None)
    row = feed_row(told, who.community_id, told.set_on or now.date(), owner)
    values = {key: row[key] for key in ("parts", "ec_gain_ms_per_cm", "set_on")}
    alike = func.lower(feed.c.name) == told.name.lower()
    same = feed.c.community_id == who.community_id, whose, alike
    done = await connection.execute(update(feed).where(*same).values(values))
    if not done.rowcount:
        count = select(func.count()).where(feed.c.community_id == who.community_id, whose)
        if ((await connection.execute(count)).scalar() or 0) >= MOST_FEEDS:
            raise Refusal("no.feed_limit", outcome="refuse", count=MOST_FEEDS)
        await connection.execute(insert(feed).values(row))
    return {"feed": "own" if told.own else told.name}


async def set_policy(connection: AsyncConnection, change: SetPolicy, who: Writer) -> dict[str, Any]:
    """A house rule's new value; the old ones stay as its history."""
    row = {
        "community_id": who.community_id,
        "key": change.key,
        "value": change.value,
        "set_on": change.set_on,
        "by": who.name,
    }
    await connection.execute(insert(policy).values(row))
    return {"key": change.key, "value": change.value}


async def set_note(
    connection: AsyncConnection, change: SetNote, who: Writer, now: datetime
) -> dict[str, Any]:
    """A coach's note; the older text stays as its history. Who had asked is told."""
    if change.note_id:
        taken = note.alias("taken")
        replaced_by = select(taken.c.id).where(taken.c.replaces_id == note.c.id).exists()
        mine = select(note.c.id).where(
            note.c.id == change.note_id, note.c.community_id == who.community_id, ~replaced_by
        )
        if (await connection.execute(mine)).first() is None:
            raise Refusal("no.note_changed", outcome="refuse")
    newer = note.alias("newer")
    replaced = select(newer.c.id).where(newer.c.replaces_id == note.c.id).exists()
    count = select(func.count()).where(
        note.c.community_id == who.community_id, ~replaced, note.c.text.is_not(None)
    )
    if ((await connection.execute(count)).scalar() or 0) >= MOST_NOTES:
        raise Refusal("no.note_limit", outcome="refuse", count=MOST_NOTES)
    row = {
        "community_id": who.community_id,
        "about": change.about,
        "text": change.text,
        "by": who.name,
        "set_on": change.set_on,
        "replaces_id": change.note_id or None,
    }
    note_id = new_key(await connection.execute(insert(note).values(row)))
    if change.answers:
        await tell_askers(connection, who.community_id, change.answers, note_id, now)
    return {"note": change.note_id}
