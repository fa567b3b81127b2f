"""Saltmarsh Growers in a store: a coastal town that does not exist, its people, towers and logs.

People, feeds and numbers are made up.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from bot.demo.feeds import SET_ON, metric, three_part, two_part
from bot.demo.people import PEOPLE, SALTMARSH_ZONE, TAMSIN, WENNA, person
from bot.demo.season import season
from bot.demo.towers import kitchen
from bot.storage import Store
from bot.storage.founding import Founding, Household, Resident, found, settle

COMMUNITY: Final = "Saltmarsh Growers"
ROOM: Final = "towers"
MEMBER: Final = TAMSIN.name
COACH: Final = WENNA.name
GUILD_ID: Final = 410_000_000_000_000_001
ROOM_ID: Final = 410_000_000_000_000_002
MEMBER_ID: Final = TAMSIN.user_id
_OWN_BOTTLES: Final = "Sunniva"


async def fill(store: Store, *, until: datetime | None = None, seed: int = 1) -> bool:
    """Put the town into an empty store; False when it is there already.

    until: the moment up to which its eight weeks of logs run; without it there is only Tamsin with
    her kitchen, and nothing is logged yet.
    """
    town = Founding(
        guild_id=GUILD_ID,
        room_id=ROOM_ID,
        name=COMMUNITY,
        time_zone=SALTMARSH_ZONE,
        units="us",
        coach=COACH,
        feeds=[two_part(), metric()] if until else [two_part()],
        rules=[("tap_ec", 0.4), ("target_ec", 1.7)],
        set_on=SET_ON,
        quiet=("21:00", "08:00"),
    )
    if not await found(store, town):
        return False
    if until is None:
        assert TAMSIN.member is not None
        tamsin = Resident(user_id=MEMBER_ID, member=TAMSIN.member)
        house = Household(tower=kitchen(), keepers=(MEMBER_ID,))
        await settle(store, GUILD_ID, [tamsin], [house])
        return True
    await settle(store, GUILD_ID, _residents(until), _households(seed, until))
    return True


def _residents(until: datetime) -> list[Resident]:
    return [
        Resident(
            user_id=one.user_id,
            member=one.member,
            joined_on=(until - timedelta(days=one.joined_days_ago)).date(),
            feeds=(three_part(),) if one.name == _OWN_BOTTLES else (),
        )
        for one in PEOPLE
        if one.member is not None
    ]


def _households(seed: int, until: datetime) -> list[Household]:
    return [
        Household(
            tower=stand.tower,
            keepers=tuple(person(name).user_id for name in stand.keepers),
            entries=stand.entries,
            plantings=stand.plantings,
        )
        for stand in season(seed=seed, until=until)
    ]
