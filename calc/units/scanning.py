"""A text -> the quantities and words in it, in order, with where they stand."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

from calc.errors import CalcError
from calc.units.lexicon import LONGEST, PLAIN_ENGLISH, UNITS
from calc.units.numerals import STARTS, Numeral, Token, numeral, tokens

_SCALES = {500, 640, 700}


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number with its unit, as typed.

    kind: volume | length | mass | ec | temperature | fraction | number | rate
    unit: a key of the lexicon ("gal", "in", "ms" ...); "" for a bare number; for a rate
    "ml/gal", "g/l" ...
    scale: the TDS scale when the text names one (500, 640, 700).
    """

    kind: str
    number: float
    unit: str
    start: int
    end: int
    scale: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """Anything that is no quantity: a word or a sign."""

    text: str
    start: int
    end: int


Item = Quantity | Word


def scan(text: str) -> list[Item]:
    """Every quantity and word of `text`, in order.

    A number that cannot be read ("1,500", "1.2.3") stays a Word; the strict readers of one
    option say why.
    """
    cut = tokens(text)
    items: list[Item] = []
    at = 0
    while at < len(cut):
        here = cut[at]
        found = None
        if here.kind == "number" or here.text in STARTS:
            with suppress(CalcError):
                found = quantity(cut, at)
        if found is None:
            items.append(Word(text=here.text, start=here.start, end=here.end))
            at += 1
        else:
            item, at = found
            items.append(item)
    return items


def quantity(cut: Sequence[Token], at: int) -> tuple[Quantity, int] | None:
    """The quantity that starts at token `at` and the token after it, or None."""
    number = numeral(cut, at)
    if number is None:
        number = _an(cut, at)
    if number is None:
        return None
    named = _unit(cut, number.after, fraction=number.fraction)
    if named is None and number.value >= 100 and _next(cut, number.after) in ("us", "µs"):
        named = "ec", "us", number.after + 1  # no meter shows 100 gallons
    if named is None:
        kind = "fraction" if number.fraction else "number"
        return _quantity(cut, at, number.after, kind, number.value, ""), number.after
    kind, unit, after = named
    value = number.value / 100 if unit == "percent" else number.value
    if kind in ("volume", "mass") and (per := _per(cut, after)) is not None:
        unit, after = f"{unit}/{per[0]}", per[1]
        return _quantity(cut, at, after, "rate", value, unit), after
    scale, after = _tds_scale(cut, after) if unit == "ppm" else (None, after)
    return _quantity(cut, at, after, kind, value, unit, scale), after


def _next(cut: Sequence[Token], at: int) -> str:
    return cut[at].text if at < len(cut) else ""


def _quantity(
    cut: Sequence[Token],
    at: int,
    after: int,
    kind: str,
    number: float,
    unit: str,
    scale: int | None = None,
) -> Quantity:
    return Quantity(
        kind=kind,
        number=number,
        unit=unit,
        start=cut[at].start,
        end=cut[after - 1].end,
        scale=scale,
    )


def _an(cut: Sequence[Token], at: int) -> Numeral | None:
    """ "a gallon", "an inch", "a finger": one of it."""
    if cut[at].text not in ("a", "an") or at + 1 >= len(cut):
        return None
    word = cut[at + 1].text
    if word in PLAIN_ENGLISH or (word,) not in UNITS:
        return None
    return Numeral(value=1.0, fraction=False, after=at + 1)


def _unit(cut: Sequence[Token], at: int, *, fraction: bool) -> tuple[str, str, int] | None:
    """The unit at token `at`: (kind, unit, after). "half a gallon" may have an "a" between."""
    if fraction and at < len(cut) and cut[at].text in ("a", "of"):
        skip = at + 1 + (at + 1 < len(cut) and cut[at].text == "of" and cut[at + 1].text == "a")
        inner = _unit(cut, skip, fraction=False)
        if inner is not None and cut[skip].text not in PLAIN_ENGLISH:
            return inner
        return None
    for length in range(min(LONGEST, len(cut) - at), 0, -1):
        words = tuple(token.text for token in cut[at : at + length])
        if words in UNITS and not _is_plain_in(cut, at, length):
            kind, unit = UNITS[words]
            return kind, unit, at + length
    return None


def _is_plain_in(cut: Sequence[Token], at: int, length: int) -> bool:
    """ "4 in the tank", "78 in 70 L": the word is English here, not a unit."""
    if length > 1 or cut[at].text != "in":
        return False
    if at + 1 < len(cut) and cut[at + 1].kind == "number":
        return True
    behind = cut[at + 1].text if at + 1 < len(cut) else ""
    return behind in ("the", "it", "there", "my", "our", "this", "that", "a", "an", "total", "all")


def _per(cut: Sequence[Token], at: int) -> tuple[str, int] | None:
    """ "(of) each (part) per litre", "/gal", "a gallon": (unit, after)."""
    while at < len(cut) and cut[at].text in ("of", "each", "both", "either", "part", "parts"):
        at += 1
    if at + 1 >= len(cut) or cut[at].text not in ("per", "/", "a", "an", "to", "every", "for"):
        return None
    link = cut[at].text
    at += 1
    if link in ("to", "for", "every", "per") and cut[at].text in ("a", "the", "each", "every"):
        at += 1
    if at < len(cut) and cut[at].text == "1":
        at += 1
    elif link == "for":
        return None
    named = _unit(cut, at, fraction=False)
    if named is None or named[1] not in ("l", "gal", "us_gal", "uk_gal", "ml"):
        return None
    return named[1], named[2]


def _tds_scale(cut: Sequence[Token], at: int) -> tuple[int | None, int]:
    """ "(500)", "500 scale", "on the 700 scale" behind a ppm number: (scale, after)."""
    i = at
    while i < len(cut) and cut[i].text in ("(", "on", "the", "at", "@", "x"):
        i += 1
    if i < len(cut) and cut[i].text in ("500", "640", "700"):
        scale = int(cut[i].text)
        i += 1
        while i < len(cut) and cut[i].text in ("scale", ")"):
            i += 1
        return scale, i
    return None, at
