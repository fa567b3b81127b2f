"""What anybody would do with the last readings: four yardsticks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from statistics import median
from typing import Any

from tests.forecast.towers import LONGEST_D

_DEFAULT = 0.05  # of the tank a day, before there are two readings
Rate = Callable[[Sequence[tuple[float, float, float]]], float]


def _weighted(parts: Sequence[tuple[float, float, float]]) -> float:
    return sum((b - a) * use for a, b, use in parts) / sum(b - a for a, b, _ in parts)


NAIVE: dict[str, Rate] = {
    "last two readings": lambda parts: parts[-1][2],
    "last seven days": lambda parts: _weighted(
        [one for one in parts if one[1] > parts[-1][1] - 7] or parts[-1:]
    ),
    "mean of all": _weighted,
    "robust slope": lambda parts: median(use for _, _, use in parts[-6:]),
}


def naive(
    log: Sequence[dict[str, Any]], now: datetime, mark_l: float, tank_l: float
) -> dict[str, float]:
    """Days until the mark by each."""
    parts: list[tuple[float, float, float]] = []
    before: tuple[float, float] | None = None
    added = 0.0
    for entry in log:
        at = datetime.fromisoformat(entry["at"]).timestamp() / 86400
        added += entry.get("water_added_l") or 0.0
        level = entry.get("level_l")
        if level is None:
            continue
        if before is not None and at - before[0] > 0.2:
            use = (before[1] - level + added) / (at - before[0])
            if use > 0:
                parts.append((before[0], at, use))
        before, added = (at, level), 0.0
    today = now.timestamp() / 86400
    level, since = (before[1] + added, before[0]) if before else (0.75 * tank_l, today)
    level = min(level, tank_l)
    rates = {
        name: max(1e-3, rate(parts) if parts else _DEFAULT * tank_l) for name, rate in NAIVE.items()
    }
    return {
        name: min(LONGEST_D, max(0.0, (level - mark_l) / rate - (today - since)))
        for name, rate in rates.items()
    }
