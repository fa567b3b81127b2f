"""The form of a measurement."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """ratio: higher is better; met: ratio >= goal."""

    name: str
    ratio: float
    goal: float
    met: bool
    ours: float
    yardstick: float
    unit: str


def row(
    name: str, ours: float, yardstick: float, goal: float, unit: str, *, less: bool = False
) -> Row:
    """less: a smaller number is the better one."""
    ratio = yardstick / ours if less else ours / yardstick
    return Row(
        name=name,
        ratio=round(ratio, 3),
        goal=goal,
        met=ratio >= goal,
        ours=round(ours, 2),
        yardstick=round(yardstick, 2),
        unit=unit,
    )
