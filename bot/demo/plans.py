"""When people come to their tower over a season, and what brings them.

The end of the season is a given, so what leads to it is planned backwards: plants drink whatever
is in the tank, so the day of the last fill settles the level on the last day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import accumulate
from random import Random
from typing import Final
from zoneinfo import ZoneInfo

from bot.demo.hours import LEAK_HOURS
from bot.demo.physics import Hour
from bot.demo.plots import Plot

EARLIEST: Final = 6.5  # local hours between which anybody logs
LATEST: Final = 21.5
FILLED: Final = 0.985  # of the tank, where a fill "to the line" really ends
_VISIT_H: Final = 0.8  # a visit's own length, so that its last entry is still before LATEST
_HOUR: Final = timedelta(hours=1)
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Someone at the tank. fill: True whatever the level, False only a look, None as they judge."""

    at: datetime
    by: str = ""
    fill: bool | None = None
    change: bool = False
    arranged: bool = False


def local_hour(at: datetime, zone: str) -> float:
    """Hour of the day on the wall there, 0 to 24."""
    wall = at.astimezone(ZoneInfo(zone))
    return wall.hour + wall.minute / 60


def is_awake(at: datetime, zone: str, *, spare_h: float = 0.0) -> bool:
    return EARLIEST <= local_hour(at, zone) <= LATEST - spare_h


def moment(rng: Random, plot: Plot, early: datetime, late: datetime) -> datetime:
    """A waking minute from `early` to `late` (10 h apart or more), near their usual hour.

    Raises
    ------
    ValueError
        The night fills the whole span.
    """
    wished = plot.habit.usual_hour + rng.gauss(0, 1.2)
    first = (early + timedelta(minutes=rng.randrange(2, 10))).replace(second=0, microsecond=0)
    span = int((late - first) / timedelta(minutes=10))
    times = [first + timedelta(minutes=10 * step) for step in range(span + 1)]
    waking = [at for at in times if is_awake(at, plot.zone, spare_h=_VISIT_H)]
    return min(waking, key=lambda at: abs(local_hour(at, plot.zone) - wished))


def visits(
    plot: Plot,
    rng: Random,
    start: datetime,
    until: datetime,
    ahead: Sequence[Hour],
    leak_at: datetime | None,
) -> tuple[Visit, ...]:
    """Every visit from `start` to `until`, oldest first; `ahead` are the hours from `start` on."""
    last_fill = _last_fill(plot, rng, start, until, ahead)
    arranged = _changes(plot, rng, start, until, last_fill)
    if last_fill is not None and not any(one.at == last_fill for one in arranged):
        arranged.append(Visit(at=last_fill, fill=True))
    if leak_at is not None:
        arranged += [
            one
            for one in _around_the_leak(plot, rng, leak_at)
            if all(abs(one.at - other.at) > 2 * _HOUR for other in arranged)
        ]
    end = until - _HOUR
    if plot.close.rests_h is not None:
        near, far = (timedelta(hours=h) for h in plot.close.rests_h)
        arranged.append(Visit(at=moment(rng, plot, until - far, until - near), fill=False))
        end = until - far
    if plot.close.filled_by is not None and last_fill is not None:
        end = last_fill
    arranged = [replace(one, arranged=True) for one in arranged]
    usual = _usual(plot, rng, start, end, [one.at for one in arranged], last_fill)
    return _alternating(plot, sorted([*arranged, *usual], key=lambda one: one.at))


def _last_fill(
    plot: Plot, rng: Random, start: datetime, until: datetime, ahead: Sequence[Hour]
) -> datetime | None:
    """When the tank must have been full to be as the close wants it; None = nothing wanted."""
    close = plot.close
    if close.filled_by is not None:
        return moment(rng, plot, until - 22 * _HOUR, until - 2 * _HOUR)
    if close.at_fraction is None and close.dry_in_days is None:
        return None
    mark_l = (
        plot.pump_line_l if close.at_fraction is None else close.at_fraction * plot.tower.tank_l
    )
    spare_h = close.rests_h[1] + 6 if close.rests_h else 2
    limit = int((until - start) / _HOUR - spare_h)
    target = int((until - start) / _HOUR + 24 * (close.dry_in_days or 0.0))
    gone = (0.0, *accumulate(h.thirst_l + h.evaporation_l - h.rain_l for h in ahead))
    waking = [
        hour
        for hour in range(limit, 24, -1)
        if is_awake(start + hour * _HOUR, plot.zone, spare_h=_VISIT_H + 1)
    ]
    full_l = FILLED * plot.tower.tank_l
    best = min(waking, key=lambda hour: abs(full_l - (gone[target] - gone[hour]) - mark_l))
    return start + best * _HOUR + timedelta(minutes=rng.randrange(60))


def _changes(
    plot: Plot, rng: Random, start: datetime, until: datetime, last_fill: datetime | None
) -> list[Visit]:
    """Full changes, the last one `changed_days_ago`; one that would undo the last fill is it."""
    made: list[Visit] = []
    ago = plot.habit.changed_days_ago
    while (wanted := until - ago * _DAY) >= start:
        at = moment(rng, plot, max(start, wanted - _DAY / 2), wanted + _DAY / 2)
        if last_fill is not None and at > last_fill - _DAY:
            at = last_fill
        made.append(Visit(at=at, change=True))
        ago += plot.habit.change_every_days + rng.uniform(-1.5, 1.5)
    return made


def _around_the_leak(plot: Plot, rng: Random, leak_at: datetime) -> list[Visit]:
    """Filled the evening before, and in the morning there is the puddle."""
    over = leak_at + LEAK_HOURS * _HOUR
    evening = moment(rng, plot, leak_at - 10 * _HOUR, leak_at - _HOUR)
    return [
        Visit(at=evening, fill=True),
        Visit(at=moment(rng, plot, over, over + 3 * _HOUR), fill=True),
    ]


def _usual(
    plot: Plot,
    rng: Random,
    start: datetime,
    end: datetime,
    arranged: list[datetime],
    last_fill: datetime | None,
) -> list[Visit]:
    """Their ordinary rounds, about so often a week, where nothing else brings them that day."""
    made: list[Visit] = []
    rest = (3 if plot.close.filled_by else 2) * _DAY
    day = start + rng.uniform(0.2, 2.0) * _DAY
    while day + _DAY < end:
        at = moment(rng, plot, day, day + _DAY)
        if all(abs(at - other) > 18 * _HOUR for other in arranged):
            only_looks = last_fill is not None and at > last_fill - rest
            made.append(Visit(at=at, fill=False if only_looks else None))
        day += 7 / plot.habit.visits_per_week * rng.uniform(0.65, 1.35) * _DAY
    return made


def _alternating(plot: Plot, times: list[Visit]) -> tuple[Visit, ...]:
    """Keepers take turns, so that the one whom the close names comes last."""
    keepers = plot.keepers
    last = keepers.index(plot.close.filled_by) if plot.close.filled_by else 0
    count = len(times)
    return tuple(
        replace(visit, by=keepers[(last + count - 1 - number) % len(keepers)])
        for number, visit in enumerate(times)
    )
