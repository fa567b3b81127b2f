"""The only place that asks what time it is, and the only one that turns wall times into moments.

Two clocks. Calendar time (`Clock.now`, `Sleeper.until`) is for due times, logs and conversations; a
rehearsal may stop it or step it. Leases, back-off and the platform's windows use monotonic time,
which is always real.

A recurrence is written by us from typed fields, never taken as text from a person. Its rules:

gap      a wall time that does not exist moves forward by the length of the gap
overlap  a wall time that comes twice counts once, the first time
elapsed  intervals below a day count real time, whatever the clocks do
overflow a day that a month has not: left out ("omit") or its last day ("clamp")
"""

from __future__ import annotations

import asyncio
import re
from calendar import isleap, monthrange
from collections.abc import Iterator
from contextlib import AbstractContextManager, nullcontext, suppress
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from importlib.metadata import version
from importlib.resources import files
from itertools import islice
from typing import Final, Protocol
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from dateutil.rrule import rrulestr

_LONGEST_NAP_S = 30.0
_NO_LEAP_YEAR = 2027
_WALL_FREQ: Final = frozenset({"DAILY", "WEEKLY", "MONTHLY", "YEARLY"})
_ELAPSED_FREQ: Final = {"HOURLY": timedelta(hours=1), "MINUTELY": timedelta(minutes=1)}
_PARTS: Final = frozenset(
    {"FREQ", "INTERVAL", "COUNT", "UNTIL", "BYDAY", "BYMONTHDAY", "BYMONTH", "BYSETPOS", "WKST"}
)
_MOST_INTERVAL = 1000
_DAY_BEGINS, _DAY_ENDS = 7, 21  # on somebody's wall


class Sleeper(Protocol):
    """One who waits for calendar times."""

    async def until(self, at: datetime | None, real_s: float | None = None) -> None:
        """Return at `at`, after `real_s` seconds of real time, or when woken; None waits on."""

    def wake(self) -> None:
        """End the waiting, or the next one."""

    def close(self) -> None:
        """They wait for nothing any more."""

    def working(self) -> AbstractContextManager[None]:
        """Something of theirs that goes on while they wait already for the next time."""


class Clock(Protocol):
    """Calendar time."""

    def now(self) -> datetime:
        """The present moment, aware, in UTC."""

    def sleeper(self) -> Sleeper:
        """Somebody new who waits for times of this clock."""


class SystemClock:
    """The machine's own clock."""

    def now(self) -> datetime:
        return datetime.now(UTC)

    def sleeper(self) -> Sleeper:
        return _Napper()


class _Napper:
    """Waits by the monotonic clock and looks up often: the calendar may jump meanwhile."""

    def __init__(self) -> None:
        self._woken = asyncio.Event()

    def wake(self) -> None:
        self._woken.set()

    def close(self) -> None:
        return

    def working(self) -> AbstractContextManager[None]:
        return nullcontext()

    async def until(self, at: datetime | None, real_s: float | None = None) -> None:
        left_s = float("inf") if real_s is None else real_s
        while left_s > 0:
            nap_s = min(_LONGEST_NAP_S, left_s)
            if at is not None:
                nap_s = min(nap_s, (at - datetime.now(UTC)).total_seconds())
            if nap_s <= 0:
                return
            with suppress(TimeoutError):
                async with asyncio.timeout(nap_s):
                    await self._woken.wait()
            left_s -= nap_s
            if self._woken.is_set():
                self._woken.clear()
                return


# Zones


@cache
def zone_of(name: str) -> ZoneInfo:
    """The time zone called `name`, from the pinned tz data and from nowhere else.

    Raises
    ------
    ZoneInfoNotFoundError
        No such zone.
    """
    if name not in zone_names():
        raise ZoneInfoNotFoundError(name)
    place = files("tzdata").joinpath("zoneinfo", *name.split("/"))
    with place.open("rb") as data:
        return ZoneInfo.from_file(data, key=name)


@cache
def zone_names() -> frozenset[str]:
    """Every time zone there is."""
    return frozenset((files("tzdata") / "zones").read_text(encoding="utf-8").split())


@cache
def zone_data() -> str:
    """Which edition of the tz data this is, as in 2026.6."""
    return version("tzdata")


def quiet_until(
    at: datetime, zone_name: str, start: str | None, end: str | None
) -> datetime | None:
    """When the quiet hours that `at` falls into are over; None where it falls into none.

    start, end: wall times as in 21:00, over midnight where the end comes first.
    """
    if start is None or end is None or start == end:
        return None
    here = at.astimezone(zone_of(zone_name))
    clock, day = here.strftime("%H:%M"), here.date()
    inside = start <= clock < end if start < end else clock >= start or clock < end
    if not inside:
        return None
    if clock >= end:
        day += timedelta(days=1)
    local = datetime.combine(day, time.fromisoformat(end), zone_of(zone_name))
    ends = local.astimezone(UTC)
    if ends <= at:  # that hour comes twice, and its first time is over
        ends = local.replace(fold=1).astimezone(UTC)
    return ends if ends > at else None


