"""Forecasts: many towers, and one more reading of one."""

from __future__ import annotations

import time
from collections.abc import Iterator

from bot.services.exchange import book
from bot.services.log.forecast import bed_of, believed, forecast
from calc.refill.watching import Look, looked
from tests.bench.rows import Row, row
from tests.forecast.towers import plantings, stands

_MOST_MS = 5.0
_READING_MS = 1.0
_READINGS = 500


def forecasts(quick: bool) -> Iterator[Row]:
    """Goals are absolute: 5 ms a tower with its whole log, 1 ms for a reading more."""
    count = 20 if quick else 200
    towers = []
    for stand in stands(count):
        now = stand.asked[-1].now
        planted = plantings(stand, now.date())
        facts = book({**stand.records, "plantings": planted, "log": stand.log}, now=now)
        towers.append((facts.towers[0], facts, stand.asked[-1].mark_l))
    tower, facts, mark_l = towers[0]
    forecast(tower, facts, mark_l)
    started = time.perf_counter()
    for one, its_facts, its_mark in towers:
        forecast(one, its_facts, its_mark)
    took = 1000 * (time.perf_counter() - started) / count
    name = f"forecast of a tower, {count} of them, up to 120 days of log"
    yield row(name, took, _MOST_MS, 1.0, "ms", less=True)
    bed = bed_of(tower, facts)
    belief = believed(tower, facts, bed)
    last = belief.at_d or 0.0
    started = time.perf_counter()
    for number in range(_READINGS):
        look = Look(at_d=last + number, level_l=0.7 * tower.tank_l, off_l=1.0)
        belief = looked(belief_any=belief, look_any=look, bed_any=bed, tank_l=tower.tank_l)
    took = 1000 * (time.perf_counter() - started) / _READINGS
    yield row("a reading more", took, _READING_MS, 1.0, "ms", less=True)
