"""A whole community written at once: its feeds, house rules, members, and their logs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date

from sqlalchemy import insert, select

from bot.records.facts import Feed, Member, Tower
from bot.storage.engine import Store, new_key
from bot.storage.models import community, feed, keeper, member, policy, tower


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
        community_id = new_key(await connection.execute(insert(community).values(row)))
        for one in made.feeds:
            await connection.execute(
                insert(feed).values(
                    community_id=community_id,
                    name=one.name,
                    parts=[asdict(part) for part in one.parts],
                    ec_gain_ms_per_cm=one.ec_gain_ms_per_cm,
                    set_on=made.set_on,
                )
            )
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


async def join(
    store: Store, guild_id: int, user_id: int, who: Member, towers: Sequence[Tower]
) -> None:
    """Write a member of a community with their towers."""
    async with store.write() as connection:
        query = select(community.c.id).where(community.c.guild_id == guild_id)
        community_id = (await connection.execute(query)).scalar_one()
        values = {k: v for k, v in asdict(who).items() if k in member.c and k != "id"}
        made = await connection.execute(
            insert(member).values(community_id=community_id, user_id=user_id, **values)
        )
        for one in towers:
            columns = {k: v for k, v in asdict(one).items() if k in tower.c and k != "id"}
            row = await connection.execute(
                insert(tower).values(community_id=community_id, **columns)
            )
            await connection.execute(
                insert(keeper).values(member_id=new_key(made), tower_id=new_key(row))
            )
    store.facts_changed()
