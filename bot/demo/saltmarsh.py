"""Saltmarsh Growers, a coastal town that does not exist: one member, her tower, the coach's feed.

People, feed and numbers are made up.
"""

from __future__ import annotations

from typing import Final

from bot.demo.feeds import SET_ON, two_part
from bot.demo.people import SALTMARSH_ZONE, TAMSIN, WENNA
from bot.demo.towers import kitchen
from bot.storage import Store
from bot.storage.founding import Community, found, join

COMMUNITY: Final = "Saltmarsh Growers"
ROOM: Final = "towers"
MEMBER: Final = TAMSIN.name
COACH: Final = WENNA.name
GUILD_ID: Final = 410_000_000_000_000_001
ROOM_ID: Final = 410_000_000_000_000_002
MEMBER_ID: Final = TAMSIN.user_id


async def fill(store: Store) -> bool:
    """Put the town into an empty store; False when it is there already."""
    town = Community(
        guild_id=GUILD_ID,
        room_id=ROOM_ID,
        name=COMMUNITY,
        time_zone=SALTMARSH_ZONE,
        units="us",
        coach=COACH,
        feeds=[two_part()],
        rules=[("tap_ec", 0.4), ("target_ec", 1.7)],
        set_on=SET_ON,
    )
    if not await found(store, town):
        return False
    assert TAMSIN.member is not None
    await join(store, GUILD_ID, MEMBER_ID, TAMSIN.member, [kitchen()])
    return True
