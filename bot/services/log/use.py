"""How fast a tank empties, at the plain rate of its last readings, and when it reaches a mark."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.records.book import Book
from bot.records.facts import Entry, Tower
from calc.errors import CalcError
from calc.refill import daily_use_l, days_to_mark

_LOOK_BACK = timedelta(days=14)
_SHORTEST_D = 0.9  # a night or a hot noon alone says nothing of a day
_SPREAD = 0.2  # use swings by a fifth and more: common practice


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """Plain rate [L/d], the last level [L] with its time, and how many readings stand behind it."""

    l_per_d: float
    level_l: float
    at: datetime
    readings: int


def use_of(tower: Tower, book: Book) -> Use | None:
    """The rate between the first and last level of two weeks; None when they do not tell.

    Two levels a day apart at least are needed, and a level that rose with nothing logged is never
    fitted.
    """
    lines = [e for e in book.entries(tower.name) if book.now - e.at <= _LOOK_BACK]
    levels = [e for e in lines if e.level_l is not None]
    if len(levels) < 2:
        return None
    first, last = levels[0], levels[-1]
    days = (last.at - first.at) / timedelta(days=1)
    if days < _SHORTEST_D:
        return None
    if any(e.kind == "change" for e in lines if first.at < e.at <= last.at):
        return _since_change(tower, lines)
    return _rate(first, last, lines, len(levels))


def _since_change(tower: Tower, lines: list[Entry]) -> Use | None:
    """A full change empties and fills: only what came after it counts."""
    change = max(e.at for e in lines if e.kind == "change")
    after = [e for e in lines if e.at >= change]
    levels = [e for e in after if e.level_l is not None]
    if len(levels) < 2 or (levels[-1].at - levels[0].at) / timedelta(days=1) < _SHORTEST_D:
        return None
    return _rate(levels[0], levels[-1], after, len(levels))


def _rate(first: Entry, last: Entry, lines: list[Entry], count: int) -> Use | None:
    added = sum(e.water_added_l or 0.0 for e in lines if first.at < e.at <= last.at)
    try:
        rate = daily_use_l(
            start_l=first.level_l or 0.0,
            end_l=last.level_l or 0.0,
            added_l=added,
            days_d=(last.at - first.at) / timedelta(days=1),
        )
    except CalcError:
        return None
    if rate < 0.01:
        return None
    return Use(l_per_d=rate, level_l=last.level_l or 0.0, at=last.at, readings=count)


def reaches(use: Use, mark_l: float) -> tuple[datetime, datetime, datetime]:
    """When the tank comes down to a mark: most likely, at a fifth more use, at a fifth less."""
    days = days_to_mark(level_l=use.level_l, mark_l=mark_l, use_l_per_d=use.l_per_d)
    likely, early, late = (
        use.at + timedelta(days=days / factor) for factor in (1.0, 1 + _SPREAD, 1 - _SPREAD)
    )
    return likely, early, late


def refill_mark_l(tower: Tower, book: Book) -> float:
    """The level to refill at."""
    return (tower.refill_at_fraction or book.number("refill_mark_fraction")) * tower.tank_l


def pump_line_l(tower: Tower, book: Book) -> float:
    """The level below which the pump sucks air."""
    return tower.pump_min_l or book.number("pump_line_fraction") * tower.tank_l
