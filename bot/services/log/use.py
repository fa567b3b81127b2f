"""How fast a tank empties, and when it reaches a mark.

Where its plants are known, by all that the log and they tell (`log.forecast`); else at the plain
rate of the last readings.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from bot.records.answer import Line, Measure, line
from bot.records.book import Book
from bot.records.facts import Entry, Tower
from bot.services.log.entries import of_this_tank
from calc.errors import CalcError
from calc.refill import daily_use_l, days_to_mark

if TYPE_CHECKING:
    from bot.services.log.forecast import Outlook

_LOOK_BACK = timedelta(days=14)
_SHORTEST_D = 0.9  # a night or a hot noon alone says nothing of a day
SPREAD = 0.2  # use swings by a fifth and more: common practice
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What is drunk [L/d], the last level [L] with its time, and how many readings stand behind it.

    outlook: the plants are known, so growth, swings and slips of the eye are reckoned with.
    """

    l_per_d: float
    level_l: float
    at: datetime
    readings: int
    outlook: Outlook | None = None


def use_of(tower: Tower, book: Book) -> Use | None:
    """From plants and readings, else from two readings at least; None when they do not tell."""
    from bot.services.log.forecast import outlook

    seen = outlook(tower, book)
    if seen is None:
        return plain_use(tower, book)
    return Use(
        l_per_d=seen.l_per_d,
        level_l=seen.level_l,
        at=seen.at,
        readings=seen.belief.looks_n,
        outlook=seen,
    )


def plain_use(tower: Tower, book: Book) -> Use | None:
    """The rate over two weeks of readings, back from the last one; None when they do not tell.

    Counted from the last reading, not from now: silence must not make a tank look less thirsty.
    Two levels a day apart at least are needed. A full change, and a level that rose by more than
    an eye can err with nothing logged, begin a new stretch: neither is ever fitted. Until the new
    stretch tells a rate, the last one that did holds, from the newest level on.
    """
    every = of_this_tank(book.entries(tower.name))
    newest = max((e.at for e in every if e.level_l is not None), default=book.now)
    lines = [e for e in every if newest - e.at <= _LOOK_BACK]
    slack = book.number("level_guess_fraction") * tower.tank_l
    stretches = _stretches(lines, slack)
    told = next((r for one in reversed(stretches) if (r := _rate(lines, one)) is not None), None)
    if told is None:
        return None
    last = stretches[-1][-1]
    # Water that went in after the last reading stands in the tank too.
    since = sum(e.water_added_l or 0.0 for e in lines[last + 1 :])
    level = min(tower.tank_l, (lines[last].level_l or 0.0) + since)
    rate, count = told
    return Use(l_per_d=rate, level_l=level, at=lines[last].at, readings=count)


def _rate(lines: list[Entry], levels: list[int]) -> tuple[float, int] | None:
    """[L/d] over one stretch, and from how many levels; None where it does not tell."""
    first, last = lines[levels[0]], lines[levels[-1]]
    days = (last.at - first.at) / _DAY
    if len(levels) < 2 or days < _SHORTEST_D:
        return None
    # What stands behind the first reading, the water poured with the last one included.
    added = sum(e.water_added_l or 0.0 for e in lines[levels[0] + 1 : levels[-1] + 1])
    try:
        rate = daily_use_l(
            start_l=first.level_l or 0.0, end_l=last.level_l or 0.0, added_l=added, days_d=days
        )
    except CalcError:
        return None
    return None if rate < 0.01 else (rate, len(levels))


def _stretches(lines: list[Entry], slack_l: float) -> list[list[int]]:
    """The levels, as stretches that nothing unlogged broke, oldest first."""
    found: list[list[int]] = []
    before, added, changed = 0.0, 0.0, False
    for number, entry in enumerate(lines):
        added += entry.water_added_l or 0.0
        changed = changed or entry.kind == "change"
        if entry.level_l is None:
            continue
        if not found or changed or entry.level_l > before + added + slack_l:
            found.append([])
        found[-1].append(number)
        before, added, changed = entry.level_l, 0.0, False
    return found


def reaches(use: Use, mark_l: float) -> tuple[datetime, datetime, datetime]:
    """When the tank comes down to a mark: most likely, and between which two.

    Four times in five where its plants are known; else at a fifth more use and a fifth less.
    """
    if use.outlook is not None:
        return use.outlook.reaches(mark_l)
    days = days_to_mark(level_l=use.level_l, mark_l=mark_l, use_l_per_d=use.l_per_d)
    likely, early, late = (
        use.at + timedelta(days=days / factor) for factor in (1.0, 1 + SPREAD, 1 - SPREAD)
    )
    return likely, early, late


def between(use: Use, at: datetime) -> tuple[float, float, float]:
    """What should stand in the tank at a moment, if nobody fills [L]: low, most likely, high."""
    if use.outlook is not None:
        return use.outlook.between(at)
    drunk = max(0.0, (at - use.at) / _DAY) * use.l_per_d
    low, likely, high = (max(0.0, use.level_l - drunk * f) for f in (1 + SPREAD, 1.0, 1 - SPREAD))
    return low, likely, high


def level_at(use: Use, at: datetime) -> float:
    """What most likely stands there then [L]."""
    return between(use, at)[1]


def pace_said(use: Use) -> Line:
    """What stands behind a pace; a guess is named one."""
    word = "pace.readings"
    if use.outlook is not None:
        word = "pace.plants" if use.readings > 1 else "pace.guess"
    return line(word, use=Measure(use.l_per_d, "water"), count=use.readings)


def refill_mark_l(tower: Tower, book: Book) -> float:
    """The level to refill at."""
    return (tower.refill_at_fraction or book.number("refill_mark_fraction")) * tower.tank_l


def pump_line_l(tower: Tower, book: Book) -> float:
    """The level below which the pump sucks air."""
    return tower.pump_min_l or book.number("pump_line_fraction") * tower.tank_l


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeDue:
    """The day of the next full change; latest: by the days alone; left_l: of top-up until then;
    added_l: topped up since the line that it is counted from."""

    on: date
    latest: date
    left_l: float
    added_l: float
    since: Entry


def change_due(tower: Tower, book: Book) -> ChangeDue | None:
    """By days, or by tanks of top-up at the present use, whichever comes first; None before any
    line."""
    lines = book.entries(tower.name)
    changes = [e for e in lines if e.kind == "change"]
    since = changes[-1] if changes else (lines[0] if lines else None)
    if since is None:
        return None
    added = sum(e.water_added_l or 0.0 for e in lines if e.at > since.at)
    filled = max((e.at for e in lines if e.water_added_l), default=since.at)
    return counted(since, added, filled, tower.tank_l, use_of(tower, book), book)


def counted(
    since: Entry,
    added_l: float,
    filled: datetime,
    tank_l: float,
    use: Use | None,
    book: Book,
    every_d: float | None = None,
) -> ChangeDue:
    """filled: the last top-up; what was drunk since will be topped up too."""
    latest = since.at + timedelta(days=every_d or book.number("change_every_days"))
    left = book.number("change_after_tanks") * tank_l - added_l
    by_tanks = filled + timedelta(days=max(0.0, left) / use.l_per_d) if use else latest
    if left <= 0:
        by_tanks = book.now
    return ChangeDue(
        on=book.local(max(min(latest, by_tanks), book.now)),
        latest=book.local(latest),
        left_l=max(0.0, left),
        added_l=added_l,
        since=since,
    )
