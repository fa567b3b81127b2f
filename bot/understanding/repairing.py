"""Typing slips mended before anything is read: wet thumbs, and voices written down by a phone.

Only words are touched, never a number, and never a word that is known. What is mended is one
edit away from a trade word (two in a long one), and nearer to it than to any other.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.records.book import Book
from bot.understanding.lexicon import PLAIN, TRADE
from calc.tables import crops
from calc.units import UNIT_WORDS

_WORD: Final = re.compile(r"[^\W\d_]+(?![\w'])|[^\W\d_]+(?='s\b)")
_SHORTEST = 4
_LONG = 8
_SURE = 6  # a slip in the first letter is believed from here on
_CROPS: Final = frozenset(word for crop in crops() for word in crop.split("_"))
_NUMBERS: Final = frozenset(
    "two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
    "seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred".split()
)
_KNOWN: Final = TRADE | PLAIN | _CROPS | _NUMBERS | UNIT_WORDS
_GOALS: Final = tuple(sorted(w for w in TRADE | _CROPS | _NUMBERS if len(w) >= _SHORTEST))


def repaired(text: str, book: Book) -> str:
    """`text` with the slips in its words mended; lengths may change, order and numbers do not."""
    names = {w for t in book.towers for w in t.name.casefold().split()}
    names |= {p.name.casefold() for f in book.feeds for p in f.parts}
    names |= {m.casefold() for m in book.names}

    def mended(found: re.Match[str]) -> str:
        word = found[0].casefold()
        if len(word) < _SHORTEST or word in _KNOWN or word in names:
            return found[0]
        near = next((n for n in names if len(n) >= _SHORTEST and _apart(word, n) <= 1), None)
        return near or _nearest(word) or found[0]

    return _WORD.sub(mended, text)


def _apart(one: str, two: str) -> int:
    return OSA.distance(one, two, score_cutoff=2)


@lru_cache(maxsize=20_000)
def _nearest(word: str) -> str | None:
    """The one trade word that `word` is a slip of."""
    if word.endswith("s") and word[:-1] in _KNOWN:
        return None
    most = 2 if len(word) >= _LONG else 1
    found = process.extract(word, _GOALS, scorer=OSA.distance, score_cutoff=most, limit=6)
    found = [f for f in found if f[0][0] == word[0] or len(word) >= _SURE]
    if not found:
        return None
    if len(found) > 1 and found[1][1] == found[0][1]:
        same = [f for f in found if f[1] == found[0][1] and f[0][0] == word[0]]
        return same[0][0] if len(same) == 1 else None
    return found[0][0]
