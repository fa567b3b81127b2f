"""Digits, fractions and number words. Other scripts' digits and powers are no numbers here."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from calc.errors import Ambiguous, Unreadable
from calc.units.lexicon import FRACTION_WORDS, SMALL, SYMBOL_FRACTIONS, TENS

_TOKEN = re.compile(
    r"(?P<number>[0-9]+(?:[.,][0-9]+)*|\.[0-9]+)|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)*)|(?P<sign>\S)"
)
_UNIT_SLASH = {("ms", "cm"), ("ms", "m"), ("us", "cm"), ("µs", "cm"), ("ds", "m")}
_LONGEST_NUMBER = 12
# What a number, or the "a" of "a gallon", may begin with when it is no digit.
STARTS = frozenset(
    {*SMALL, *TENS, *SYMBOL_FRACTIONS, "a", "an", "couple", "half", "halfway", "quarter", "third",
     "-", "−"}
)  # fmt: skip


class Token(NamedTuple):
    """One lower-case word, number or sign and where it stands in the text."""

    text: str
    kind: str
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Numeral:
    """A number read from the tokens up to (not including) `after`."""

    value: float
    fraction: bool
    after: int


def tokens(text: str) -> list[Token]:
    """`text` cut into words, numbers and signs; the work grows with its length only."""
    text = text.replace("’", "'").replace("μ", "µ")
    cut = [
        Token(m[0].lower(), m.lastgroup or "sign", m.start(), m.end())
        for m in _TOKEN.finditer(text)
    ]
    return _joined(cut)


def _joined(cut: list[Token]) -> list[Token]:
    """mS/cm and °C as one word each."""
    out: list[Token] = []
    i = 0
    while i < len(cut):
        here = cut[i]
        if here.text == "°" and i + 1 < len(cut) and cut[i + 1].text in ("c", "f"):
            out.append(_merge(cut[i : i + 2]))
            i += 2
        elif (
            i + 2 < len(cut)
            and cut[i + 1].text == "/"
            and ((here.text, cut[i + 2].text) in _UNIT_SLASH)
        ):
            out.append(_merge(cut[i : i + 3]))
            i += 3
        else:
            out.append(here)
            i += 1
    return out


def _merge(parts: Sequence[Token]) -> Token:
    return Token(
        text="".join(p.text for p in parts), kind="word", start=parts[0].start, end=parts[-1].end
    )


def digits(text: str) -> float:
    """The value of a run of digits with a decimal point or comma.

    Raises
    ------
    Ambiguous
        "1,500" may be one and a half or fifteen hundred.
    Unreadable
        Several separators ("1.2.3") or more than 12 digits.
    """
    if len(text) > _LONGEST_NUMBER:
        raise Unreadable(text=text[:40], wanted="number")
    whole, comma, rest = text.partition(",")
    if comma and len(rest) == 3 and whole.strip("0") and len(whole) <= 3:
        raise Ambiguous(text=text, about="thousands", choices=(whole + rest, f"{whole}.{rest}"))
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise Unreadable(text=text, wanted="number") from None


def numeral(cut: Sequence[Token], at: int) -> Numeral | None:
    """The number that starts at token `at`, or None when none does."""
    sign = 1.0
    start = at
    if _text(cut, at) in ("-", "−") and _free_before(cut, at) and _touches(cut, at):
        sign, at = -1.0, at + 1
    found = _counted(cut, at) or _worded(cut, at) or _bare_fraction(cut, at)
    if found is None or (sign < 0 and cut[start + 1].kind != "number"):
        return None
    return Numeral(value=sign * found.value, fraction=found.fraction, after=found.after)


def _text(cut: Sequence[Token], at: int) -> str:
    return cut[at].text if 0 <= at < len(cut) else ""


def _free_before(cut: Sequence[Token], at: int) -> bool:
    """A minus binds to the number behind it only when nothing touches it in front."""
    return at == 0 or cut[at - 1].end < cut[at].start


def _touches(cut: Sequence[Token], at: int) -> bool:
    return at + 1 < len(cut) and cut[at].end == cut[at + 1].start


def _counted(cut: Sequence[Token], at: int) -> Numeral | None:
    """12, 1.5, 1,5, 1/2, 1 1/2, 1½, 2 thirds, 2 and a half."""
    if at >= len(cut) or cut[at].kind != "number":
        return None
    value = digits(cut[at].text)
    if (over := _over(cut, at)) is not None:
        return Numeral(value=over, fraction=over < 1, after=at + 3)
    nxt = _text(cut, at + 1)
    if nxt in SYMBOL_FRACTIONS:
        return Numeral(value=value + SYMBOL_FRACTIONS[nxt], fraction=False, after=at + 2)
    mixed = _over(cut, at + 1)
    if mixed is not None and mixed < 1 and value.is_integer():
        return Numeral(value=value + mixed, fraction=False, after=at + 4)
    return _with_fraction_word(cut, at + 1, value)


def _over(cut: Sequence[Token], at: int) -> float | None:
    """a/b at `at`, when both are plain digits and b is not zero."""
    if at + 2 >= len(cut) or cut[at + 1].text != "/":
        return None
    if cut[at].kind != "number" or cut[at + 2].kind != "number":
        return None
    below = digits(cut[at + 2].text)
    return digits(cut[at].text) / below if below else None


def _worded(cut: Sequence[Token], at: int) -> Numeral | None:
    """twenty-two, one hundred and fifty, one point nine, two thirds, three and a half."""
    total, after = _cardinal(cut, at)
    if after == at:
        return None
    if _text(cut, after) == "point" and _text(cut, after + 1) in SMALL:
        places = ""
        after += 1
        while (word := _text(cut, after)) in SMALL and SMALL[word] < 10:
            places += str(int(SMALL[word]))
            after += 1
        return Numeral(value=total + float("0." + places), fraction=False, after=after)
    return _with_fraction_word(cut, after, total)


def _cardinal(cut: Sequence[Token], at: int) -> tuple[float, int]:
    total, last, i = 0.0, 0.0, at
    thousands = 0.0
    while True:
        word = _text(cut, i)
        if word == "-" and i > at and _text(cut, i + 1) in SMALL and last >= 20:
            i += 1
            continue
        if word == "and" and i > at and total >= 100 and _text(cut, i + 1) in (*SMALL, *TENS):
            i += 1
            continue
        if word in TENS and (i == at or total % 100 == 0):
            last = TENS[word]
            total += last
        elif word in SMALL and (i == at or (last >= 20 and SMALL[word] < 10) or last == 100):
            last = SMALL[word]
            total += last
        elif word == "thousand" and i > at and not thousands:
            thousands, total, last = total * 1000, 0.0, 100.0
        elif word == "hundred" and i > at and 0 < total < 100:
            total, last = total * 100, 100.0
        else:
            return thousands + total, i
        i += 1


def _with_fraction_word(cut: Sequence[Token], at: int, value: float) -> Numeral:
    """`value`, or `value` thirds, or `value` and a half, from what stands at `at`."""
    behind = at + 1 if _text(cut, at) == "-" and _text(cut, at + 1) in FRACTION_WORDS else at
    word = _text(cut, behind)
    if word in FRACTION_WORDS and word != "half" and value.is_integer():
        part = value * FRACTION_WORDS[word]
        return Numeral(value=part, fraction=part < 1, after=behind + 1)
    if _text(cut, at) == "and" and _text(cut, at + 1) in ("a", "half", "quarter"):
        skip = 2 if _text(cut, at + 1) == "a" else 1
        word = _text(cut, at + skip)
        if word in ("half", "quarter", "third"):
            more = value + FRACTION_WORDS[word]
            return Numeral(value=more, fraction=False, after=at + skip + 1)
    return Numeral(value=value, fraction=False, after=at)


def _bare_fraction(cut: Sequence[Token], at: int) -> Numeral | None:
    """half, a third, ½, a couple of."""
    word = _text(cut, at)
    if word in SYMBOL_FRACTIONS:
        return Numeral(value=SYMBOL_FRACTIONS[word], fraction=True, after=at + 1)
    if word in ("a", "an", "one") and _text(cut, at + 1) in FRACTION_WORDS:
        return Numeral(value=FRACTION_WORDS[_text(cut, at + 1)], fraction=True, after=at + 2)
    if word == "couple" or (word == "a" and _text(cut, at + 1) == "couple"):
        after = at + (1 if word == "couple" else 2)
        return Numeral(value=2.0, fraction=False, after=after + (_text(cut, after) == "of"))
    if word in ("half", "halfway", "quarter", "third"):
        return Numeral(value=FRACTION_WORDS[word], fraction=True, after=at + 1)
    return None
