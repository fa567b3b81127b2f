"""The clock on the page: it stands, runs or is walked to a time, and tells what is due next."""

import asyncio
import re
from datetime import UTC, datetime, timedelta
from functools import cache
from importlib.resources import files
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from bot.rehearsal.acts.seen import Refused
from bot.rehearsal.instrument import Coming, Instrument
from bot.rehearsal.page.asked import Asked, Wrong
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.switchboard import Switchboard

FASTEST, LISTED = 1000, 8
FURTHEST: Final = timedelta(days=366)
WALL: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?", re.ASCII)


class Clock:
    """Turns an instrument at the page's word; owns the walk that is under way."""

    def __init__(self, board: Switchboard, instrument: Instrument) -> None:
        self._board = board
        self._instrument = instrument
        self._walk: asyncio.Task[None] | None = None
        self._trouble = ""

    def state(self) -> Json:
        """How the clock stands, without what is due."""
        return {
            "now": self._instrument.now().isoformat(),
            "speed": self._instrument.speed,
            "walking": self._walk is not None,
            "trouble": self._trouble,
        }

    async def look(self, asked: Asked) -> Json:
        """How the clock stands, and what is due next."""
        coming = [_coming(one) for one in list(await self._instrument.coming())[:LISTED]]
        return {**self.state(), "coming": coming}

    async def turn(self, asked: Asked) -> Json:
        """Let it run at a speed, or begin a walk; how it stands then."""
        given = [name for name in ("speed", "to", "next") if name in asked.given]
        if given == ["speed"]:
            await self._run(_speed(asked))
        elif given == ["to"]:
            at = _wanted(asked)
            if at <= self._instrument.now():
                raise Refused("That time is over.")
            self._begin(at)
        elif given == ["next"]:
            if asked.given["next"] is not True:
                raise Wrong(400, "next can only be true")
            self._begin(await self._next())
        else:
            raise Wrong(400, "one of speed, to and next is needed")
        # every open page shows the same clock
        self._board.audience.stir()
        return await self.look(asked)

    async def _run(self, speed: float) -> None:
        if self._walk is not None:
            if speed:
                raise Refused("The clock is being stepped; stop it first.")
            await self.close()
        self._trouble = ""
        self._instrument.run(speed)

    async def _next(self) -> datetime:
        coming = await self._instrument.coming()
        if not coming:
            raise Refused("Nothing is due.")
        return coming[0].due

    def _begin(self, at: datetime) -> None:
        if self._walk is not None:
            raise Refused("The clock is being stepped already.")
        now = self._instrument.now()
        if at > now + FURTHEST:
            raise Refused("That is more than a year ahead.")
        self._trouble = ""
        # what is due next may be late, and no clock goes back
        self._walk = asyncio.create_task(self._instrument.walk_to(max(at, now)))
        self._walk.add_done_callback(self._end)

    def _end(self, walk: asyncio.Task[None]) -> None:
        self._walk = None
        wrong = None if walk.cancelled() else walk.exception()
        if wrong is not None:
            self._trouble = "Something due took too long; the clock stands where it had come to."
            if not isinstance(wrong, TimeoutError):
                self._trouble = "The step broke off; the clock stands where it had come to."
                self._board.surprises.append(repr(wrong))
        self._board.audience.stir()

    async def close(self) -> None:
        """End the walk under way."""
        if self._walk is not None:
            self._walk.cancel()
            await asyncio.gather(self._walk, return_exceptions=True)


def _speed(asked: Asked) -> float:
    value = asked.given["speed"]
    # JSON as Python reads it knows NaN, which is in no range
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= FASTEST:
        raise Wrong(400, f"speed is not between 0 and {FASTEST}")
    return value


def _wanted(asked: Asked) -> datetime:
    """The moment of a wall time: in a gap after it, of two alike the first."""
    text = asked.text("to", most=40)
    name = asked.text("zone", most=100) if "zone" in asked.given else "UTC"
    try:
        zone = _zone(name)
    except ZoneInfoNotFoundError:
        raise Wrong(400, "zone is no time zone") from None
    try:
        if WALL.fullmatch(text):
            return datetime.fromisoformat(text).replace(tzinfo=zone).astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    raise Wrong(400, "to is no day and time, as in 2026-05-09T18:00")


def _coming(one: Coming) -> Json:
    return {
        "due": one.due.isoformat(),
        "who": one.who,
        "text": one.text,
        "zone": one.zone,
        "local": _local(one.due.astimezone(_zone(one.zone))),
    }


def _local(at: datetime) -> str:
    half = "am" if at.hour < 12 else "pm"
    return f"{at:%a} {at.day} {at:%b}, {at.hour % 12 or 12}:{at:%M} {half}"


@cache
def _zone(name: str) -> ZoneInfo:
    # the pinned data, which the bot uses too; and a name never becomes a path of anything else
    data = files("tzdata")
    if name not in (data / "zones").read_text(encoding="utf-8").split():
        raise ZoneInfoNotFoundError(name)
    with data.joinpath("zoneinfo", *name.split("/")).open("rb") as found:
        return ZoneInfo.from_file(found, key=name)
