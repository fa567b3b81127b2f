"""Invented weather for the places where the town's people live, day by day.

Climates are made up in the likeness of mild coasts. The thirst factor is 1.0 on an average growing
day and about 1.4 in the hot spell: growers count a hot day as half as thirsty again (common
practice). It is this town's own arithmetic, kept apart from any formula that the bot answers with.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import Final

from bot.demo.people import AUCKLAND, LISBON, SALTMARSH_ZONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """A place's year: temperatures in C, rain per wet day in mm, solar time ahead of UTC in h."""

    mean_c: float
    swing_c: float
    hottest_day: int
    wet_share: float
    wet_mm: float
    solar_h: float


CLIMATES: Final[dict[str, Climate]] = {
    SALTMARSH_ZONE: Climate(
        mean_c=15, swing_c=7, hottest_day=205, wet_share=0.27, wet_mm=8, solar_h=-5
    ),
    LISBON: Climate(mean_c=17, swing_c=5.5, hottest_day=215, wet_share=0.2, wet_mm=7, solar_h=-0.5),
    AUCKLAND: Climate(
        mean_c=15.5, swing_c=4.5, hottest_day=25, wet_share=0.33, wet_mm=7, solar_h=11.5
    ),
}
_HOT_C: Final = 7.5  # what the hot spell adds
_HOT_DAYS: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One day outdoors: C, share of full sun (0-1), mm of rain, thirst against an average day."""

    max_c: float
    min_c: float
    sun: float
    rain_mm: float
    hot: bool
    hours: tuple[float, ...]

    @property
    def mean_c(self) -> float:
        return (self.max_c + self.min_c) / 2

    @property
    def thirst(self) -> float:
        return (0.5 + 0.5 * self.sun) * math.exp(0.02 * (self.mean_c - 20)) / 0.85

    def air_c(self, solar_hour: int) -> float:
        """Air temperature, [C]: lowest before dawn, highest in mid-afternoon."""
        wave = 0.5 - 0.5 * math.cos(2 * math.pi * (solar_hour - 4) / 24)
        return self.min_c + (self.max_c - self.min_c) * wave


def season_of(climate: Climate, on: date) -> float:
    """-1 in the depth of the cold, 1 at the height of the heat."""
    angle = 2 * math.pi * (on.timetuple().tm_yday - climate.hottest_day) / 365.25
    return math.cos(angle)


def is_warm(climate: Climate, first: date, last: date) -> bool:
    """Whether people plant basil and tomatoes outdoors in a season between these days."""
    span = (last - first).days
    usual = [
        climate.mean_c + climate.swing_c * season_of(climate, first + timedelta(days=day))
        for day in range(0, span + 1, 7)
    ]
    return sum(usual) / len(usual) > 14


def solar_date(climate: Climate, at: datetime) -> tuple[date, int]:
    """Day and hour by the sun at an aware time."""
    by_sun = at.astimezone(UTC) + timedelta(hours=climate.solar_h)
    return by_sun.date(), by_sun.hour


def _hours_of(season: float) -> tuple[float, ...]:
    """How a day's thirst is spread over 24 hours: a sixth of it evenly, the rest with the sun."""
    half = (12 + 2.8 * season) / 2
    light = [
        max(0.0, math.cos(math.pi * (hour + 0.5 - 12.5) / (2 * half)))
        if abs(hour + 0.5 - 12.5) < half
        else 0.0
        for hour in range(24)
    ]
    total = sum(light)
    return tuple(1 / 6 / 24 + 5 / 6 * one / total for one in light)


def weather(
    climate: Climate, rng: Random, first: date, last: date, hot_from: date
) -> dict[date, Day]:
    """Each day from `first` to `last`; the hot spell starts on `hot_from`."""
    days: dict[date, Day] = {}
    drift_c = rng.gauss(0, 1.5)
    for number in range((last - first).days + 1):
        on = first + timedelta(days=number)
        drift_c = 0.7 * drift_c + rng.gauss(0, 1.5)
        wet = rng.random() < climate.wet_share
        rain_mm = min(40.0, rng.expovariate(1 / climate.wet_mm)) if wet else 0.0
        cloud = rng.uniform(0.35, 0.6) if wet else rng.uniform(0.75, 1.0)
        hot = 0 <= (on - hot_from).days < _HOT_DAYS
        season = season_of(climate, on)
        middle = climate.mean_c + climate.swing_c * season + drift_c + (_HOT_C if hot else 0)
        spread = 5.5 if hot else 2.5 + 3.0 * cloud
        days[on] = Day(
            max_c=middle + spread,
            min_c=middle - spread,
            sun=(0.65 + 0.3 * season) * (1.0 if hot else cloud),
            rain_mm=0.0 if hot else rain_mm,
            hot=hot,
            hours=_hours_of(season),
        )
    return days
