"""Which of the coach's notes a sentence asks for."""

from __future__ import annotations

import re

from rapidfuzz import fuzz
from rapidfuzz.utils import default_process

from bot.records.book import Book
from bot.records.facts import Note

ALIKE = 85.0  # of 100: every word of a key phrase stands in the sentence, a slip allowed
_SHORTEST = 4
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


def note_for(text: str, book: Book) -> Note | None:
    """The note of which a key phrase (they stand apart by ";") is most alike; None without one.

    A note fits a sentence with numbers only where it speaks of the same numbers.
    """
    numbers = sorted(_NUMBER.findall(text))
    best: tuple[float, int, Note] | None = None
    for note in book.notes:
        for phrase in (p.strip() for p in note.about.split(";")):
            if len(phrase) < _SHORTEST or sorted(_NUMBER.findall(phrase)) != numbers:
                continue
            score = fuzz.token_set_ratio(phrase, text, processor=default_process)
            # Of two that fit as well, the one that says more.
            if score >= ALIKE and (best is None or (score, len(phrase)) > best[:2]):
                best = (score, len(phrase), note)
    return best[2] if best else None
