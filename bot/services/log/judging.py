"""Forecasts to keep, and what became of those that were kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.records.book import Book
from bot.records.facts import Entry, Tower
from bot.records.forecasts import MARKS, Foretold
from bot.services.log.entries import TANK, of_this_tank
from bot.services.log.use import pump_line_l, reaches, refill_mark_l, use_of

_NEAR: Final = 0.15  # of the tank above the mark: so far a line may be drawn on
_ROSE: Final = 0.05  # of the tank: more than an eye errs by
_TOO_OLD: Final = timedelta(days=75)


def foretold(book: Book) -> tuple[Foretold, ...]:
    """What is told now of each tower whose pace is known."""
    return tuple(one for tower in book.towers if tower.id for one in _of(tower, book))


def _of(tower: Tower, book: Book) -> Iterator[Foretold]:
    use, last = use_of(tower, book), _last(tower, book)
    if use is None or last is None or tower.stage in ("coming", "empty"):
        return
    if last.level_l is None:
        return  # poured, and nobody has read to where
    for what, mark in zip(
        MARKS, (refill_mark_l(tower, book), pump_line_l(tower, book)), strict=True
    ):
        if use.level_l <= mark:
            continue  # nothing is foretold any more
        likely, early, late = reaches(use, mark)
        yield Foretold(
            tower_id=tower.id,
            entry_id=last.id,
            made_at=use.at,
            what=what,
            mark_l=mark,
            level_l=use.level_l,
            likely=likely,
            early=early,
            late=late,
            readings=use.readings,
        )


def _last(tower: Tower, book: Book) -> Entry | None:
    """The newest line that tells of the water."""
    lines = of_this_tank(book.entries(tower.name))
    return next((e for e in reversed(lines) if e.level_l is not None or e.water_added_l), None)


def judged(kept: Iterable[Foretold], book: Book) -> tuple[Foretold, ...]:
    """Those of the open ones that can be judged by now."""
    towers = {tower.id: tower for tower in (*book.towers, *book.packed)}
    found = (_judged(one, towers.get(one.tower_id), book) for one in kept)
    return tuple(one for one in found if one.outcome != "open")


def _judged(one: Foretold, tower: Tower | None, book: Book) -> Foretold:
    if tower is None or book.now - one.made_at > _TOO_OLD:
        return replace(one, outcome="void")
    every = book.entries(tower.name)
    lines = [e for e in every if e.at > one.made_at and e.id != one.entry_id]
    return replace(one, outcome=_outcome(one, lines, tower.tank_l))


def _outcome(one: Foretold, lines: list[Entry], tank_l: float) -> str:
    """By the readings up to the next fill, a straight line between each two."""
    at, level = one.made_at, one.level_l
    for entry in lines:
        added = entry.water_added_l or 0.0
        filled = bool(added) or entry.kind == "change"
        read = None if entry.level_l is None or entry.kind == "change" else entry.level_l - added
        if entry.kind == TANK:
            return "void"
        if read is not None:
            if read > level + _ROSE * tank_l:
                return "void"  # rain, or a fill that nobody logged
            if read <= one.mark_l:
                return _within(one, _crossing((at, level), (entry.at, read), one.mark_l))
            if entry.at > one.late:
                return "late"
            at, level = entry.at, read
        if filled:
            return _drawn_on(one, at, level, tank_l)
    return "open"


def _drawn_on(one: Foretold, at: datetime, level: float, tank_l: float) -> str:
    """Filled before the mark was reached: by the pace until then, where it was near."""
    fell = one.level_l - level
    if at <= one.made_at or fell <= 0 or level - one.mark_l > _NEAR * tank_l:
        return "void"
    return _within(one, _crossing((one.made_at, one.level_l), (at, level), one.mark_l))


def _crossing(
    first: tuple[datetime, float], last: tuple[datetime, float], mark_l: float
) -> datetime:
    (at, level), (then, lower) = first, last
    if level <= lower:
        return then
    return at + (then - at) * ((level - mark_l) / (level - lower))


def _within(one: Foretold, at: datetime) -> str:
    if at < one.early:
        return "early"
    return "late" if at > one.late else "hit"
