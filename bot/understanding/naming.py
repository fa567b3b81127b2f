"""Which of a person's towers a sentence names, and which tank is of a size that it tells."""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import suppress
from typing import Final

from bot.records.book import Book
from bot.records.facts import Tower
from calc.errors import CalcError
from calc.units import Measures, read_level, read_volume

STAND_IN: Final = Measures(gallon="us", jug_l=1.0)  # only places are wanted here, not amounts
ALIKE = 0.06  # a nominal tank against its counted litres
_WORD: Final = re.compile(r"[^\W_]+")


def towers_in(text: str, book: Book) -> tuple[Tower, ...]:
    """Every tower named in full or by a word that only it has; "back porch" is no "porch"."""
    said = f" {' '.join(_WORD.findall(text.casefold()))} "
    whole = [t for t in book.towers if f" {t.name.casefold()} " in said]
    whole = [t for t in whole if not any(_within(t, other) for other in whole)]
    owners: dict[str, list[Tower]] = {}
    for tower in book.towers:
        for word in tower.name.casefold().split():
            owners.setdefault(word, []).append(tower)
    parts = [o[0] for w, o in owners.items() if len(o) == 1 and w != "tower" and f" {w} " in said]
    return tuple(dict.fromkeys([*whole, *parts]))


def only_tower(text: str, book: Book) -> str | None:
    """The name of the one tower that is named."""
    found = towers_in(text, book)
    return found[0].name if len(found) == 1 else None


def of_size(text: str, towers: Iterable[Tower], *, alike: float = ALIKE) -> tuple[Tower, ...]:
    """The towers whose tank holds what `text` says, in either gallon."""
    sizes = []
    for gallon in ("us", "uk"):
        with suppress(CalcError):
            sizes.append(read_volume(text, measures=Measures(gallon=gallon, jug_l=1.0)).litres)
    return tuple(t for t in towers if any(abs(s - t.tank_l) <= alike * t.tank_l for s in sizes))


def is_level(text: str) -> bool:
    """The whole text is a level, as when the bot has just asked how full the tank is."""
    try:
        read_level(text, measures=STAND_IN)
    except CalcError:
        return False
    return True


def _within(one: Tower, other: Tower) -> bool:
    return one is not other and one.name.casefold() in other.name.casefold()
