"""One debt in words, and what every fact needs for it."""

from __future__ import annotations

from dataclasses import dataclass

from bot.records.answer import Answer, Line, Offer
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.reminders import Debt


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One debt in words. short: one line of several; alone: the whole message."""

    debt: Debt
    short: Line
    alone: Answer
    own: tuple[Offer, ...] = ()


def answered(do: Line, *more: Line, why: Line, check: tuple[Line, ...] = ()) -> Answer:
    return Answer(outcome="answer", intent="reminder", do=(do, *more), why=(why,), check=check)


def tower_of(debt: Debt, book: Book) -> Tower | None:
    number = debt.key.split(":")[1]
    return next((t for t in book.towers if str(t.id) == number), None)
