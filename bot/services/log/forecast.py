"""When a tank comes down to a mark, from all that its log and its plants tell, with an interval."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from math import sqrt
from typing import Final

import numpy as np

from bot.clock import instant, zone_of
from bot.records.book import Book
from bot.records.facts import Entry, Planting, Tower
from bot.services.log.entries import LEAK, NO_LEAK, of_this_tank
from bot.services.plants.crops import known_crop
from calc.refill.ahead import days_until_mark_d
from calc.refill.thirst import Bed, bed_thirst_l_per_d
from calc.refill.watching import Belief, Look, before_any, looked, thirst_of, waited
from calc.tables import Crop

_DAY: Final = timedelta(days=1)
_ONE_IN_TEN: Final = 1.28  # standard deviations to the 10 % and 90 % points of a normal
_NEXT_D: Final = 3  # days over which a pace is told
_EPOCH: Final = datetime(2000, 1, 1)  # noqa: DTZ001 - a wall time
_MOST_LINES: Final = 300  # a look is a twentieth of a millisecond, and a file may hold thousands
_LOOK_BACK: Final = timedelta(days=75)  # older readings tell of other plants
# Litres a grown plant drinks a day, outdoors and indoors: common practice, no source.
_BY_PORTS: Final = {3: (1.8, 1.4), 2: (1.2, 0.95)}
_BY_GROUP: Final = {"herb": (0.19, 0.15), "leafy": (0.17, 0.10)}
_ELSE: Final = (0.19, 0.14)
_GROWN_D: Final = {3: 55.0, 2: 60.0}
_GROWN_ELSE_D: Final = 40.0
_OVERDUE_D: Final = 5.0  # until one that could be taken is; a guess
_CUT: Final = 0.9  # cut and picked now and then, plants drink less than the tables say; fitted
_OPEN_LOSS_L_PER_D: Final = 0.25  # of an open outdoor tower; common practice 0.2-0.5
_ROOM_LOSS_L_PER_D: Final = 0.02
# Where nothing is known of its plants: between a share of the tank and what a tower drinks; fitted.
_BARE_FRACTION, _BARE_L_PER_D = 0.05, 3.0
_BY_PORT: Final = (
    1.0  # of a grown leafy plant's thirst, for each port: some are empty, some are big
)
# Of a day's use, what falls between six in the morning and eight in the evening; fitted.
_DAYTIME: Final = (6 / 24, 20 / 24, 0.86)
# How far a reading is off, of the tank, by the steps in which somebody reads; fitted. The finest
# step that all of a tower's readings fall on is how it is read: quarters by eye, eighths, marks.
_STEPS: Final = ((1 / 4, 0.08), (1 / 8, 0.05), (1 / 20, 0.045))
_BY_MARK: Final = 0.028
_OFF_STEP: Final = 0.004  # of the tank: what rounding to a unit may add
_NIGHT: Final = (1 - _DAYTIME[2]) / (1 - _DAYTIME[1] + _DAYTIME[0])
_WALL: Final = (0.0, _DAYTIME[0], _DAYTIME[1], 1.0)
_THIRST: Final = (0.0, _NIGHT * _DAYTIME[0], 1 - _NIGHT * (1 - _DAYTIME[1]), 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """When the mark is reached if nobody fills: most likely, and an interval of 80 %; leak: the
    last reading tells of water lost; readings: how many stand behind it."""

    likely: datetime
    early: datetime
    late: datetime
    leak: bool
    readings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What is believed of a tank at its last reading or pour, at `at`; off_l: how far its readings
    are off [L]; zone: whose nights."""

    tower: Tower
    belief: Belief
    bed: Bed
    at: datetime
    off_l: float
    zone: str

    @property
    def level_l(self) -> float:
        """What most likely stood in it then, [L]."""
        return float((self.belief.weights * self.belief.levels_l).sum())

    @property
    def l_per_d(self) -> float:
        """What it most likely drinks on a day of the next few, [L/d]."""
        days = (self.belief.at_d or 0.0) + 0.5 + np.arange(_NEXT_D, dtype=np.float64)
        daily = float(bed_thirst_l_per_d(bed_any=self.bed, days_d=days).mean())
        return daily * thirst_of(belief_any=self.belief)

    def level_at(self, at: datetime) -> tuple[float, float]:
        """What most likely stands there then, if nobody fills, and one standard deviation [L]."""
        then = waited(
            belief_any=self.belief,
            until_d=_days(at, self.zone),
            bed_any=self.bed,
            tank_l=self.tower.tank_l,
        )
        mean = float((then.weights * then.levels_l).sum())
        square = float((then.weights * (then.variances_l2 + then.levels_l**2)).sum())
        return mean, sqrt(max(0.0, square - mean**2))

    def between(self, at: datetime) -> tuple[float, float, float]:
        """The level then, if nobody fills: low, likely and high, low to high four times in five."""
        level, off = self.level_at(at)
        low, likely, high = (max(0.0, level + n * _ONE_IN_TEN * off) for n in (-1, 0, 1))
        return low, likely, high

    def leaks_at(self, entry: Entry) -> bool:
        """Whether one more reading would tell of water lost."""
        look = _look(entry, self.tower, self.off_l, self.zone)
        if look is None:
            return False
        belief = looked(
            belief_any=self.belief, look_any=look, bed_any=self.bed, tank_l=self.tower.tank_l
        )
        return belief.leaks

    def reaches(self, mark_l: float) -> tuple[datetime, datetime, datetime]:
        """When it comes down to a mark: most likely, and between which two four times in five."""
        early, likely, late = days_until_mark_d(
            belief_any=self.belief, bed_any=self.bed, mark_l=mark_l, tank_l=self.tower.tank_l
        )
        begins = self.belief.at_d or 0.0
        first, *rest = (_moment(begins + days, self.zone) for days in (likely, early, late))
        return first, rest[0], rest[1]


