"""Millilitres back into the cups and spoons of a kitchen drawer.

At most two kinds of measure, quarter cups and quarter teaspoons, as few scoops as stay within
1.5 % (or 0.62 mL): 65 mL is 1/4 cup + 1 tsp, not 13 tsp.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from calc.units.factors import METRIC_SPOON_ML, to_si

_MISS_ML = 0.62
_MISS_SHARE = 0.015
_LARGEST_ML = 2000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoons:
    """Counts in quarters: cup_quarters, tablespoons, teaspoon_quarters; or drops."""

    cup_quarters: int = 0
    tablespoons: int = 0
    teaspoon_quarters: int = 0
    drops: int = 0


def spoons(*, volume_ml: float, metric: bool, drops_per_ml: float) -> Spoons | None:
    """The everyday measure for `volume_ml` [mL], or None where no spoon comes near.

    Below 5 mL it is drops (a syringe is better); above 2 L nobody spoons.
    """
    if volume_ml <= 0 or volume_ml > _LARGEST_ML:
        return None
    if volume_ml < 5:
        return Spoons(drops=max(1, round(volume_ml * drops_per_ml)))
    tea = METRIC_SPOON_ML["tsp"] if metric else to_si(1, "tsp") * 1000
    table = METRIC_SPOON_ML["tbsp"] if metric else to_si(1, "tbsp") * 1000
    cup = 0.0 if metric else to_si(1, "cup") * 1000
    candidates = _by_tablespoon(volume_ml, table, tea)
    if cup:
        candidates += _by_cup(volume_ml, cup, table, tea)
    allowed = max(_MISS_ML, _MISS_SHARE * volume_ml)
    near = [
        (_scoops(c), abs(_size(c, cup, table, tea) - volume_ml), c)
        for c in candidates
        if abs(_size(c, cup, table, tea) - volume_ml) <= allowed
    ]
    return min(near, key=lambda n: (n[0], n[1]))[2] if near else None


def _by_tablespoon(volume_ml: float, table: float, tea: float) -> list[Spoons]:
    out = []
    for tablespoons in _near(volume_ml / table):
        rest = max(0.0, volume_ml - tablespoons * table)
        for quarters in _near(rest / tea * 4):
            if tablespoons <= 15 and quarters < 12:
                out.append(Spoons(tablespoons=tablespoons, teaspoon_quarters=quarters))
    return out


def _by_cup(volume_ml: float, cup: float, table: float, tea: float) -> list[Spoons]:
    out = []
    for quarters in _near(volume_ml / cup * 4):
        if not quarters:
            continue
        rest = max(0.0, volume_ml - quarters * cup / 4)
        for tea_quarters in _near(rest / tea * 4):
            if tea_quarters < 12:
                out.append(Spoons(cup_quarters=quarters, teaspoon_quarters=tea_quarters))
        if quarters >= 4 and round(rest / table) < 4:
            out.append(Spoons(cup_quarters=quarters, tablespoons=round(rest / table)))
    return out


def _near(count: float) -> set[int]:
    return {floor(count), round(count)}


def _size(s: Spoons, cup: float, table: float, tea: float) -> float:
    return s.cup_quarters * cup / 4 + s.tablespoons * table + s.teaspoon_quarters * tea / 4


def _scoops(s: Spoons) -> int:
    cups = s.cup_quarters // 4 + (0, 1, 1, 2)[s.cup_quarters % 4]
    teas = s.teaspoon_quarters // 4 + (0, 1, 1, 1)[s.teaspoon_quarters % 4]
    return cups + s.tablespoons + teas
