"""What the town knows about each tower beside its records: who keeps it, and how."""

from __future__ import annotations

from dataclasses import dataclass

from bot.records.facts import Tower


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """A conductivity pen: `bias` too high (share), drifting, showing steps of `step` mS/cm."""

    bias: float = 0.0
    drift_per_day: float = 0.0
    step: float = 0.1
    scale: int | None = None  # 500 or 700: it shows ppm, in tens


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """How the keepers of a tower read, fill and log. Hours are local, `sloppy` is a share."""

    reads: str  # "eighths" | "quarters" | "marks"
    usual_hour: float
    mark_cm: float = 1.0  # between the marks on the tank
    pen: Pen | None = None
    ph: bool = False
    by_meter: bool = False
    visits_per_week: float = 2.2
    sloppy: float = 0.1
    fill_below: float = 0.6
    jug_l: float = 1.0
    change_every_days: float = 30.0
    changed_days_ago: float = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Close:
    """How the tower is found at the end of the season; None = as it comes."""

    at_fraction: float | None = None  # of the tank, at the end
    dry_in_days: float | None = None  # days from the end to the pump line
    filled_by: str | None = None  # topped up in the last day by this keeper
    rests_h: tuple[float, float] | None = None  # last visit this long before the end, [h]
    silent_days: float = 0.0  # nothing logged for so long
    leaks: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """One tower with everything that makes its log: keepers, zone, plants, habits."""

    tower: Tower
    keepers: tuple[str, ...]
    zone: str
    plants: tuple[tuple[str, int], ...]
    habit: Habit
    close: Close = Close()
    started_days_ago: float | None = None  # None = before any season

    @property
    def outdoor(self) -> bool:
        return self.tower.place == "outdoor"

    @property
    def pump_line_l(self) -> float:
        """Measured, or a quarter of the tank until it is (common practice)."""
        return self.tower.pump_min_l or 0.25 * self.tower.tank_l
