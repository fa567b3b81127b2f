"""What is known about a person, their community and their towers.

Litres, mS/cm at 25 C, cm, W, min; times aware UTC. Field names are the vocabulary of the database,
the export and `ask` alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

WATERS: Final = ("tap", "softened", "well", "rain", "ro")
MOST_PORTS: Final = 200  # of one tower
# What a label may name, element or oxide.
ELEMENTS: Final = ("N", "P", "P2O5", "K", "K2O", "Ca", "CaO", "Mg", "MgO", "S", "SO3")


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """A person in one community. id 0: nobody stored (`ask`, or a first contact)."""

    id: int = 0
    name: str = ""
    role: str = "member"
    units: str = "metric"
    time_zone: str = "UTC"
    gallon: str | None = None
    tds_scale: int | None = None
    finger_mm: float | None = None
    jug_l: float | None = None
    drops_per_ml: float | None = None
    has_ec_meter: bool | None = None
    morning: str = "08:00"
    evening: str = "18:30"
    quiet_from: str | None = None
    quiet_to: str | None = None
    private_answers: bool = False
    calibrated_on: date | None = None
    closed: bool = False
    room_notes: bool = False
    currency: str = "USD"

    @property
    def coach(self) -> bool:
        return self.role == "coach"


@dataclass(frozen=True, slots=True, kw_only=True)
class Community:
    """A community as its coach has set it up. id 0: nothing stored yet."""

    id: int = 0
    name: str = ""
    time_zone: str = "UTC"
    units: str = "metric"
    coach: str | None = None
    room_id: int | None = None
    quiet_from: str | None = None
    quiet_to: str | None = None
    welcome_id: int | None = None
    rules_seen: bool = False
    zone_set: bool = False
    members: int = 0
    set_up: int = 0
    room_held: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One bottle or bag of a feed: exactly one of the two label rates is set.

    label: what its label says is in it, by element or oxide, [% by weight]; kg_per_l: what a
    litre of it weighs.
    """

    name: str
    ml_per_l: float | None = None
    g_per_l: float | None = None
    label: tuple[tuple[str, float], ...] = ()
    kg_per_l: float | None = None

    @property
    def dry(self) -> bool:
        return self.g_per_l is not None

    @property
    def rate_per_l(self) -> float:
        """Label rate, [mL/L] or [g/L] when dry."""
        return (self.g_per_l if self.g_per_l is not None else self.ml_per_l) or 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """A feed as its label says; parts in pouring order. own: a member's bottle, not the coach's."""

    name: str
    parts: tuple[Part, ...]
    ec_gain_ms_per_cm: float | None = None
    id: int = 0
    set_on: date | None = None
    own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Tower:
    """A tower and the tank it stands on. None = not known.

    stage: "coming" (not here yet), "empty" (no plants yet) or "growing".
    timer_kind: "dial" (segments of `timer_step_min`) or "digital".
    water: where it comes from, "tap", "softened", "well", "rain", "ro"; hardness and alkalinity as
    CaCO3. jug_marks: what stood in it at a depth, by the jug, [L] and [cm], lowest first.
    gain_factor: what its feed adds here against its label, by `learned_fills` fills to
    `learned_on`; later ones count anew.
    """

    name: str
    tank_l: float
    full_depth_cm: float | None = None
    place: str | None = None
    target_ec: float | None = None
    water_ec: float | None = None
    strength: float | None = None
    pump_min_l: float | None = None
    refill_at_fraction: float | None = None
    levels: int | None = None
    ports_per_level: int | None = None
    feed: str | None = None
    timer_kind: str | None = None
    timer_step_min: float | None = None
    timer_on_min: float | None = None
    timer_off_min: float | None = None
    pump_w: float | None = None
    pump_l_per_h: float | None = None
    light_ppfd: float | None = None
    light_h: float | None = None
    light_w: float | None = None
    water: str | None = None
    hardness_mg_per_l: float | None = None
    alkalinity_mg_per_l: float | None = None
    stage: str | None = None
    arrives_on: date | None = None
    sown_on: date | None = None
    moved_in_on: date | None = None
    jug_marks: tuple[tuple[float, float], ...] = ()
    gain_factor: float | None = None
    learned_fills: int | None = None
    learned_on: date | None = None
    shared_with: tuple[str, ...] = ()
    id: int = 0
    set_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Planting:
    """A plug in a port, level 1 lowest. status: growing | harvested | failed | moved | cleared.

    plants: seedlings in the plug. Why it ended stands in the line of the log that tells of it.
    """

    tower: str
    level: int
    port: int
    crop: str
    plants: int = 1
    sown: date | None = None
    planted: date | None = None
    status: str = "growing"
    id: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Picked:
    """What was harvested of one crop: [g], or heads and pieces where nobody weighed it."""

    crop: str
    g: float | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """What a person has at home, as told at a moment: `left` of `item` in `unit` (mL, g, count).

    size: of a full one; week: what a week takes, where it was told; lead_days: from order to door.
    """

    item: str
    left: float
    unit: str
    at: datetime
    size: float | None = None
    week: float | None = None
    lead_days: int | None = None
    id: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the log.

    kind: level | topup | dose | change | ec | ph | harvest | clean | outage | note | tank (another
    stands there since) | no_leak (it was looked for)

    at: when it happened; recorded_at: when it was told. mine: logged by the reader.
    """

    tower: str
    at: datetime
    kind: str
    level_l: float | None = None
    ec: float | None = None
    ph: float | None = None
    water_c: float | None = None
    water_added_l: float | None = None
    amounts: tuple[tuple[str, float], ...] = ()
    by: str = ""
    note: str = ""
    id: int = 0
    recorded_at: datetime | None = None
    mine: bool = True
    picked: tuple[Picked, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A member as their coach may see them: when they were last heard of; nothing of what was said.

    dry_at: when a tank of theirs comes to its pump line at its plain rate, where that is known.
    """

    name: str
    last_log_at: datetime | None = None
    last_change_at: datetime | None = None
    joined: datetime | None = None
    dry_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenQuestion:
    """What a member asked that only the coach can answer; count: how often they asked it."""

    id: int
    text: str
    name: str
    at: datetime
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class PolicyValue:
    """One house rule: as shipped (set_on None), or as the coach set it on a date."""

    value: float | None
    set_on: date | None = None
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What the coach answers to a question that comes again and again."""

    about: str
    text: str
    by: str = ""
    set_on: date | None = None
    id: int = 0
