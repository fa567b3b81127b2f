"""How much stands in a tank: as told now, else as last read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TypeVar

from bot.records.answer import Fact, FromRecord, Learned, Line, Measure, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Away, Heat, Ph
from bot.services.facts import computed
from bot.services.levels import how_full, told_level
from bot.services.log.use import use_of

Standing = TypeVar("Standing", Ph, Heat, Away)

_FRESH = timedelta(days=7)
_STILL = timedelta(hours=12)  # a level is taken as it was read; later, drinking counts


@dataclass(frozen=True, slots=True, kw_only=True)
class Stands:
    """litres: in the tank now; notes: what is to be said about how that is known."""

    litres: Fact
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
        return Stands(litres=told.litres, notes=told.notes)
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
    stood = min(tower.tank_l, (last.level_l or 0.0) + since)
    on = book.local(last.at)
    age = book.now - last.at
    use = use_of(tower, book) if age > _STILL else None
    if age > _STILL and use is None:
        return None  # how much of it is gone, nobody knows
    drunk = use.l_per_d * (age / timedelta(days=1)) if use else 0.0
    litres = max(0.0, stood - drunk)
    if litres <= 0:
        return None
    word = "check.drunk_since" if drunk else "check.last_read"
    return Stands(
        litres=Fact(
            "level",
            litres,
            computed(
                Fact("last level", last.level_l or 0.0, FromRecord(on)),
                Fact("added since", since, FromRecord(on)),
                Fact("drunk since", drunk, Learned(use.readings) if use else FromRecord(on)),
            ),
        ),
        notes=(line(word, level=Measure(litres, "water"), day=on),),
    )
