"""What each hour of a season asks of one tank: its plants, its place, the weather, a leak."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from random import Random
from typing import Final

from bot.demo.crops import CROPS, Batch, for_the_cold, thirst_l
from bot.demo.physics import Hour
from bot.demo.plots import Plot
from bot.demo.weather import CLIMATES, Day, is_warm, solar_date

LEAK_HOURS: Final = 8
_LEAK_PER_HOUR: Final = 0.06  # of the tank
_OPEN_LOSS_L: Final = 0.33  # [L/d] from an open outdoor tower; common practice 0.2-0.5
_CATCH_L_PER_MM: Final = 0.02  # what the tower's open joints catch of the rain
_LAMP: Final = range(6, 22)
_UPTAKE: Final = 0.92  # salts taken per salts in the water drunk, on an average day


def bed(plot: Plot, rng: Random, first: date, last: date) -> tuple[Batch, ...]:
    """The tower's plants as batches of different age, as the season allows them outdoors."""
    planted = plot.plants
    if plot.outdoor and not is_warm(CLIMATES[plot.zone], first, last):
        planted = for_the_cold(planted)
    batches: list[Batch] = []
    for name, plants in planted:
        crop = CROPS[name]
        shares = 3 if plants >= 6 else 1
        oldest = crop.taken_after_days or crop.grown_after_days
        phase = rng.randrange(oldest)
        for share in range(shares):
            age = (phase + share * oldest // shares) % oldest
            count = plants // shares + (share < plants % shares)
            young = plot.started_days_ago is not None
            batches.append(Batch(crop=name, plants=count, age_d=share * 3 if young else age))
    return tuple(batches)


def hours(
    plot: Plot,
    batches: tuple[Batch, ...],
    days: Mapping[date, Day],
    start: datetime,
    count: int,
    leak_at: datetime | None,
) -> tuple[Hour, ...]:
    """`count` hours from `start` on."""
    climate = CLIMATES[plot.zone]
    bases = [thirst_l(batches, day, outdoor=plot.outdoor) for day in range(count // 24 + 1)]
    leaking = _leak(start, leak_at)
    made = []
    for number in range(count):
        on, hour = solar_date(climate, start + timedelta(hours=number))
        leak_l = _LEAK_PER_HOUR * plot.tower.tank_l if number in leaking else 0.0
        of = _outdoors if plot.outdoor else _indoors
        made.append(of(days[on], hour, bases[number // 24], leak_l))
    return tuple(made)


def _leak(start: datetime, leak_at: datetime | None) -> range:
    if leak_at is None:
        return range(0)
    first = int((leak_at - start).total_seconds() // 3600)
    return range(first, first + LEAK_HOURS)


def _outdoors(day: Day, hour: int, base_l: float, leak_l: float) -> Hour:
    share = day.hours[hour] * day.thirst
    return Hour(
        thirst_l=base_l * share,
        evaporation_l=_OPEN_LOSS_L * share,
        air_c=day.air_c(hour),
        rain_l=day.rain_mm * _CATCH_L_PER_MM / 4 if 14 <= hour < 18 else 0.0,
        leak_l=leak_l,
        uptake=_UPTAKE * day.thirst**-0.4,  # thirsty plants leave more of the salts behind
    )


def _indoors(day: Day, hour: int, base_l: float, leak_l: float) -> Hour:
    """Under a lamp: the weather comes in only as a room's few degrees."""
    thirst = 1 + 0.01 * max(-8.0, min(12.0, day.mean_c - 15))
    share = 1 / 6 / 24 + (5 / 6 / len(_LAMP) if hour in _LAMP else 0.0)
    return Hour(
        thirst_l=base_l * share * thirst,
        evaporation_l=0.0,
        air_c=20 + 0.2 * (day.mean_c - 15),
        leak_l=leak_l,
        uptake=_UPTAKE,
    )
