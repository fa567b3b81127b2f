"""A whole community written at once: its feeds, house rules, members, and their logs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date

from sqlalchemy import insert, select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.facts import Entry, Feed, Member, Planting, Tower
from bot.storage.coaching import feed_row
from bot.storage.engine import Store, new_key
from bot.storage.logbook import entry_columns
from bot.storage.models import community, entry, feed, keeper, member, policy, tower
from bot.storage.planting import add_plantings
from bot.storage.reminding.plans import mark_community
from bot.storage.towers import tower_columns


@dataclass(frozen=True, slots=True, kw_only=True)
class Founding:
    """A community and what its coach has set."""

    guild_id: int
    room_id: int
    name: str
    time_zone: str
    units: str
    coach: str
    feeds: Sequence[Feed]
    rules: Sequence[tuple[str, float]]
    set_on: date
    quiet: tuple[str | None, str | None] = (None, None)


async def found(store: Store, made: Founding) -> bool:
    """Write a community that is not there yet; False when it is, and nothing is touched."""
    async with store.write() as connection:
        query = select(community.c.id).where(community.c.guild_id == made.guild_id)
        if (await connection.execute(query)).first() is not None:
            return False
        row = {
            key: getattr(made, key)
            for key in ("guild_id", "room_id", "name", "time_zone", "units", "coach")
        }
        start, end = made.quiet
        row |= {"rules_seen": True, "zone_set": True, "quiet_from": start, "quiet_to": end}
        community_id = new_key(await connection.execute(insert(community).values(row)))
        for one in made.feeds:
            row = feed_row(one, community_id, made.set_on, None)
            await connection.execute(insert(feed).values(row))
        for rule, value in made.rules:
            await connection.execute(
                insert(policy).values(
                    community_id=community_id,
                    key=rule,
                    value=value,
                    set_on=made.set_on,
                    by=made.coach,
                )
            )
    store.facts_changed()
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Resident:
    """A member with the bottles of their own."""

    user_id: int
    member: Member
    joined_on: date | None = None
    feeds: Sequence[Feed] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Household:
    """A tower, who keeps it (numbers on the platform), and its log."""

    tower: Tower
    keepers: Sequence[int]
    entries: Sequence[Entry] = ()
    plantings: Sequence[Planting] = ()


async def settle(
    store: Store, guild_id: int, people: Sequence[Resident], houses: Sequence[Household]
) -> None:
    """Members of a community with their towers and logs, all at once."""
    async with store.write() as connection:
        query = select(community.c.id).where(community.c.guild_id == guild_id)
        community_id = (await connection.execute(query)).scalar_one()
        ids: dict[int, int] = {}
        for one in people:
            ids[one.user_id] = await _resident(connection, community_id, one)
        names = {one.member.name: ids[one.user_id] for one in people}
        for house in houses:
            await _household(connection, community_id, house, ids, names)
        await mark_community(connection, community_id)
    store.facts_changed()


async def _resident(connection: AsyncConnection, community_id: int, one: Resident) -> int:
    values = {k: v for k, v in asdict(one.member).items() if k in member.c and k != "id"}
    made = await connection.execute(
        insert(member).values(
            community_id=community_id, user_id=one.user_id, joined_on=one.joined_on, **values
        )
    )
    for own in one.feeds:
        row = feed_row(own, community_id, one.joined_on, new_key(made))
        await connection.execute(insert(feed).values(row))
    return new_key(made)


async def _household(
    connection: AsyncConnection,
    community_id: int,
    house: Household,
    ids: dict[int, int],
    names: dict[str, int],
) -> None:
    made = await connection.execute(
        insert(tower).values(community_id=community_id, **tower_columns(house.tower))
    )
    tower_id = new_key(made)
    keepers = [{"member_id": ids[one], "tower_id": tower_id} for one in house.keepers]
    await connection.execute(insert(keeper), keepers)
    rows = [
        {
            **entry_columns(line),
            "tower_id": tower_id,
            "member_id": names.get(line.by),
            "recorded_at": line.recorded_at or line.at,
        }
        for line in house.entries
    ]
    if rows:
        await connection.execute(insert(entry), rows)
    if house.plantings:
        await add_plantings(connection, tower_id, tuple(house.plantings))
