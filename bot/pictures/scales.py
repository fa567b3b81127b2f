"""From moments and readings to places on the paper."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from bot.records.drawings import Chart, Panel

_DAY_S = 86400.0
_VALUES = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A straight way from values to points; `start` and `end` are where low and high stand."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Where a value stands."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def span_of(chart: Chart) -> tuple[float, float]:
    """The first and last moment that a chart shows, in seconds; a lone moment gets a day."""
    moments = [moment for panel in chart.panels for moment in _moments(panel)]
    moments = moments or [moment for moment, _ in chart.ticks]
    if chart.now:
        moments.append(chart.now[0])
    seen = [moment.timestamp() for moment in moments] or [0.0]
    low, high = min(seen), max(seen)
    return (low, high) if high > low else (low - _DAY_S / 2, high + _DAY_S / 2)


def _moments(panel: Panel) -> list[datetime]:
    return [
        *(moment for moment, _ in (*panel.path, *panel.dots, *panel.guessed)),
        *(ahead.at for ahead in panel.ahead),
        *(moment for bar in panel.bars for moment in (bar.begins, bar.ends)),
    ]


def reach_of(panel: Panel) -> tuple[float, float]:
    """The lowest and highest value that a panel shows, with a little air."""
    seen = _values(panel)
    floor = 0.0 if panel.bars and panel.floor is None else panel.floor
    if floor is not None:
        seen.append(floor)
    low, high = (min(seen), max(seen)) if seen else (0.0, 1.0)
    air = (0.13 if panel.bars else 0.08) * (high - low) or 0.1 * abs(high) or 1.0
    return low if low == floor else low - air, high + air


def _values(panel: Panel) -> list[float]:
    return [
        *(value for _, value in (*panel.path, *panel.dots, *panel.guessed)),
        *(value for ahead in panel.ahead for value in (ahead.low, ahead.high)),
        *(bar.value for bar in panel.bars),
        *(ruled.at for ruled in panel.ruled),
        *((panel.stripe.low, panel.stripe.high) if panel.stripe else ()),
    ]


def axis_of(panel: Panel) -> list[tuple[float, str]]:
    """What stands at a panel's axis: nothing when the panel is empty."""
    return round_values(*reach_of(panel)) if _values(panel) else []


def round_values(low: float, high: float) -> list[tuple[float, str]]:
    """Up to about five round values from low to high, each as it is written at an axis."""
    wish = (high - low) / _VALUES
    power = math.floor(math.log10(wish))
    part = next(part for part in (1.0, 2.0, 5.0, 10.0) if part * 10.0**power >= wish)
    step = part * 10.0**power
    digits = max(0, -power - (part == 10.0))
    return [
        (n * step, f"{n * step:.{digits}f}".replace("-", "−"))
        for n in range(math.ceil(low / step), math.floor(high / step) + 1)
    ]