def outlook(tower: Tower, book: Book) -> Outlook | None:
    """What its log and its plants tell; None where neither a plant nor a reading is known."""
    # Only what is reckoned with: nobody's words are kept longer than their Book.
    lines = tuple(replace(e, note="", by="", amounts=(), picked=()) for e in _lines(tower, book))
    known = tuple(p for p in book.plantings if p.tower == tower.name)
    read = any(e.level_l is not None for e in lines)
    if not read or not any(p.status == "growing" for p in known):
        return None
    return _outlook(tower, lines, known, book.local(book.now), book.member.time_zone)


@lru_cache(maxsize=512)  # several sentences of one answer ask the same
def _outlook(
    tower: Tower, lines: tuple[Entry, ...], known: tuple[Planting, ...], today: date, zone: str
) -> Outlook:
    bed = _bed(tower, known, _ordinal(today, zone), zone)
    belief = _believed(tower, lines, bed, zone)
    off_l = _off(lines, tower.tank_l) * tower.tank_l
    at = max(e.at for e in lines if _look(e, tower, off_l, zone) is not None)
    return Outlook(tower=tower, belief=belief, bed=bed, at=at, off_l=off_l, zone=zone)


def forecast(tower: Tower, book: Book, mark_l: float) -> Forecast:
    """From the Book's own moment on. Nothing is carried from one call to the next."""
    zone = book.member.time_zone
    known = tuple(p for p in book.plantings if p.tower == tower.name)
    begins = _days(book.now, zone)
    bed = _bed(tower, known, begins, zone)
    belief = _believed(tower, _lines(tower, book), bed, zone)
    now = waited(belief_any=belief, until_d=begins, bed_any=bed, tank_l=tower.tank_l)
    early, likely, late = days_until_mark_d(
        belief_any=now, bed_any=bed, mark_l=mark_l, tank_l=tower.tank_l
    )
    return Forecast(
        likely=_moment(begins + likely, zone),
        early=_moment(begins + early, zone),
        late=_moment(begins + late, zone),
        leak=belief.leaks,
        readings=belief.looks_n,
    )


def _lines(tower: Tower, book: Book) -> list[Entry]:
    """What its log tells of lately, oldest first; nothing from tomorrow."""
    lines = of_this_tank(sorted(book.entries(tower.name), key=lambda one: one.at))
    return [e for e in lines if book.now - _LOOK_BACK <= e.at <= book.now][-_MOST_LINES:]


def _believed(tower: Tower, lines: Sequence[Entry], bed: Bed, zone: str) -> Belief:
    """What the log tells of a tank, up to its last line."""
    off_l = _off(lines, tower.tank_l) * tower.tank_l
    belief = before_any(tank_l=tower.tank_l, bed_any=bed)
    found = _found(lines)
    last: Look | None = None
    for place, entry in enumerate(lines):
        look = _look(entry, tower, off_l, zone)
        if look is not None:
            look = replace(look, found=found.get(place, ""))
            belief = looked(belief_any=belief, look_any=look, bed_any=bed, tank_l=tower.tank_l)
            last = look
    if last is None or last.level_l is None:
        return belief
    # However odd, what was read last is what stands there: a dry tank waits for no second reading.
    low, high = last.level_l - last.off_l, last.level_l + last.off_l
    return replace(belief, levels_l=np.clip(belief.levels_l, low, high))


def _look(entry: Entry, tower: Tower, off_l: float, zone: str) -> Look | None:
    """What a line says of the level; nothing impossible is believed."""
    level, added = entry.level_l, entry.water_added_l or 0.0
    fresh = entry.kind == "change"
    if level is not None and not 0 <= level <= 1.2 * tower.tank_l:
        level = None
    if not 0 <= added <= 1.5 * tower.tank_l:
        added = 0.0
    if level is None and not added and not fresh:
        return None
    # To the line is to the line, however somebody reads between.
    sure = level is not None and added and level >= 0.97 * tower.tank_l
    off = 0.03 * tower.tank_l if sure else off_l
    return Look(at_d=_days(entry.at, zone), level_l=level, off_l=off, added_l=added, fresh=fresh)


