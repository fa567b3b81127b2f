"""Pictures as services hand them to `render`: exact numbers in SI, and named sentences."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from bot.records.answer import Line, Measure, Pours
from bot.records.drawings import Mark

Text = Line | Measure | Pours | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Across:
    """A line at a value; alarm: what must not be passed."""

    at: float
    label: Line
    alarm: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """Between which values it should lie."""

    low: float
    high: float
    label: Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """So much a day between two readings; hot: with warm water."""

    begins: datetime
    ends: datetime
    value: float
    hot: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What is expected at a moment, and between which two it lies four times in five."""

    at: datetime
    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One measure over time. of: "water" [L], "ec" [mS/cm], "ph"; a_day: per day."""

    of: str
    a_day: bool = False
    path: tuple[tuple[datetime, float], ...] = ()
    dots: tuple[tuple[datetime, float], ...] = ()
    guessed: tuple[tuple[datetime, float], ...] = ()
    expected: tuple[Expected, ...] = ()
    spells: tuple[Spell, ...] = ()
    aim: Aim | None = None
    across: tuple[Across, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Courses over the same days, from one day to another; alt: the same in words."""

    name: str
    title: Line
    courses: tuple[Course, ...]
    begins: date
    ends: date
    now: datetime | None = None
    key: tuple[tuple[Mark, Line], ...] = ()
    foot: tuple[Line, ...] = ()
    alt: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page to print or leave at the tank; days: a day, and what is done on it."""

    name: str
    title: Line
    intro: tuple[Line, ...] = ()
    bottles: tuple[tuple[str, Text], ...] = ()
    steps: tuple[Line, ...] = ()
    days: tuple[tuple[date, tuple[Line, ...]], ...] = ()
    head: tuple[Text, ...] = ()
    rows: tuple[tuple[Text, ...], ...] = ()
    foot: tuple[Line, ...] = ()
    alt: tuple[Line, ...] = ()


Picture = Plot | Page
