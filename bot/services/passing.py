"""A question that only the coach can answer, for their list."""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.records.changes import PassOn
from bot.text import plain

_LONGEST, _FEWEST = 300, 3
_WORD: Final = re.compile(r"\b[^\W\d_]{2,}\b")
_CALLS: Final = re.compile(r"<[@#&]|@(?:everyone|here)\b|https?://")


def passed_on(text: str | None, book: Book, instead_of: str | None = None) -> tuple[PassOn, ...]:
    """The change that puts it there; none where there is no coach, or it is the coach who asks.

    A page of text, two words, a link or a call to others is no question for a list.
    """
    words = plain(text or "")
    if len(words) > _LONGEST or _CALLS.search(words) or len(_WORD.findall(words)) < _FEWEST:
        return ()
    if not book.community.id or book.member.coach:
        return ()
    return (PassOn(text=words, instead_of=plain(instead_of or "") or None),)
