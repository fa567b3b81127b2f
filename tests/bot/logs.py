"""Log lines for tests, of the invented towers in tests/bot/books.py."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from bot.records.book import Book
from bot.records.facts import Entry
from tests.bot.books import book

NOW = datetime(2026, 5, 11, 18, 0, tzinfo=UTC)  # Mon 11 May, 2 pm in New York


def entry(number: int, *, days: float = 0.0, hours: float = 0.0, **facts: object) -> Entry:
    """A kitchen line so long ago, told when it happened."""
    at = NOW - timedelta(days=days, hours=hours)
    base = Entry(tower="kitchen", at=at, kind="level", id=number, recorded_at=at, by="Tamsin")
    return replace(base, **facts)  # type: ignore[arg-type]  # a test names real fields


def logged(*lines: Entry, base: Book | None = None) -> Book:
    """A Book whose log holds these lines, oldest first."""
    return replace(base or book(), log=tuple(sorted(lines, key=lambda one: one.at)))