# Recurrences


def instant(local: datetime, zone_name: str) -> datetime:
    """The moment of a wall time: moved forward out of a gap, the first of two."""
    return local.replace(tzinfo=zone_of(zone_name), fold=0).astimezone(UTC)


def occurrences(
    *,
    start_local: datetime | str,
    rrule: str,
    zone: str,
    kind: str = "wall",
    overflow: str = "omit",
    count: int,
) -> list[datetime]:
    """The first `count` moments of a recurrence, aware, in UTC; fewer where it ends.

    start_local: a naive wall time of `zone`; rrule: RFC 5545 without its name, empty for once.

    Raises
    ------
    ValueError
        A rule that we would never write, or a zone that does not exist.
    """
    found = recurring(start_local=start_local, rrule=rrule, zone=zone, kind=kind, overflow=overflow)
    return [at for _, at in islice(found, max(0, count))]


def recurring(
    *,
    start_local: datetime | str,
    rrule: str,
    zone: str,
    kind: str = "wall",
    overflow: str = "omit",
    after: str = "",
) -> Iterator[tuple[str, datetime]]:
    """Each occurrence as its key and its moment, those whose key comes after `after`.

    The key is what the occurrence is known by for ever: of a wall rule its local date and time, of
    an elapsed one its UTC moment.

    Raises
    ------
    ValueError
    """
    start = datetime.fromisoformat(start_local) if isinstance(start_local, str) else start_local
    if start.tzinfo is not None:
        raise ValueError("a recurrence starts at a wall time")
    _known(zone)
    parts = _checked(rrule, kind)
    if kind == "elapsed":
        return _elapsed(instant(start, zone), parts, after)
    return _wall(start, parts, zone, overflow, after)


def _known(name: str) -> None:
    if name not in zone_names():
        raise ValueError(f"no time zone {name}")


def _checked(rrule: str, kind: str) -> dict[str, str]:
    """A rule's parts, refused where they could run for ever or mean nothing."""
    if not rrule:
        return {}
    pairs = [part.partition("=") for part in rrule.split(";")]
    parts = {name: value for name, _, value in pairs}
    freq = _ELAPSED_FREQ if kind == "elapsed" else _WALL_FREQ
    if set(parts) - _PARTS or len(parts) != len(pairs) or parts.get("FREQ") not in freq:
        raise ValueError(f"not a rule of ours: {rrule}")
    monthly = parts["FREQ"] in ("MONTHLY", "YEARLY")
    wrong = (
        (kind == "elapsed" and any(name.startswith("BY") for name in parts))
        or ("BYMONTHDAY" in parts and not monthly)
        or ("BYMONTH" in parts and parts["FREQ"] != "YEARLY")
    )
    if wrong:
        raise ValueError(f"not a rule of ours: {rrule}")
    for name in ("INTERVAL", "COUNT"):
        if name in parts and not re.fullmatch(r"[1-9]\d{0,9}", parts[name]):
            raise ValueError(f"{name} must be above 0: {rrule}")
    if int(parts.get("INTERVAL", 1)) > _MOST_INTERVAL:
        raise ValueError(f"INTERVAL is above {_MOST_INTERVAL}: {rrule}")
    return parts


