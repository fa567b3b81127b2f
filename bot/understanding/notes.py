"""Which of the coach's notes a sentence asks for."""

from __future__ import annotations

import re

from rapidfuzz import fuzz
from rapidfuzz.utils import default_process

from bot.records.book import Book
from bot.records.facts import Note

ALIKE = 85.0  # of 100: every word of the note's matter stands in the sentence, a typo allowed
_SHORTEST = 4


def note_for(text: str, book: Book) -> Note | None:
    """The note whose matter the sentence names; None without one, or where numbers are asked.

    A sentence with a number in it is a question of arithmetic first.
    """
    if re.search(r"\d", text):
        return None
    best: tuple[float, Note] | None = None
    for note in book.notes:
        if len(note.about) < _SHORTEST:
            continue
        score = fuzz.token_set_ratio(note.about, text, processor=default_process)
        if score >= ALIKE and (best is None or score > best[0]):
            best = (score, note)
    return best[1] if best else None
