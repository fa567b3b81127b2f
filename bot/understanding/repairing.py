"""Typing slips mended before anything is read: wet thumbs, and voices written down by a phone.

Only words are touched, never a number, and never a word that is known. What is mended is one
edit away from a trade word (two in a long one), and nearer to it than to any other.

`english.txt` holds the English words of three to twelve letters that are met often: the list of
pyspellchecker 0.9.1 (MIT licence; words of film subtitles), those counted sixty times and more.
"""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.resources import files
from typing import Final

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.records.book import Book
from bot.understanding.lexicon import PLACES, PLAIN, TRADE
from calc.tables import crops
from calc.units import UNIT_WORDS

_WORD: Final = re.compile(r"[^\W\d_]+(?![\w'])|[^\W\d_]+(?='s\b)")
_SHORTEST = 3
_NAMES = 4  # a shorter name is nobody's slip
_LONG = 7
_SURE = 5  # a slip in the first letter is believed from here on
_CROPS: Final = frozenset(word for crop in crops() for word in crop.split("_"))
_NUMBERS: Final = frozenset(
    "two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
    "seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred".split()
)
ENGLISH: Final = frozenset(
    files(__package__).joinpath("english.txt").read_text(encoding="ascii").split()
)
_KNOWN: Final = TRADE | PLAIN | PLACES | _CROPS | _NUMBERS | UNIT_WORDS | ENGLISH
# Small words that a question hangs on.
_SMALL: Final = frozenset(
    "what when where which much many how with into from does should until before after have need "
    "want gal tap add day top ice pen the and for its was now left right there half know please "
    "holds goes says reads".split()
)
_GOALS: Final = tuple(sorted(w for w in TRADE | _CROPS | _NUMBERS | _SMALL if len(w) >= _SHORTEST))


def repaired(text: str, book: Book) -> str:
    """`text` with the slips in its words mended; lengths may change, order and numbers do not."""
    names = {w for t in book.towers for w in t.name.casefold().split()}
    names |= {p.name.casefold() for f in book.feeds for p in f.parts}
    names |= {m.casefold() for m in book.names}

    def mended(found: re.Match[str]) -> str:
        word = found[0].casefold()
        if len(word) < _SHORTEST or word in _KNOWN or word in names:
            return found[0]
        near = next((n for n in names if len(n) >= _NAMES and _apart(word, n) <= 1), None)
        return near or _nearest(word) or found[0]

    return _WORD.sub(mended, text)


def _apart(one: str, two: str) -> int:
    return OSA.distance(one, two, score_cutoff=2)


@lru_cache(maxsize=20_000)
def _nearest(word: str) -> str | None:
    """The one trade word that `word` is a slip of."""
    if word.endswith("s") and word[:-1] in _KNOWN:
        return None
    single = re.sub(r"(.)\1", r"\1", word)
    if single in _KNOWN and len(single) < _NAMES:
        return single  # "iin", "upp": a key that was held
    most = 2 if len(word) >= _LONG else 1
    found = process.extract(word, _GOALS, scorer=OSA.distance, score_cutoff=most, limit=8)
    ranked = sorted(((_unlike(word, goal, apart), goal) for goal, apart, _ in found))
    ranked = [r for r in ranked if r[0][1] == 0 or len(word) >= _SURE]
    if not ranked or (len(ranked) > 1 and ranked[0][0] == ranked[1][0]):
        return None
    best, goal = ranked[0]
    if len(word) < _NAMES and best != (1, 0, 0):
        return None
    return goal


def _unlike(word: str, goal: str, apart: int) -> tuple[int, int, int]:
    """How far apart; then another first letter; then another set of letters (a swap has none)."""
    return apart, int(goal[0] != word[0]), int(len(goal) != len(word))
