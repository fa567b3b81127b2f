"""What a sentence shows: signs of what it asks, and around each number signs of what that is.

The same signs are taken from the example sentences when they are learned from.
"""

from __future__ import annotations

import re
from collections.abc import Container, Sequence
from itertools import pairwise
from typing import Final

from bot.records.book import Book
from bot.understanding.lexicon import PLACES
from calc.units import Quantity, Word

Item = Quantity | Word

_WORD: Final = re.compile(r"\w")
_ENDS: Final = ("'s", "ing", "ed", "es", "s")
_STEM = 3  # letters that stay at least
_MANY = 4
_NEAR, _AROUND = 3, 5  # words that are looked at by their place, and by their being there at all
_STOPS: Final = frozenset(".;?!")
_STOP: Final = "|"
_SPOONS: Final = frozenset(("ml", "tsp", "tbsp", "drop", "cl"))
_SIZES: Final = ((3, "3"), (10, "10"), (31, "31"), (99, "99"), (399, "399"))
_PARTS: Final = ((0.7, ".7"), (5.0, "5."), (15.0, "15."))


def stem(word: str) -> str:
    """`word` without a common ending; both sides of a comparison lose it alike."""
    for end in _ENDS:
        if word.endswith(end) and len(word) - len(end) >= _STEM:
            return word[: -len(end)]
    return word


def tokens_of(items: Sequence[Item], book: Book) -> list[str | None]:
    """A token for each item: what kind of number, a part, a tower, or the word; None for a sign."""
    parts = {p.name.casefold() for feed in book.feeds for p in feed.parts} | {"b"}
    towers = {w for t in book.towers for w in t.name.casefold().split()} | PLACES
    return [_token(item, parts, towers) for item in items]


def _token(item: Item, parts: set[str], towers: set[str]) -> str | None:
    if isinstance(item, Quantity):
        return f"<{item.unit or item.kind}>" if item.kind == "number" else f"<{item.kind}>"
    if item.text in parts:
        return "<part>"
    if item.text in towers:
        return "<tower>"
    if item.text in _STOPS:
        return None
    return stem(item.text) if _WORD.search(item.text) else None


def signs_of(tokens: Sequence[str | None], *, level: bool) -> set[str]:
    """Words, pairs of them, whether a level is told, how many numbers, how long."""
    words = [token for token in tokens if token is not None]
    numbers = sum(word[0] == "<" and word not in ("<part>", "<tower>") for word in words)
    found = set(words) | {f"{one} {two}" for one, two in pairwise(words)}
    found |= {f"#numbers {min(_MANY, numbers)}", f"#length {min(_MANY, len(words) // 8)}"}
    return found | {"#level"} if level else found


def new_words(tokens: Sequence[str | None], known: Container[str]) -> set[str]:
    """How many of the words no other sentence has: a few are names, most of them another matter."""
    words = [token for token in tokens if token is not None and token[0] != "<"]
    new = sum(word not in known for word in words)
    return {f"#new {min(_MANY, new)}", f"#new of all {_QUARTERS * new // max(1, len(words))}"}


_QUARTERS = 4


def signs_at(items: Sequence[Item], tokens: Sequence[str | None], at: int) -> list[str]:
    """Of the number at `at`: its kind, unit and size, the words around it, where it stands."""
    item = items[at]
    assert isinstance(item, Quantity)
    kind = item.kind
    if kind == "volume":
        kind = "spoon" if item.unit in _SPOONS else "water"
    before = _words(items, tokens, range(at - 1, -1, -1))
    after = _words(items, tokens, range(at + 1, len(items)))
    found = [f"kind {kind}", f"unit {item.unit}", f"size {kind} {_size(item.number)}"]
    found += [f"-{n} {word}" for n, word in enumerate(before[:_NEAR], 1)]
    found += [f"+{n} {word}" for n, word in enumerate(after[:_NEAR], 1)]
    found += [f"before {word}" for word in _clause(before)]
    found += [f"after {word}" for word in _clause(after)]
    found += [f"-- {before[1]} {before[0]}"] if len(before) > 1 else []
    found += [f"++ {after[0]} {after[1]}"] if len(after) > 1 else []
    numbers = [n for n, one in enumerate(items) if isinstance(one, Quantity)]
    found.append(f"place {min(numbers.index(at), _NEAR)} of {min(len(numbers), _MANY)}")
    return found


def _words(items: Sequence[Item], tokens: Sequence[str | None], places: range) -> list[str]:
    """The next words in one direction, with a stop where a sentence ends."""
    found: list[str] = []
    for at in places:
        token = tokens[at]
        if token is not None:
            found.append(token)
        elif isinstance(item := items[at], Word) and item.text in _STOPS:
            found.append(_STOP)
        if len(found) == _AROUND:
            break
    return found


def _clause(words: Sequence[str]) -> list[str]:
    """Up to a stop, or to the next number and with it."""
    found: list[str] = []
    for word in words:
        if word == _STOP:
            break
        found.append(word)
        if word[0] == "<" and word not in ("<part>", "<tower>"):
            break
    return found


def _size(number: float) -> str:
    """How large, as far as it tells a meter's reading from a tank's litres."""
    if number < 0:
        return "-"
    steps = _SIZES if float(number).is_integer() else _PARTS
    return next((name for most, name in steps if number <= most), "more")
