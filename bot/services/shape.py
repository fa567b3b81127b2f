"""The shape of a tank: straight sides, or what a jug has told of it."""

from __future__ import annotations

import re
from typing import Final

from bot.errors import Refusal
from bot.records.book import Book
from bot.records.facts import Tower
from bot.services.facts import measures
from calc.errors import CalcError, OutOfRange, Unreadable, within
from calc.learning import level_from_marks
from calc.topup import level_from_depth
from calc.units import Measures, read_depth_cm, read_volume

Marks = tuple[tuple[float, float], ...]
STRAIGHT: Final = ("none", "straight", "no")
MOST_MARKS: Final = 20
_AT: Final = re.compile(r"\s*(?:@|=|:|\bat\b|\bis\b)\s*", re.IGNORECASE)
_BETWEEN: Final = re.compile(r"\s*(?:[;\n]|,(?!\d)|(?<=[a-z\"]),)\s*", re.IGNORECASE)  # 3,5 is 3.5
_UNIT: Final = re.compile(r"[\d.,/½¼¾⅓⅔⅛\s]+")
AT_LINE: Final = 0.97  # of the tank: so near, the highest mark is the full line
_OVER: Final = 1.03
_MISFIT: Final = 0.16  # of the tank: as far as a box's size may be off


def litres_at(
    depth_cm: float, *, full_cm: float | None, tank_l: float, tower: Tower | None
) -> float:
    """Water at a depth [L]: by the tower's own marks, else by straight sides.

    Raises
    ------
    CalcError
    """
    marks = marks_of(tower, tank_l)
    if marks:
        return min(tank_l, level_from_marks(depth_cm=depth_cm, marks_any=marks))
    if full_cm is None:
        raise OutOfRange(name="full depth", value=0, low=1, high=500, unit="cm")
    return level_from_depth(depth_cm=depth_cm, full_depth_cm=full_cm, tank_l=tank_l)


def marks_of(tower: Tower | None, tank_l: float) -> Marks:
    """The marks up to the full line, as far as that is known."""
    if tower is None or not tower.jug_marks:
        return ()
    highest_l, highest_cm = tower.jug_marks[-1]
    full = tower.full_depth_cm
    if full and full > highest_cm and highest_l < AT_LINE * tank_l:
        return (*tower.jug_marks, (tank_l, full))
    return tower.jug_marks


def full_depth_of(tower: Tower | None) -> float | None:
    """The depth at the full line [cm]: told, or the highest mark where that is the line."""
    if tower is None:
        return None
    if tower.jug_marks:
        highest_l, highest_cm = tower.jug_marks[-1]
        if highest_l >= AT_LINE * tower.tank_l:
            return highest_cm  # the jug knows it better than whoever told it
    return tower.full_depth_cm


def marks_fit(tower: Tower) -> bool:
    """What the marks say of the full line's depth is the tank, give or take."""
    full = tower.full_depth_cm
    if not tower.jug_marks or full is None or full > tower.jug_marks[-1][1]:
        return True
    there = level_from_marks(depth_cm=full, marks_any=tower.jug_marks)
    return abs(there / tower.tank_l - 1) <= _MISFIT


def read_marks(text: str, tank_l: float, book: Book) -> Marks:
    """ "2.5 gal at 3.3 in, 5 at 6.2, 7.5 at 8.7": lowest first, whatever order they were told in.

    Raises
    ------
    CalcError, Refusal
    """
    if text.strip().casefold() in STRAIGHT:
        return ()
    mine = measures(book)
    found: list[tuple[float, float]] = []
    units = ("", "")
    pieces = _BETWEEN.split(text.strip())
    within(name="jug marks", value=len(pieces), low=1, high=MOST_MARKS, unit="")
    for piece in pieces:
        sides = _AT.split(piece.strip())
        if len(sides) != 2:
            raise Unreadable(text=text[:60], wanted="marks")
        # "5 at 6.2" means what the one before it meant.
        units = (_unit(sides[0]) or units[0], _unit(sides[1]) or units[1])
        found.append(_pair(sides, units, mine))
    marks = tuple(sorted(found, key=lambda one: one[1]))
    try:
        level_from_marks(depth_cm=0.0, marks_any=marks)
    except CalcError:
        raise Refusal("no.marks_cross", outcome="refuse") from None
    if marks[-1][0] > _OVER * tank_l:
        raise Refusal("no.marks_above", outcome="refuse")
    return marks


def _pair(sides: list[str], units: tuple[str, str], mine: Measures) -> tuple[float, float]:
    volume, depth = (
        side if _unit(side) else f"{side} {unit}" for side, unit in zip(sides, units, strict=True)
    )
    return read_volume(volume, measures=mine).litres, read_depth_cm(depth, measures=mine)


def _unit(side: str) -> str:
    return _UNIT.sub(" ", side).strip()
