"""The largest difference over a grid, and where it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Worst:
    """`difference` in `unit` at `where`; `goal`: what it may be; `cases`: how many there were."""

    name: str
    oracle: str
    unit: str
    goal: float
    difference: float
    where: str
    cases: int

    @property
    def met(self) -> bool:
        return self.difference <= self.goal


def worst(
    found: Iterable[tuple[float, str]], *, name: str, oracle: str, unit: str, goal: float
) -> Worst:
    """Of pairs (difference, where), the largest."""
    every = list(found)
    difference, where = max(every, key=lambda pair: pair[0])
    return Worst(
        name=name,
        oracle=oracle,
        unit=unit,
        goal=goal,
        difference=difference,
        where=where,
        cases=len(every),
    )
