"""pvlib: sunrise to sunset as seen, upper limb and refraction."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.metadata import version

import pandas as pd
from pvlib.solarposition import sun_rise_set_transit_spa

from calc.light import daylight_h
from tests.calc.oracles.worst import Worst, worst

_LATITUDES = range(-60, 61, 10)
_EVERY = "5D"
_YEARS = (2025, 2028)  # a whole leap cycle


def daylight() -> Worst:
    """Every fifth day of four years, from 60 south to 60 north."""
    return worst(
        _differences(),
        name="sunrise to sunset as seen",
        oracle=f"pvlib {version('pvlib')}",
        unit="h",
        goal=0.07,
    )


def _differences() -> Iterator[tuple[float, str]]:
    first, last = _YEARS
    days = pd.date_range(f"{first}-01-01 12:00", f"{last}-12-31 12:00", freq=_EVERY, tz="UTC")
    for place in _LATITUDES:
        seen = sun_rise_set_transit_spa(days, place, 0.0)
        for day, rise, fall in zip(days, seen["sunrise"], seen["sunset"], strict=True):
            theirs = (fall - rise).total_seconds() / 3600
            ours = daylight_h(latitude_deg=place, day_of_year_n=day.dayofyear)
            yield abs(ours - theirs), f"{place} deg, day {day.dayofyear} of {day.year}"
