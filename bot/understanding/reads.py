"""A sentence that asks whether a reading is all right, and nothing else."""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.records.questions import Check
from bot.understanding.naming import only_tower
from calc.units import Quantity, Word, scan

_PH: Final = re.compile(r"\bph\s*(?:is|of|at|=|:|reads|says)?\s*(\d{1,2}(?:[.,]\d{1,2})?)\b")
_METERS: Final = frozenset("pen meter ec tds ppm cf reading reads says shows".split())
_ASKS: Final = re.compile(
    r"\?|\b(ok|okay|all right|alright|fine|good|too (high|low)|what now|ec|ph)\b"
)
# Words that may stand around a reading; any other makes it another question.
_AROUND: Final = frozenset(
    "my the a is it its it's this at of on and in for with says reads shows reading meter pen ec "
    "tds ppm cf ph ok okay all right alright fine good too high low now what today tank water temp "
    "temperature degrees so still be can that hi hello please , . ! ? : ; = - '".split()
)


def heard_reading(text: str, book: Book) -> Check | None:
    """The readings in a sentence that holds nothing but readings."""
    lowered = text.casefold()
    if not _ASKS.search(lowered) or len(text) > 120:
        return None
    ph = _PH.search(lowered)
    rest = (
        lowered[: ph.start()] + " " * (ph.end() - ph.start()) + lowered[ph.end() :]
        if ph
        else lowered
    )
    items = scan(rest)
    names = {word for tower in book.towers for word in tower.name.casefold().split()}
    words = [i.text for i in items if isinstance(i, Word)]
    if any(word not in _AROUND and word not in names for word in words):
        return None
    numbers = [i for i in items if isinstance(i, Quantity)]
    warm = [i for i in numbers if i.kind == "temperature"]
    ec = [i for i in numbers if i.kind == "ec" or (i.kind == "number" and _METERS & set(words))]
    if len(ec) > 1 or len(warm) > 1 or len(ec) + len(warm) != len(numbers):
        return None
    if not (ec or warm or ph):
        return None
    return Check(
        tower=only_tower(text, book),
        ec=_typed(rest, ec[0]) if ec else None,
        ph=ph[1] if ph else None,
        temp=rest[warm[0].start : warm[0].end] if warm else None,
    )


def _typed(text: str, found: Quantity) -> str:
    """The number with the unit that stands in front of it ("cf 27")."""
    before = re.search(r"\b(cf|ppm)\s*$", text[: found.start])
    number = text[found.start : found.end]
    return f"{number} {before[1]}" if before else number