def _found(lines: Sequence[Entry]) -> dict[int, str]:
    """Readings that somebody looked into, by place, and what they found; the last word counts."""
    found: dict[int, str] = {}
    last: int | None = None
    for place, entry in enumerate(lines):
        if entry.level_l is not None and not entry.water_added_l:
            last = place
        elif last is not None and entry.kind in (LEAK, NO_LEAK):
            found[last] = "leak" if entry.kind == LEAK else "thirst"
    return found


def _off(lines: Sequence[Entry], tank_l: float) -> float:
    """How far this tower's readings are off, of the tank."""
    read = [e.level_l / tank_l for e in lines if e.level_l is not None and not e.water_added_l]
    for step, off in _STEPS:
        if read and all(abs(one - step * round(one / step)) < _OFF_STEP for one in read):
            return off
    return _BY_MARK


def _bed(tower: Tower, known: Sequence[Planting], now_d: float, zone: str) -> Bed:
    """What its plants should drink, those too that were taken since; bare where none is known."""
    outdoor = tower.place == "outdoor"
    plugs = [one for p in known for one in _plugs(p, now_d, zone, outdoor=outdoor)]
    loss = _OPEN_LOSS_L_PER_D if outdoor else _ROOM_LOSS_L_PER_D
    if not any(p.status == "growing" for p in known):
        plugs, loss = [], _bare(tower, outdoor=outdoor)
    return Bed(
        norms_l_per_d=np.array([_CUT * one.norm_l_per_d for one in plugs]),
        grown_d=np.array([one.grown_d for one in plugs]),
        planted_d=np.array([one.planted_d for one in plugs]),
        ended_d=np.array([one.ended_d for one in plugs]),
        loss_l_per_d=loss,
    )


def _bare(tower: Tower, *, outdoor: bool) -> float:
    """What a tower drinks whose plants nobody has told [L/d]: by its tank, and by its ports."""
    by_tank = sqrt(_BARE_FRACTION * tower.tank_l * _BARE_L_PER_D)
    if not (tower.levels and tower.ports_per_level):
        return by_tank
    leafy = _BY_GROUP["leafy"][0 if outdoor else 1]
    return _BY_PORT * tower.levels * tower.ports_per_level * leafy


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plug:
    norm_l_per_d: float
    grown_d: float
    planted_d: float
    ended_d: float


def _plugs(planting: Planting, now_d: float, zone: str, *, outdoor: bool) -> Iterator[_Plug]:
    """One that was taken stood as long as its crop does: nobody keeps the day in the records. One
    that will be taken whole is followed by a seedling."""
    crop = known_crop(planting.crop)
    norm, grown = _of(crop, outdoor=outdoor)
    began = _began(planting, now_d, zone)
    stands = began + (crop.port_d[1] if crop else grown)
    if planting.status != "growing":
        if (ended := min(stands, now_d)) > began:
            yield _Plug(norm_l_per_d=norm, grown_d=grown, planted_d=began, ended_d=ended)
        return
    whole = crop is not None and crop.pick_weeks[1] <= 1
    ended = max(stands, now_d + _OVERDUE_D) if whole else np.inf
    yield _Plug(norm_l_per_d=norm, grown_d=grown, planted_d=began, ended_d=ended)
    if whole:
        yield _Plug(norm_l_per_d=norm, grown_d=grown, planted_d=ended, ended_d=np.inf)


def _of(crop: Crop | None, *, outdoor: bool) -> tuple[float, float]:
    """[L/d] of a plug when grown, and the days until it is."""
    ports = crop.ports if crop else 1
    norms = _BY_PORTS.get(ports) or _BY_GROUP.get(crop.group if crop else "", _ELSE)
    return norms[0 if outdoor else 1], _GROWN_D.get(ports, _GROWN_ELSE_D)


def _began(planting: Planting, now_d: float, zone: str) -> float:
    """A day nobody wrote down is long ago: the plant is grown."""
    on = planting.planted or planting.sown
    return now_d - 365.0 if on is None else _ordinal(on, zone)


def _ordinal(on: date, zone: str) -> float:
    """The noon of a day, counted in days."""
    return _days(instant(datetime(on.year, on.month, on.day, 12), zone), zone)  # noqa: DTZ001


def _days(at: datetime, zone: str) -> float:
    """A moment on the reader's wall, counted in days of thirst: nights are short in it."""
    local = at.astimezone(zone_of(zone)).replace(tzinfo=None)
    whole, part = divmod((local - _EPOCH) / _DAY, 1.0)
    return whole + float(np.interp(part, _WALL, _THIRST))


def _moment(days: float, zone: str) -> datetime:
    """The other way round."""
    whole, part = divmod(days, 1.0)
    local = _EPOCH + (whole + float(np.interp(part, _THIRST, _WALL))) * _DAY
    return instant(local, zone)
