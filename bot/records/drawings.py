"""Pictures ready to be drawn: every text final, every number in the reader's own units.

`render` makes them from an answer's exact amounts; `pictures` draws them. Moments are aware.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Mark = Literal["path", "dot", "guessed", "likely", "between", "bar", "hot"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruled:
    """A line right across a panel: the full line, the refill mark, the pump line (`alarm`)."""

    at: float
    label: str
    alarm: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stripe:
    """A band right across a panel: where a reading should lie."""

    low: float
    high: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """The level expected at a moment, and between which two it lies four times in five."""

    at: datetime
    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """So much from one moment to another; label: stands above it; hot: in a hot spell."""

    begins: datetime
    ends: datetime
    value: float
    label: str = ""
    hot: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One measure over the chart's days.

    unit: said at its axis; path: joined by a line; dots: what was read; guessed: by eye or hand;
    floor: shown down to here at least (a tank's empty).
    """

    unit: str
    path: tuple[tuple[datetime, float], ...] = ()
    dots: tuple[tuple[datetime, float], ...] = ()
    guessed: tuple[tuple[datetime, float], ...] = ()
    ahead: tuple[Ahead, ...] = ()
    bars: tuple[Bar, ...] = ()
    stripe: Stripe | None = None
    ruled: tuple[Ruled, ...] = ()
    floor: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """One to three panels over the same days.

    ticks: where a day's name stands; now: "now"; key: what each mark means; foot: in small print.
    """

    title: str
    panels: tuple[Panel, ...]
    ticks: tuple[tuple[datetime, str], ...]
    now: tuple[datetime, str] | None = None
    key: tuple[tuple[Mark, str], ...] = ()
    foot: str = ""
    alt: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A page to print or to leave at the tank.

    head and rows: a table; steps: numbered; days: a day and what is done on it ("" for nothing);
    bottles: what is measured out, each with its amount; foot: in small print.
    """

    title: str
    intro: str = ""
    bottles: tuple[tuple[str, str], ...] = ()
    steps: tuple[str, ...] = ()
    days: tuple[tuple[str, str], ...] = ()
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    foot: tuple[str, ...] = ()
    alt: str


Drawing = Chart | Sheet
