"""A feed as its label says: "8 ml of A and of B per gal", "Leaf 3, Root 2, Bloom 1 ml per l"."""

from __future__ import annotations

import re
from typing import Final

from bot.errors import Refusal
from bot.records.book import Book
from bot.records.facts import Feed, Part
from bot.services.facts import measures
from bot.text import plain
from calc.errors import Unreadable
from calc.units import Measures, Quantity, Rate, Word, read_rate, scan
from calc.units import read_number as number

_NAME: Final = re.compile(r"[^\W_](?:[\w'&+ -]{0,38}[\w'+])?")
_PER: Final = re.compile(
    r"\b(?:per|a|/)\s*(?:us|uk|imperial)?\s*(?:\d+\s*)?\w+\s*$|/\s*\w+\s*$", re.I
)
_BETWEEN: Final = frozenset("and of the each per part parts & + , ; : = - in for to a/b".split())
_MOST_PARTS = 5
LOWEST_GAIN, HIGHEST_GAIN = 0.05, 10.0


def read_feed(name: str, parts: str, gain: str | None, book: Book) -> Feed:
    """A feed from what stands on its label.

    Raises
    ------
    CalcError, Refusal
    """
    called = plain(name)
    if not _NAME.fullmatch(called):
        raise Refusal("no.feed_name")
    raised = (
        number(gain, wanted="EC gain", low=LOWEST_GAIN, high=HIGHEST_GAIN, unit="mS/cm")
        if gain
        else None
    )
    return Feed(
        name=called,
        parts=read_parts(parts, measures(book)),
        ec_gain_ms_per_cm=raised,
        set_on=book.local(book.now),
    )


def read_parts(text: str, mine: Measures) -> tuple[Part, ...]:
    """The parts with their label rates, in the order they are named.

    Raises
    ------
    Unreadable, Ambiguous, OutOfRange
    """
    words = plain(text)
    below = _PER.search(words)
    if below is None:
        raise Unreadable(text=text[:60], wanted="label")
    per = below[0].strip()
    each = _each(words[: below.start()])
    found = [(name, _rate(f"{amount} {per}", mine, text)) for name, amount in each]
    names = [name.casefold() for name, _ in found]
    if not 1 <= len(found) <= _MOST_PARTS or len(set(names)) != len(names):
        raise Unreadable(text=text[:60], wanted="label")
    return tuple(
        Part(name=name, g_per_l=rate.per_l) if rate.dry else Part(name=name, ml_per_l=rate.per_l)
        for name, rate in found
    )


def _rate(text: str, mine: Measures, whole: str) -> Rate:
    try:
        return read_rate(text, measures=mine)
    except Unreadable:
        raise Unreadable(text=whole[:60], wanted="label") from None


def _each(text: str) -> list[tuple[str, str]]:
    """(part name, amount as typed) for each; one amount for several parts goes to them all."""
    items = scan(text)
    numbers = [i for i in items if isinstance(i, Quantity)]
    names = _names(text, items)
    if len(numbers) == 1:
        amount = text[numbers[0].start : numbers[0].end]
        several = re.search(r"\b(each|both)\b", text, re.IGNORECASE)
        return [(name, amount) for name in names or (["A", "B"] if several else ["feed"])]
    if len(numbers) != len(names):
        raise Unreadable(text=text[:60], wanted="label")
    unit = next((i.unit for i in reversed(numbers) if i.kind in ("volume", "mass")), "ml")
    return [
        (name, f"{i.number:g} {i.unit if i.kind in ('volume', 'mass') else unit}")
        for name, i in zip(names, numbers, strict=True)
    ]


def _names(text: str, items: list[Quantity | Word]) -> list[str]:
    """Runs of words that are no joints: the parts' names, spelled as typed."""
    names: list[str] = []
    run: list[str] = []
    for item in items:
        if isinstance(item, Word) and item.text not in _BETWEEN and item.text.isalnum():
            run.append(text[item.start : item.end])
            continue
        if run:
            names.append(" ".join(run))
        run = []
    if run:
        names.append(" ".join(run))
    return [name[:32] for name in names]
