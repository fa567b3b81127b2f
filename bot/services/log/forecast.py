"""When a tank comes down to a mark, from all that its log and its plants tell, with an interval."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import sqrt
from typing import Final

import numpy as np

from bot.clock import instant, zone_of
from bot.records.book import Book
from bot.records.facts import Entry, Planting, Tower
from bot.services.plants.crops import known_crop
from calc.refill.ahead import days_until_mark_d
from calc.refill.thirst import Bed
from calc.refill.watching import Belief, Look, before_any, looked, waited
from calc.tables import Crop

_DAY: Final = timedelta(days=1)
_EPOCH: Final = datetime(2000, 1, 1)  # noqa: DTZ001 - a wall time
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


def forecast(tower: Tower, book: Book, mark_l: float) -> Forecast:
    """From the Book's own moment on. Nothing is carried from one call to the next."""
    bed = bed_of(tower, book)
    belief = believed(tower, book, bed)
    begins = _days(book.now, book)
    now = waited(belief_any=belief, until_d=begins, bed_any=bed, tank_l=tower.tank_l)
    early, likely, late = days_until_mark_d(
        belief_any=now, bed_any=bed, mark_l=mark_l, tank_l=tower.tank_l
    )
    return Forecast(
        likely=_moment(begins + likely, book),
        early=_moment(begins + early, book),
        late=_moment(begins + late, book),
        leak=belief.leaks,
        readings=belief.looks_n,
    )


def believed(tower: Tower, book: Book, bed: Bed) -> Belief:
    """What the log tells of a tank, up to its last line."""
    lines = sorted(
        (e for e in book.entries(tower.name) if book.now - _LOOK_BACK <= e.at <= book.now),
        key=lambda one: one.at,
    )
    off_l = _off(lines, tower.tank_l) * tower.tank_l
    belief = before_any(tank_l=tower.tank_l, bed_any=bed)
    for entry in lines:
        look = _look(entry, tower, off_l, book)
        if look is not None:
            belief = looked(belief_any=belief, look_any=look, bed_any=bed, tank_l=tower.tank_l)
    return belief


def _look(entry: Entry, tower: Tower, off_l: float, book: Book) -> Look | None:
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
    return Look(at_d=_days(entry.at, book), level_l=level, off_l=off, added_l=added, fresh=fresh)


def _off(lines: Sequence[Entry], tank_l: float) -> float:
    """How far this tower's readings are off, of the tank."""
    read = [e.level_l / tank_l for e in lines if e.level_l is not None and not e.water_added_l]
    for step, off in _STEPS:
        if read and all(abs(one - step * round(one / step)) < _OFF_STEP for one in read):
            return off
    return _BY_MARK


def bed_of(tower: Tower, book: Book) -> Bed:
    """What its plants should drink, those too that were taken since; bare where none is known."""
    outdoor = tower.place == "outdoor"
    known = [p for p in book.plantings if p.tower == tower.name]
    plugs = [one for p in known for one in _plugs(p, book, outdoor=outdoor)]
    loss = _OPEN_LOSS_L_PER_D if outdoor else _ROOM_LOSS_L_PER_D
    if not any(p.status == "growing" for p in known):
        plugs, loss = [], sqrt(_BARE_FRACTION * tower.tank_l * _BARE_L_PER_D)
    return Bed(
        norms_l_per_d=np.array([_CUT * one.norm_l_per_d for one in plugs]),
        grown_d=np.array([one.grown_d for one in plugs]),
        planted_d=np.array([one.planted_d for one in plugs]),
        ended_d=np.array([one.ended_d for one in plugs]),
        loss_l_per_d=loss,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plug:
    norm_l_per_d: float
    grown_d: float
    planted_d: float
    ended_d: float


def _plugs(planting: Planting, book: Book, *, outdoor: bool) -> Iterator[_Plug]:
    """One that was taken stood as long as its crop does: nobody keeps the day in the records. One
    that will be taken whole is followed by a seedling."""
    crop = known_crop(planting.crop)
    norm, grown = _of(crop, outdoor=outdoor)
    now = _days(book.now, book)
    began = _ordinal(planting.planted or planting.sown, book)
    stands = began + (crop.port_d[1] if crop else grown)
    if planting.status != "growing":
        if (ended := min(stands, now)) > began:
            yield _Plug(norm_l_per_d=norm, grown_d=grown, planted_d=began, ended_d=ended)
        return
    whole = crop is not None and crop.pick_weeks[1] <= 1
    ended = max(stands, now + _OVERDUE_D) if whole else np.inf
    yield _Plug(norm_l_per_d=norm, grown_d=grown, planted_d=began, ended_d=ended)
    if whole:
        yield _Plug(norm_l_per_d=norm, grown_d=grown, planted_d=ended, ended_d=np.inf)


def _of(crop: Crop | None, *, outdoor: bool) -> tuple[float, float]:
    """[L/d] of a plug when grown, and the days until it is."""
    ports = crop.ports if crop else 1
    norms = _BY_PORTS.get(ports) or _BY_GROUP.get(crop.group if crop else "", _ELSE)
    return norms[0 if outdoor else 1], _GROWN_D.get(ports, _GROWN_ELSE_D)


def _ordinal(on: date | None, book: Book) -> float:
    """A day nobody wrote down is long ago: the plant is grown."""
    if on is None:
        return _days(book.now, book) - 365.0
    return (datetime(on.year, on.month, on.day, 12) - _EPOCH) / _DAY  # noqa: DTZ001 - a wall time


def _days(at: datetime, book: Book) -> float:
    """A moment on the reader's wall, counted in days of thirst: nights are short in it."""
    local = at.astimezone(zone_of(book.member.time_zone)).replace(tzinfo=None)
    whole, part = divmod((local - _EPOCH) / _DAY, 1.0)
    return whole + float(np.interp(part, _WALL, _THIRST))


def _moment(days: float, book: Book) -> datetime:
    """The other way round."""
    whole, part = divmod(days, 1.0)
    local = _EPOCH + (whole + float(np.interp(part, _THIRST, _WALL))) * _DAY
    return instant(local, book.member.time_zone)
