"""Thirst stays inside what growers know of their plants, in every season and every place."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise
from random import Random
from statistics import mean, median

import pytest

from bot.demo.crops import CROPS, SEEDLING, harvested, stage
from bot.demo.people import AUCKLAND, LISBON, SALTMARSH_ZONE
from bot.demo.season import season
from bot.demo.weather import CLIMATES, Day, is_warm, weather
from tests.bot.demo.test_season import ENDS

# Litres per mature plant and day, common practice, no citable source held; outdoors, indoors.
COMMON = {
    "lettuce": ((0.1, 0.25), (0.05, 0.15)),
    "basil": ((0.1, 0.3), (0.1, 0.3)),
    "strawberry": ((0.1, 0.3), (0.1, 0.3)),
    "pepper": ((0.7, 2.0), (0.7, 2.0)),
    "tomato": ((1.0, 3.0), (1.0, 3.0)),
    "cucumber": ((1.5, 3.0), (1.5, 3.0)),
}
OPEN_LOSS = (0.2, 0.5)  # L/d from an open outdoor tower: common practice
FIRSTS = [date(2026, 1, 5), date(2026, 4, 5), date(2026, 7, 1), date(2026, 10, 1)]


def sky(zone: str, first: date, seed: int = 3) -> list[Day]:
    last = first + timedelta(days=55)
    hot_from = first + timedelta(days=25)
    return list(weather(CLIMATES[zone], Random(seed), first, last, hot_from).values())


def plain(days: Sequence[Day]) -> float:
    return mean(day.thirst for day in days)


@pytest.mark.parametrize("zone", CLIMATES)
@pytest.mark.parametrize("first", FIRSTS, ids=str)
@pytest.mark.parametrize("name", CROPS)
def test_eight_weeks_of_a_mature_plant(zone: str, first: date, name: str) -> None:
    crop = CROPS[name]
    if crop.warm and not is_warm(CLIMATES[zone], first, first + timedelta(days=55)):
        return  # it is not outdoors then
    (low, high), (low_in, high_in) = COMMON[name]
    assert low <= crop.outdoor_l * plain(sky(zone, first)) <= high
    assert low_in <= crop.indoor_l <= high_in


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_each_tower_uses_what_its_plants_may(seed: int, end: str) -> None:
    """A day on which nothing was poured, between all seedlings and all mature plants."""
    for stand in season(seed=seed, until=ENDS[end]):
        outdoor = stand.tower.place == "outdoor"
        ranges = [(COMMON[name][0 if outdoor else 1], count) for name, count in stand.plants]
        low = sum(count * span[0] for span, count in ranges) * SEEDLING
        high = sum(count * span[1] for span, count in ranges)
        loss = OPEN_LOSS if outdoor else (0.0, 0.0)
        drops = [a.level_l - b.level_l for a, b in pairwise(stand.truth)]
        use = median(drop for drop in drops if drop > 0)
        assert low + loss[0] <= use <= high + loss[1], stand.tower.name


@pytest.mark.parametrize("name", CROPS)
def test_a_seedling_drinks_a_fifth_and_never_more_than_a_mature_plant(name: str) -> None:
    stages = [stage(CROPS[name], day) for day in range(120)]
    assert stages[0] == pytest.approx(0.2)
    assert 0.9 < max(stages) <= 1.0
    assert min(stages) >= 0.2


@pytest.mark.parametrize("name", CROPS)
def test_thirst_falls_only_with_a_harvest(name: str) -> None:
    crop = CROPS[name]
    for day in range(119):
        if stage(crop, day + 1) < stage(crop, day):
            assert harvested(crop, day + 1)


@pytest.mark.parametrize("zone", CLIMATES)
def test_the_hot_spell_is_hot_and_thirsty(zone: str) -> None:
    """A hot day is about half as thirsty again as a plain one (common practice)."""
    summer = date(2026, 1, 1) if zone == AUCKLAND else date(2026, 6, 20)
    days = sky(zone, summer)
    hot = [day for day in days if day.hot]
    cool = [day for day in days if not day.hot]
    assert len(hot) == 6
    assert mean(day.max_c for day in hot) > mean(day.max_c for day in cool) + 5
    assert 1.2 < plain(hot) / plain(cool) < 1.8
    assert sum(day.rain_mm for day in hot) == 0 < sum(day.rain_mm for day in cool)


def test_summer_is_where_the_sun_is() -> None:
    january, july = date(2026, 1, 5), date(2026, 7, 1)
    for zone in (SALTMARSH_ZONE, LISBON):
        assert plain(sky(zone, july)) > 1.3 * plain(sky(zone, january))
    assert plain(sky(AUCKLAND, january)) > 1.3 * plain(sky(AUCKLAND, july))


@pytest.mark.parametrize("zone", CLIMATES)
def test_a_day_spends_its_thirst_mostly_by_daylight(zone: str) -> None:
    for day in sky(zone, date(2026, 4, 5)):
        assert sum(day.hours) == pytest.approx(1.0)
        assert sum(day.hours[8:18]) > 0.6
        assert day.min_c < day.mean_c < day.max_c
        assert 0 <= day.sun <= 1
        assert 0 <= day.rain_mm <= 40
        air = [day.air_c(hour) for hour in range(24)]
        assert min(air) >= day.min_c - 1e-9 and max(air) <= day.max_c + 1e-9
