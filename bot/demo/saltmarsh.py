"""Saltmarsh Growers, a coastal town that does not exist: one member, her tower, the coach's feed.

People, feed and numbers are made up.
"""

from __future__ import annotations

from datetime import date
from typing import Final

from bot.records.facts import Feed, Member, Part, Tower
from bot.storage import Store
from bot.storage.founding import Founding, found, join
from calc.units import to_si

COMMUNITY: Final = "Saltmarsh Growers"
ROOM: Final = "towers"
MEMBER: Final = "Tamsin"
COACH: Final = "Wenna"
GUILD_ID: Final = 410_000_000_000_000_001
ROOM_ID: Final = 410_000_000_000_000_002
MEMBER_ID: Final = 410_000_000_000_000_011
_ZONE: Final = "America/New_York"
_SET_ON: Final = date(2026, 5, 4)


async def fill(store: Store) -> bool:
    """Put the town into an empty store; False when it is there already."""
    gallon = to_si(1, "us_gal")
    rate = 8 / gallon
    feed = Feed(
        name="Saltmarsh two-part",
        parts=(Part(name="A", ml_per_l=rate), Part(name="B", ml_per_l=rate)),
        ec_gain_ms_per_cm=1.6,
    )
    town = Founding(
        guild_id=GUILD_ID,
        room_id=ROOM_ID,
        name=COMMUNITY,
        time_zone=_ZONE,
        units="us",
        coach=COACH,
        feeds=[feed],
        rules=[("tap_ec", 0.4), ("target_ec", 1.7)],
        set_on=_SET_ON,
    )
    if not await found(store, town):
        return False
    tower = Tower(
        name="kitchen",
        tank_l=16 * gallon,
        full_depth_cm=to_si(14, "in"),
        place="outdoor",
        target_ec=1.7,
        water_ec=0.4,
        strength=1.0,
        pump_min_l=3.5 * gallon,
        levels=6,
        ports_per_level=5,
        feed=feed.name,
        timer_kind="dial",
        timer_on_min=15,
        timer_off_min=15,
        set_on=_SET_ON,
    )
    who = Member(name=MEMBER, units="us", time_zone=_ZONE, gallon="us", has_ec_meter=True)
    await join(store, GUILD_ID, MEMBER_ID, who, [tower])
    return True
