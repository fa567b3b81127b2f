"""Numbers said as words, written as digits: "twenty two gallon", "three weeks ago"."""

from __future__ import annotations

import re
from typing import Final

from calc.units import SMALL, TENS

_SMALL: Final = {word: int(value) for word, value in SMALL.items()}
_TENS: Final = {word: int(value) // 10 for word, value in TENS.items()}
_WORD = "|".join([*_SMALL, *_TENS, "hundred", "thousand"])
_DIGIT = "zero|one|two|three|four|five|six|seven|eight|nine"
_RUN: Final = re.compile(
    rf"\b(?:{_WORD})(?:[ -](?:and )?(?:{_WORD}))*"
    rf"(?: point (?:{_WORD})(?: (?:{_DIGIT}))?)?\b"
    rf"(?: and a (half|quarter)\b)?|\bpoint (?:{_WORD})(?: (?:{_DIGIT}))?\b",
    re.IGNORECASE,
)
_DIGIT_HALF: Final = re.compile(r"\b(\d+) and (?:a|one) (half|quarter)\b(?! (?:of|full))")
_MINUS: Final = re.compile(rf"\b(?:minus|negative) (?=\d|point|{_WORD})", re.IGNORECASE)
_POINT: Final = re.compile(r"\b(\d+) point (\d+)\b")
_PART: Final = {"half": 0.5, "quarter": 0.25}
# "one" is a number before these only: not in "the kitchen one", "this one is full".
_COUNTS: Final = re.compile(
    r"[ -](?:litres?|liters?|l|gal\w*|ml|cups?|quarts?|pints?|inch\w*|cm|fingers?|drops?|days?|"
    r"weeks?|months?|hours?|minutes?|heads?|plugs?|seeds?|jugs?|buckets?|tablespoons?|teaspoons?|"
    r"percent|grams?|pounds?|ounces?|more)\b"
)
_FRACTIONS: Final = re.compile(r"^[ -](?:third|quarter|fourth|fifth|sixth|eighth|tenth)s?\b")


def in_digits(text: str) -> str:
    """`text` with its number words as digits; "one" as a pronoun and "two thirds" stay."""
    text = _MINUS.sub("-", text)
    text = _POINT.sub(r"\1.\2", text)
    text = _DIGIT_HALF.sub(lambda m: f"{int(m[1]) + _PART[m[2]]:g}", text)

    def digits(found: re.Match[str]) -> str:
        words = found[0].casefold()
        if words == "one" and not _COUNTS.match(text[found.end() :].casefold()):
            return found[0]
        if _FRACTIONS.match(text[found.end() :].casefold()):
            return found[0]
        value = _value(words)
        return found[0] if value is None else f"{value:g}"

    return _RUN.sub(digits, text)


def _value(words: str) -> float | None:
    half = re.search(r" and a (half|quarter)$", words)
    extra = _PART[half[1]] if half else 0.0
    words = words[: half.start()] if half else words
    whole, point, rest = words.partition("point ")
    parts = [w for w in re.split(r"[ -]", whole) if w and w != "and"]
    found = _whole(parts) if parts else 0.0
    if found is None:
        return None
    if point:
        tail = "".join(str(int(_SMALL.get(w, _TENS.get(w, 0) * 10))) for w in rest.split())
        return float(f"{found:g}.{tail}")
    return found + extra


def _whole(parts: list[str]) -> float | None:
    """ "twenty two" 22, "two hundred and fifty" 250, "twelve fifty" 1250, "nine hundred" 900."""
    total, run = 0.0, 0.0
    last = ""
    for word in parts:
        if word == "hundred":
            run = max(run, 1) * 100
        elif word == "thousand":
            total, run = total + max(run, 1) * 1000, 0.0
        elif word in _TENS:
            # "twelve fifty": as a meter is read aloud
            run = run * 100 + _TENS[word] * 10 if last in _SMALL and run else run + _TENS[word] * 10
        elif (last in _TENS and _SMALL[word] < 10) or last in ("hundred", "thousand") or not run:
            run += _SMALL[word]
        else:
            return None  # "two three": no number
        last = word
    return total + run
