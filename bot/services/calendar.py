"""Days that follow from a sowing: when seedlings move in, and when the tank may be fed."""

from __future__ import annotations

from datetime import date, timedelta

from bot.records.book import Book
from bot.records.facts import Tower


def move_in_window(sown: date, book: Book) -> tuple[date, date]:
    """From and to when seedlings sown on a day move in."""
    low, high = book.number("transplant_from_days"), book.number("transplant_to_days")
    return sown + timedelta(days=low), sown + timedelta(days=high)


def not_before(tower: Tower, book: Book) -> date | None:
    """The first day that a tower without plants is to be filled with feed: the day ahead of them.

    None where plants stand in it, or nothing is known of the sowing.
    """
    if tower.stage not in ("coming", "empty") or tower.sown_on is None:
        return None
    start, _ = move_in_window(tower.sown_on, book)
    day = start - timedelta(days=1)
    return day if day > book.local(book.now) else None
