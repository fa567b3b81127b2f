"""What was foretold of a tank, and what became of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

MARKS: Final = ("refill", "pump_line")


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """When a tank would come down to a mark, as it was told.

    what: one of MARKS; entry_id: the newest line of the log behind it, at `made_at` with `level_l`
    in the tank; likely, early, late: as told; outcome: "open", then "hit" (between early and late),
    "early" or "late" (it came before, or after), or "void" (nobody can tell).
    """

    tower_id: int
    entry_id: int
    made_at: datetime
    what: str
    mark_l: float
    level_l: float
    likely: datetime
    early: datetime
    late: datetime
    readings: int
    id: int = 0
    outcome: str = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """How many forecasts could be judged, and how many of them came within their days."""

    all: int = 0
    hits: int = 0
