"""The ten calculations that replies call the most, each beside a product of two pint quantities."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from functools import partial

import pint

from calc.bands import flag
from calc.dose import mixed_ec, part_amount, strength_for_ec
from calc.refill import daily_use_l, days_to_mark
from calc.topup import feed_for_rise, filled_ec, level_from_depth, swap_volume
from tests.bench.rows import Row, row

_MIX = {"level_l": 24.2, "ec_ms_per_cm": 2.1}
BUSIEST: tuple[Callable[[], object], ...] = (
    partial(part_amount, volume_l=22.7, rate_per_l=2.1, strength_fraction=1.0),
    partial(filled_ec, **_MIX, added_l=36.4, added_ec_ms_per_cm=0.4),
    partial(feed_for_rise, volume_l=60.6, rise_ms_per_cm=0.6, gain_ms_per_cm=1.6, rate_per_l=2.1),
    partial(swap_volume, **_MIX, tank_l=60.6, target_ec_ms_per_cm=1.7, water_ec_ms_per_cm=0.4),
    partial(mixed_ec, water_ec_ms_per_cm=0.4, gain_ms_per_cm=1.6, strength_fraction=0.5),
    partial(strength_for_ec, target_ec_ms_per_cm=1.7, water_ec_ms_per_cm=0.4, gain_ms_per_cm=1.6),
    partial(level_from_depth, depth_cm=20.0, full_depth_cm=35.6, tank_l=60.6),
    partial(daily_use_l, start_l=60.6, end_l=40.0, added_l=0.0, days_d=4.0),
    partial(days_to_mark, level_l=40.0, mark_l=13.2, use_l_per_d=4.9),
    partial(flag, value_any=1.9, red_low_any=0.9, yellow_low_any=1.3, yellow_high_any=2.1,
            red_high_any=2.7),
)  # fmt: skip
_GOAL = 5.0  # times faster than the library that would be used instead


def calculations(quick: bool) -> Iterator[Row]:
    """Microseconds a call; pint's product is what the same would cost with units carried along."""
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    volume, rate = registry.Quantity(22.7, "liter"), registry.Quantity(2.1, "milliliter/liter")
    count = 2_000 if quick else 50_000
    library = _micros(lambda: volume * rate, count)
    for call in BUSIEST:
        assert isinstance(call, partial)
        took = _micros(call, count)
        yield row(f"calc: {call.func.__name__}", took, library, _GOAL, "us", less=True)


def _micros(call: Callable[[], object], count: int) -> float:
    call()
    started = time.perf_counter()
    for _ in range(count):
        call()
    return 1e6 * (time.perf_counter() - started) / count
