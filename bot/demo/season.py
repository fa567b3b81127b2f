"""A season of Saltmarsh Growers: what its people logged, and what really happened.

Reproducible: everything hangs on `seed` and `until`. Nothing here reads a clock or a file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from bot.demo.beds import plantings
from bot.demo.crops import CROPS, Batch, harvested
from bot.demo.habits import Scene, attend, lateness
from bot.demo.hours import bed, hours
from bot.demo.households import plots
from bot.demo.physics import TAP_C, Hour, Water, after, flow
from bot.demo.plans import Visit, visits
from bot.demo.plots import Plot
from bot.demo.weather import CLIMATES, Day, weather
from bot.records.facts import Entry, Planting, Tower

AHEAD_DAYS: Final = 30
FEWEST_WEEKS: Final = 6  # the story's oldest event, a change long ago, needs that many
_HOUR: Final = timedelta(hours=1)
_DAY: Final = timedelta(days=1)


class Truth(NamedTuple):
    """What was really in the tank: an aware UTC time, L, mS/cm."""

    at: datetime
    level_l: float
    ec: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """A tower with its log, oldest first, and the truth that nobody in the town knows.

    truth : each 24 h back from the end, the end included.
    ahead : each 24 h after the end, if nobody comes any more.
    plants : crop and count, as the season allowed them.
    plantings : port by port, as they stand at the end.
    """

    tower: Tower
    keepers: tuple[str, ...]
    zone: str
    entries: tuple[Entry, ...]
    truth: tuple[Truth, ...]
    ahead: tuple[Truth, ...]
    plants: tuple[tuple[str, int], ...]
    plantings: tuple[Planting, ...] = ()
    leak_at: datetime | None = None


def season(*, seed: int, until: datetime, weeks: int = 8) -> tuple[Stand, ...]:
    """Each tower of the town over the `weeks` before `until`.

    Raises
    ------
    ValueError
        `until` has no zone, or `weeks` are fewer than the town's story needs.
    """
    if until.tzinfo is None:
        raise ValueError("a season needs an aware end")
    if weeks < FEWEST_WEEKS:
        raise ValueError(f"a season needs {FEWEST_WEEKS} weeks or more, not {weeks}")
    until = until.astimezone(UTC).replace(second=0, microsecond=0)
    start = until - timedelta(weeks=weeks)
    skies = {zone: _sky(zone, seed, start, until) for zone in CLIMATES}
    return tuple(_stand(plot, seed, start, until, skies[plot.zone]) for plot in plots())


def _sky(zone: str, seed: int, start: datetime, until: datetime) -> dict[date, Day]:
    """The weather of one place, with a hot spell two to five weeks before the end."""
    rng = Random(f"{seed}/{zone}")
    hot_from = until.date() - rng.randint(14, 36) * _DAY
    last = until.date() + (AHEAD_DAYS + 2) * _DAY
    return weather(CLIMATES[zone], rng, start.date() - _DAY, last, hot_from)


def _stand(
    plot: Plot, seed: int, start: datetime, until: datetime, sky: Mapping[date, Day]
) -> Stand:
    rng = Random(f"{seed}/{plot.tower.name}")
    if plot.started_days_ago is not None:
        start = until - plot.started_days_ago * _DAY
    leak_at = _leak_night(plot, rng, until, sky) if plot.close.leaks else None
    batches = bed(plot, rng, start.date(), until.date())
    past = int((until - start) / _HOUR)
    all_hours = hours(plot, batches, sky, start, past + 24 * AHEAD_DAYS, leak_at)
    planned = visits(plot, rng, start, until, all_hours, leak_at)
    scenes = _scenes(plot, rng, planned, batches, start, until)
    waters, entries = _lived(plot, rng, scenes, all_hours)
    heard_until = until - plot.close.silent_days * _DAY
    return Stand(
        tower=plot.tower,
        keepers=plot.keepers,
        zone=plot.zone,
        entries=tuple(entry for entry in entries if entry.at < heard_until),
        truth=_daily(waters, start, range(past % 24, past + 1, 24)),
        ahead=_daily(waters, start, range(past + 24, len(waters), 24)),
        plants=_counted(batches),
        plantings=plantings(plot.tower, batches, start.date(), until.date()),
        leak_at=leak_at,
    )


def _leak_night(plot: Plot, rng: Random, until: datetime, sky: Mapping[date, Day]) -> datetime:
    """Ten at night there, three to five weeks before the end, away from the hot spell."""
    zone = ZoneInfo(plot.zone)
    nights = [
        night
        for night in (until.date() - ago * _DAY for ago in range(20, 36))
        if not any(sky[night + near * _DAY].hot for near in range(-3, 4))
    ]
    return datetime.combine(rng.choice(nights), time(22), zone).astimezone(UTC)


def _scenes(
    plot: Plot,
    rng: Random,
    planned: Sequence[Visit],
    batches: tuple[Batch, ...],
    start: datetime,
    until: datetime,
) -> dict[int, Scene]:
    """Each visit as it will be played, by its hour from `start`."""
    scenes: dict[int, Scene] = {}
    last_day = 0
    for visit in planned:
        number = int((visit.at - start) / _HOUR)
        day = number // 24
        scenes[number] = Scene(
            plot=plot,
            visit=visit,
            rng=rng,
            day=day,
            late=lateness(plot, visit, rng, until),
            harvest=_ripe(batches, last_day, day),
        )
        last_day = day
    return scenes


def _lived(
    plot: Plot, rng: Random, scenes: Mapping[int, Scene], all_hours: Sequence[Hour]
) -> tuple[list[Water], list[Entry]]:
    """The tank at the start of each hour, after whoever came in it, and the log."""
    tank_l = plot.tower.tank_l
    level_l = rng.uniform(0.6, 0.95) * tank_l
    salts = level_l * (plot.tower.target_ec or 0.0)
    water = Water(level_l=level_l, salts=salts, water_c=TAP_C)
    waters: list[Water] = []
    entries: list[Entry] = []
    for number, hour in enumerate(all_hours):
        if number in scenes:
            water, made = attend(scenes[number], water)
            entries += made
        waters.append(water)
        water = after(water, hour, flow(water, hour, tank_l))
    waters.append(water)
    return waters, sorted(entries, key=lambda entry: entry.at)


def _counted(batches: tuple[Batch, ...]) -> tuple[tuple[str, int], ...]:
    counts: dict[str, int] = {}
    for batch in batches:
        counts[batch.crop] = counts.get(batch.crop, 0) + batch.plants
    return tuple(counts.items())


def _ripe(batches: tuple[Batch, ...], after_day: int, day: int) -> bool:
    """Whether something was ready to cut since the last visit."""
    return any(
        harvested(CROPS[batch.crop], batch.age_d + one)
        for batch in batches
        for one in range(after_day + 1, day + 1)
    )


def _daily(waters: Sequence[Water], start: datetime, numbers: range) -> tuple[Truth, ...]:
    return tuple(
        Truth(start + number * _HOUR, waters[number].level_l, waters[number].ec)
        for number in numbers
    )
