"""Every forecast of every tower against what really came."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from time import perf_counter
from typing import Any

import numpy as np

from bot.services.exchange import book
from bot.services.log.forecast import Forecast, forecast
from tests.forecast.naive import NAIVE, naive
from tests.forecast.towers import DAYS, LONGEST_D, Asked, Stand, plantings

_DAY_S = 86400.0
_LEAK, _NO_LEAK = 0.2, 0.02  # of the tank


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One forecast in days, its yardsticks, and the truth."""

    truth: float
    early: float
    likely: float
    late: float
    naive: dict[str, float]
    outdoor: bool
    dense: bool
    planted: bool
    readings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """cases: above their mark; found, leaks: readings after a fifth of the tank was lost, told and
    in all; false_a_year: leaks told of where none was, a tower and year; ms: a forecast."""

    cases: list[Case]
    found: int
    leaks: int
    false_a_year: float
    ms: float


def judge(towers: Iterable[Stand]) -> Judged:
    """Ask wherever somebody would."""
    cases, found, leaks, wrong, count, took = [], 0, 0, 0, 0, 0.0
    asked_n = 0
    for stand in towers:
        count += 1
        for asked in stand.asked:
            told, seconds = _told(stand, asked)
            took += seconds
            asked_n += 1
            if asked.read:
                leaks += asked.lost_fraction > _LEAK
                found += asked.lost_fraction > _LEAK and told.leak
                wrong += asked.lost_fraction < _NO_LEAK and told.leak
            if asked.truth_d > 0:
                cases.append(_case(stand, asked, told))
    years = count * DAYS / 365
    return Judged(cases=cases, found=found, leaks=leaks, false_a_year=wrong / years,
                  ms=1000 * took / asked_n)  # fmt: skip


def _told(stand: Stand, asked: Asked) -> tuple[Forecast, float]:
    records: dict[str, Any] = {
        **stand.records,
        "plantings": plantings(stand, asked.now.date()),
        "log": stand.log[: asked.lines],
    }
    facts = book(records, now=asked.now)
    begun = perf_counter()
    found = forecast(facts.towers[0], facts, asked.mark_l)
    return found, perf_counter() - begun


def _case(stand: Stand, asked: Asked, told: Forecast) -> Case:
    early, likely, late = (
        min(LONGEST_D, (at - asked.now).total_seconds() / _DAY_S)
        for at in (told.early, told.likely, told.late)
    )
    tank_l = stand.records["towers"][0]["tank_l"]
    return Case(
        truth=asked.truth_d,
        early=early,
        likely=likely,
        late=late,
        naive=naive(stand.log[: asked.lines], asked.now, asked.mark_l, tank_l),
        outdoor=stand.outdoor,
        dense=stand.every_d < 3,
        planted=stand.planted,
        readings=told.readings,
    )


PARTS: dict[str, Callable[[Case], bool]] = {
    "all": lambda c: True,
    "outdoors": lambda c: c.outdoor,
    "indoors": lambda c: not c.outdoor,
    "dense": lambda c: c.dense,
    "sparse": lambda c: not c.dense,
    "plants known": lambda c: c.planted,
    "no plants known": lambda c: not c.planted,
    "0-1 readings": lambda c: c.readings <= 1,
    "2 readings": lambda c: c.readings == 2,
    "3-5 readings": lambda c: 3 <= c.readings <= 5,
    "6+ readings": lambda c: c.readings >= 6,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Errors in days; best: the best yardstick's mean error; covered: of the interval of 80 %."""

    count: int
    mean: float
    median: float
    ninety: float
    best: float
    covered: float
    width: float
    pinball: float

    @property
    def ratio(self) -> float:
        """To the best yardstick: less is better."""
        return self.mean / self.best


def figures(cases: Sequence[Case]) -> Figures:
    """Of some of the cases."""
    errors = np.array([abs(c.likely - c.truth) for c in cases])
    naives = [float(np.mean([abs(c.naive[name] - c.truth) for c in cases])) for name in NAIVE]
    covered = [c.early <= c.truth <= c.late for c in cases]
    return Figures(
        count=len(cases),
        mean=float(errors.mean()),
        median=float(np.median(errors)),
        ninety=float(np.percentile(errors, 90)),
        best=min(naives),
        covered=float(np.mean(covered)),
        width=float(np.mean([c.late - c.early for c in cases])),
        pinball=float(np.mean([_pinball(c) for c in cases])),
    )


def _pinball(case: Case) -> float:
    told = ((case.early, 0.1), (case.likely, 0.5), (case.late, 0.9))
    losses = [max(p * (case.truth - value), (p - 1) * (case.truth - value)) for value, p in told]
    return 2 * sum(losses) / len(losses)
