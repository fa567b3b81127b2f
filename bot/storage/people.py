"""The asker's own rows, made on their first change, and roles."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import and_, func, insert, select, true, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.errors import Refusal
from bot.records.changes import SetHome, SetMember, SetRole
from bot.records.people import Asker
from bot.storage.bookrows import stranger
from bot.storage.engine import new_key
from bot.storage.models import community, member, rule
from bot.storage.reminding.zones import move_zone

_SETTINGS = frozenset(
    "units gallon time_zone tds_scale finger_mm jug_l drops_per_ml has_ec_meter morning quiet_from "
    "quiet_to private_answers currency evening calibrated_on room_notes".split()
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer:
    """Whose changes are written: their row in one community."""

    community_id: int
    member_id: int
    user_id: int
    name: str


async def writer(connection: AsyncConnection, asker: Asker, known_id: int, now: datetime) -> Writer:
    """The asker's community and member rows, made on their first change.

    known_id: the row that the change rests on, 0 for none.

    Raises
    ------
    Refusal
        In private, from someone of no community that is known; or forgotten meanwhile.
    """
    await must_be(connection, known_id)
    if asker.guild_id is None:
        found = (
            await connection.execute(
                select(member.c.community_id, member.c.id, member.c.name)
                .where(
                    member.c.user_id == asker.user_id,
                    true()
                    if asker.community_id is None
                    else member.c.community_id == asker.community_id,
                )
                .order_by(member.c.home.desc(), member.c.id)
            )
        ).first()
        if found is None:
            raise Refusal("no.no_home", outcome="refuse")
        return Writer(
            community_id=found.community_id,
            member_id=found.id,
            user_id=asker.user_id,
            name=found.name,
        )
    known = await _known(connection, asker)
    if known is not None:
        return known
    community_id = await _community(connection, asker)
    member_id = await member_row(connection, community_id, asker, now)
    # The name as it is stored: what is signed with it can be found again when it is forgotten.
    name = (
        await connection.execute(select(member.c.name).where(member.c.id == member_id))
    ).scalar_one()
    return Writer(community_id=community_id, member_id=member_id, user_id=asker.user_id, name=name)


async def _known(connection: AsyncConnection, asker: Asker) -> Writer | None:
    """Who is there already, as mostly, in one look."""
    query = (
        select(member.c.community_id, member.c.id, member.c.name)
        .join(community, community.c.id == member.c.community_id)
        .where(community.c.guild_id == asker.guild_id, member.c.user_id == asker.user_id)
    )
    row = (await connection.execute(query)).first()
    if row is None:
        return None
    return Writer(
        community_id=row.community_id, member_id=row.id, user_id=asker.user_id, name=row.name
    )


async def must_be(connection: AsyncConnection, known_id: int) -> None:
    """Refuse to write for somebody who was forgotten since the answer was worked out."""
    if not known_id:
        return
    query = select(member.c.id).where(member.c.id == known_id)
    if (await connection.execute(query)).first() is None:
        raise Refusal("no.forgotten", outcome="refuse")


async def _community(connection: AsyncConnection, asker: Asker) -> int:
    place = select(community.c.id).where(community.c.guild_id == asker.guild_id)
    found = (await connection.execute(place)).scalar()
    if found is not None:
        return int(found)
    name = asker.place.community if asker.place else ""
    made = await connection.execute(
        insert(community).values(guild_id=asker.guild_id, name=name[:100])
    )
    return new_key(made)


async def member_row(
    connection: AsyncConnection, community_id: int, asker: Asker, now: datetime
) -> int:
    """The row of one person in one community, made if there is none."""
    known = (
        await connection.execute(
            select(member.c.id).where(
                member.c.community_id == community_id, member.c.user_id == asker.user_id
            )
        )
    ).scalar()
    if known is not None:
        return int(known)
    place = (
        await connection.execute(
            select(community.c.time_zone, community.c.units, community.c.zone_set).where(
                community.c.id == community_id
            )
        )
    ).one()
    new = stranger(asker, place.time_zone, place.units if place.zone_set else None)
    made = await connection.execute(
        insert(member).values(
            community_id=community_id,
            user_id=asker.user_id,
            name=asker.name,
            units=new.units,
            time_zone=new.time_zone,
            currency=new.currency,
            joined_on=now.date(),
        )
    )
    return new_key(made)


def other(user_id: int, name: str) -> Asker:
    """Somebody whom the asker has named, of whom the platform tells no more."""
    return Asker(user_id=user_id, name=name, guild_id=None, private=True)


async def set_member(connection: AsyncConnection, change: SetMember, who: Writer) -> dict[str, Any]:
    """One of the person's own settings."""
    if change.setting not in _SETTINGS:
        raise ValueError(change.setting)
    await connection.execute(
        update(member).where(member.c.id == who.member_id).values({change.setting: change.value})
    )
    if change.setting == "time_zone":
        own = and_(rule.c.member_id == who.member_id, ~rule.c.room)
        await move_zone(connection, own, str(change.value))
    value = change.value.isoformat() if isinstance(change.value, date) else change.value
    return {"setting": change.setting, "value": value}


async def set_home(connection: AsyncConnection, change: SetHome, who: Writer) -> dict[str, Any]:
    """Where the person's private messages belong from now on."""
    mine = member.c.user_id == who.user_id
    await connection.execute(
        update(member).where(mine).values(home=member.c.community_id == change.community_id)
    )
    return {"community": change.community_id}


async def set_role(
    connection: AsyncConnection, change: SetRole, who: Writer, now: datetime
) -> dict[str, Any]:
    """Coach or member; the last coach stays one."""
    member_id = who.member_id
    if change.user_id is not None:
        named = other(change.user_id, change.name)
        member_id = await member_row(connection, who.community_id, named, now)
    if change.role != "coach":
        left = select(func.count()).where(
            member.c.community_id == who.community_id,
            member.c.role == "coach",
            member.c.id != member_id,
        )
        if not (await connection.execute(left)).scalar():
            raise Refusal("no.last_coach", outcome="refuse")
    await connection.execute(
        update(member).where(member.c.id == member_id).values(role=change.role)
    )
    await _name_coach(connection, who.community_id)
    return {"person": member_id, "role": change.role}


async def _name_coach(connection: AsyncConnection, community_id: int) -> None:
    """The community's coach by name: who has been it longest, and is it still."""
    first = (
        select(member.c.name)
        .where(member.c.community_id == community_id, member.c.role == "coach")
        .order_by(member.c.id)
        .limit(1)
        .scalar_subquery()
    )
    still = select(member.c.id).where(
        member.c.community_id == community_id,
        member.c.role == "coach",
        member.c.name == community.c.coach,
    )
    await connection.execute(
        update(community).where(community.c.id == community_id, ~still.exists()).values(coach=first)
    )
