"""A question that only the coach can answer, for their list."""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.records.changes import PassOn
from bot.text import plain

_LONGEST = 300
_CALLS: Final = re.compile(r"<[@#&]|@(?:everyone|here)\b|https?://")


def passed_on(text: str | None, book: Book, instead_of: str | None = None) -> tuple[PassOn, ...]:
    """The change that puts it there; none where there is no coach, or it is the coach who asks.

    A page of text, a link or a call to others is no question for a list.
    """
    words = plain(text or "")
    if not words or len(words) > _LONGEST or _CALLS.search(words):
        return ()
    if not book.community.id or book.member.coach:
        return ()
    return (PassOn(text=words, instead_of=plain(instead_of or "") or None),)
