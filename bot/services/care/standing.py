"""How much stands in a tank: as told now, else as last read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TypeVar

from bot.records.answer import Fact, FromRecord, Line, Measure, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Away, Heat, Ph
from bot.services.levels import how_full, told_level

Standing = TypeVar("Standing", Ph, Heat, Away)

_FRESH = timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stands:
    """litres: in the tank now; notes: what is to be said about how that is known."""

    litres: Fact
    guessed: bool = False
    notes: tuple[Line, ...] = ()


def stands_now(question: Standing, tank: Fact, tower: Tower | None, book: Book) -> Stands:
    """What `question.level` says, else the last reading with the water that went in since.

    Raises
    ------
    Ask
        Neither told nor read in the last week.
    CalcError
    """
    if question.level is not None:
        told = told_level(question, tank, tower, book)
        return Stands(litres=told.litres, guessed=told.guessed, notes=told.notes)
    read = _last_read(tower, book) if tower else None
    if read is None:
        raise how_full(question, tower)
    return read


def _last_read(tower: Tower, book: Book) -> Stands | None:
    lines = book.entries(tower.name)
    levels = [n for n, e in enumerate(lines) if e.level_l is not None]
    if not levels or book.now - lines[levels[-1]].at > _FRESH:
        return None
    last = lines[levels[-1]]
    since = sum(e.water_added_l or 0.0 for e in lines[levels[-1] + 1 :])
    litres = min(tower.tank_l, (last.level_l or 0.0) + since)
    on = book.local(last.at)
    return Stands(
        litres=Fact("level", litres, FromRecord(on)),
        notes=(line("check.last_read", level=Measure(litres, "water"), day=on),),
    )