def _elapsed(first: datetime, parts: dict[str, str], after: str) -> Iterator[tuple[str, datetime]]:
    """Real time: each so many hours or minutes after the one before."""
    step = _ELAPSED_FREQ[parts["FREQ"]] * int(parts.get("INTERVAL", 1)) if parts else None
    number = 0
    if after and step is not None:
        number = max(0, (datetime.fromisoformat(after) - first) // step)
    last = int(parts["COUNT"]) if "COUNT" in parts else None
    until = _until(parts)
    while last is None or number < last:
        at = first + (step or timedelta()) * number
        if until is not None and at.replace(tzinfo=None) > until:
            return
        key = elapsed_key(at)
        if key > after:
            yield key, at
        if step is None:
            return
        number += 1


def _wall(
    start: datetime, parts: dict[str, str], zone_name: str, overflow: str, after: str
) -> Iterator[tuple[str, datetime]]:
    before: datetime | None = None
    for local in _walls(start, parts, overflow, after):
        at = instant(local, zone_name)
        if at == before:
            continue  # a day that a zone skipped: both fall on the same moment
        before = at
        key = wall_key(local)
        if key > after:
            yield key, at


def _walls(start: datetime, parts: dict[str, str], overflow: str, after: str) -> Iterator[datetime]:
    """The wall times themselves, none where the rule never comes."""
    if not parts:
        yield start
        return
    parts = _clamped(parts) if overflow == "clamp" else dict(parts)
    if not _ever(parts, start):
        return
    if after and parts.get("INTERVAL", "1") == "1" and "COUNT" not in parts:
        # What is over need not be counted again: every day may begin such a pattern.
        day = datetime.fromisoformat(after).date()
        start = max(start, datetime.combine(day, start.time()))
    yield from rrulestr(_text(parts), dtstart=start)


def _ever(parts: dict[str, str], start: datetime) -> bool:
    """Whether the days of the rule exist at all: the library would look until the year 9999."""
    days = [int(day) for day in parts.get("BYMONTHDAY", "1").split(",")]
    step = int(parts.get("INTERVAL", 1))
    if parts["FREQ"] == "MONTHLY":
        months = {(start.month - 1 + step * n) % 12 + 1 for n in range(12)}
    else:
        months = {int(month) for month in parts.get("BYMONTH", str(start.month)).split(",")}
    if any(min(days) <= monthrange(_NO_LEAP_YEAR, month)[1] for month in months):
        return True
    if 2 not in months or min(days) > 29:
        return False
    years = (start.year + step * n for n in range(400))
    return parts["FREQ"] != "YEARLY" or any(isleap(year) for year in years)


def _clamped(parts: dict[str, str]) -> dict[str, str]:
    """The same rule with a day that a month has not taken as its last."""
    day, weekday = parts.get("BYMONTHDAY", ""), parts.get("BYDAY", "")
    if day in ("29", "30", "31"):
        days = ",".join(str(n) for n in range(28, int(day) + 1))
        return {**parts, "BYMONTHDAY": days, "BYSETPOS": "-1"}
    if weekday.startswith("5"):
        return {**parts, "BYDAY": f"-1{weekday[1:]}"}
    return dict(parts)


def plain_rule(rrule: str, overflow: str) -> str:
    """A rule of ours as any reader of RFC 5545 takes it, what becomes of short months included."""
    parts = dict(part.split("=") for part in rrule.split(";"))
    return _text(_clamped(parts) if overflow == "clamp" else parts)


def _until(parts: dict[str, str]) -> datetime | None:
    """The last wall time (of an elapsed rule: UTC) that may be; a bare day is meant whole."""
    text = parts.get("UNTIL", "").rstrip("Z")
    if not text:
        return None
    form = "%Y%m%dT%H%M%S" if "T" in text else "%Y%m%d"
    found = datetime.strptime(text, form)  # noqa: DTZ007 - a wall time has no zone
    return found if "T" in text else found + timedelta(days=1, seconds=-1)


def _text(parts: dict[str, str]) -> str:
    return ";".join(f"{name}={value}" for name, value in parts.items())


def wall_key(local: datetime) -> str:
    """What an occurrence of a wall rule is known by."""
    return local.replace(tzinfo=None).isoformat(timespec="minutes")


def elapsed_key(at: datetime) -> str:
    """What an occurrence of an elapsed rule is known by."""
    return at.astimezone(UTC).isoformat(timespec="minutes")


def local_date(at: datetime, zone_name: str) -> date:
    """The date on the calendar of a zone at `at`."""
    return at.astimezone(zone_of(zone_name)).date()


@cache
def _latitudes() -> dict[str, float]:
    """Zone -> latitude of the city that it is named for, by the tz database's own table."""
    text = (files("tzdata") / "zoneinfo" / "zone.tab").read_text(encoding="utf-8")
    rows = (line.split("\t") for line in text.splitlines() if not line.startswith("#"))
    return {row[2]: _degrees(row[1]) for row in rows}


def _degrees(place: str) -> float:
    """+404251-0740023 or +3843-00908 -> latitude in degrees."""
    found = re.match(r"([+-])(\d{2})(\d{2})(\d{2})?[+-]", place)
    if found is None:
        raise ValueError(f"no place: {place}")
    degrees = int(found[2]) + int(found[3]) / 60 + int(found[4] or 0) / 3600
    return -degrees if found[1] == "-" else degrees


def latitude_of(zone: str) -> float | None:
    """Latitude of a zone's city [degrees, north above 0]; None where the zone names no city."""
    return _latitudes().get(zone)


def offset(zone: str, at: datetime) -> timedelta:
    """How far a zone's clocks are ahead of UTC at a moment."""
    return at.astimezone(zone_of(zone)).utcoffset() or timedelta(0)


def by_day(at: datetime, zone: str, morning: str) -> datetime:
    """A moment, or the next morning there where it falls into the night (9 pm to 7 am)."""
    local = at.astimezone(zone_of(zone))
    if _DAY_BEGINS <= local.hour < _DAY_ENDS:
        return at
    day = local.date() + timedelta(days=1 if local.hour >= _DAY_ENDS else 0)
    return instant(datetime.combine(day, time.fromisoformat(morning)), zone)
