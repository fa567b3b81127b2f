"""The small readings: pH, temperature, hours, watts, a price; each one number in its range."""

from __future__ import annotations

import re
from collections.abc import Container

from calc.errors import Ambiguous, Unreadable, within
from calc.units.factors import to_si
from calc.units.reading import FILLER, only
from calc.units.scanning import Quantity, Word, scan

_SURELY_F = 46.0  # no root zone is this warm in C, and none this cold in F
_HOTTEST_C = 50.0
_FREEZING_F = 32.0


def read_ph(text: str) -> float:
    """ "6.1", "ph 6,1": 0 to 14.

    Raises
    ------
    Unreadable, OutOfRange
    """
    words = " ".join(w for w in text.split() if w.casefold().strip(":=") != "ph")
    found = only(words, "pH")
    if found.kind != "number":
        raise Unreadable(text=text[:60], wanted="pH")
    return within(name="pH", value=found.number, low=0, high=14, unit="")


def read_temperature_c(text: str, *, fahrenheit: bool = False, coldest_c: float = -1.0) -> float:
    """ "83F", "21 C", "21": [C], -1 to 50, where water and weather of growing plants are.

    fahrenheit: the habit of who typed it. A bare number is then F from 32 up, and asked about
    below; for the others it is C up to 45, and F from 46.

    Raises
    ------
    Unreadable, OutOfRange, Ambiguous
        A bare number that either scale could mean.
    """
    found = only(text.replace("degrees", "").replace("deg", ""), "temperature")
    if found.kind not in ("temperature", "number"):
        raise Unreadable(text=text[:60], wanted="temperature")
    unit = found.unit
    if not unit and fahrenheit and 0 <= found.number < _FREEZING_F:
        raise Ambiguous(text=f"{found.number:g}", about="temperature", choices=("c", "f"))
    if not unit:
        unit = "f" if fahrenheit or found.number >= _SURELY_F else "c"
    celsius = to_si(found.number, unit)
    return within(name="temperature", value=celsius, low=coldest_c, high=_HOTTEST_C, unit="C")


# How a unit is written out. Any other word beside a number may be another unit, or another thing.
_WRITTEN = {
    "W": "w watt watts",
    "h": "h hr hrs hour hours day per",
    "hours": "h hr hrs hour",
    "ppfd": "umol µmol μmol m2 s /",
    "lx": "lx lux",
    "%": "percent per cent",
    "min": "m min mins minute minutes every",
    "drops": "drop drops ml per /",
    "mL": "ml",
    "mg/L": "mg l liter litre per /",
    "kg/L": "kg l liter litre per /",
    "mS/cm": "ms cm ec /",
    "x label": "x label strength times",
}


def read_number(
    text: str, *, wanted: str, low: float, high: float, unit: str, also: Container[str] = ()
) -> float:
    """One bare number: "20 W", "16 h", "0.30"; beside it only its unit, its name and `also`.

    Raises
    ------
    Unreadable, OutOfRange
    """
    name = wanted.casefold()
    beside = (_WRITTEN.get(unit, unit.casefold()), _WRITTEN.get(name, ""), name)
    allowed = {word for words in beside for word in words.split()}
    items = list(scan(text))
    words = [i.text for i in items if isinstance(i, Word)]
    numbers = [i for i in items if isinstance(i, Quantity)]
    strange = [w for w in words if w not in FILLER and w not in allowed and w not in also]
    if strange or len(numbers) != 1 or numbers[0].kind not in ("number", "fraction", "rate"):
        raise Unreadable(text=text[:60], wanted=wanted)
    if numbers[0].unit and numbers[0].kind != "fraction":
        raise Unreadable(text=text[:60], wanted=wanted)
    return within(name=wanted, value=numbers[0].number, low=low, high=high, unit=unit)


def read_each(text: str) -> Quantity | None:
    """ "48 ml each", "48 of each": the one amount of every part; None where parts are named."""
    items = [i for i in scan(text) if not (isinstance(i, Word) and i.text in FILLER - {"a"})]
    words = {i.text for i in items if isinstance(i, Word)}
    numbers = [i for i in items if isinstance(i, Quantity)]
    if len(numbers) == 1 and words and words <= {"each", "both", "part", "parts", "and"}:
        return numbers[0]
    if len(numbers) == 1 and not words and numbers[0].kind == "volume":
        return numbers[0]
    return None


_HARDNESS = re.compile(
    r"(?:hardness|alkalinity|calcium|sodium|chloride|sulphate|sulfate)?\s*(?:is|of|[:=])?\s*"
    r"(?P<n>\d[\d.,\s]*?)\s*(?:(?P<mg>mg\s*/\s*l(?:it(?:er|re))?|mg per l(?:it(?:er|re))?|ppm)"
    r"|(?P<grain>gpg|grains?(?:\s*(?:/|per|a)\s*(?:us\s*)?gal(?:lon)?)?)"
    r"|(?P<dh>°\s*(?:d|k)h?|dh|dkh|german degrees?)|(?P<fh>°?\s*fh|french degrees?)"
    r"|(?P<mmol>mmol(?:\s*/\s*l)?))?\s*(?:as\s*)?(?:caco3)?\s*[.?!]*",
    re.IGNORECASE,
)
_MG_PER_L = {"mg": 1.0, "dh": 17.848, "fh": 10.0, "mmol": 100.09}


def read_hardness(text: str, *, name: str = "hardness") -> float:
    """ "154 mg/L", "9 grains", "8.6 °dH", "1.5 mmol/l" -> [mg/L as CaCO3].

    References
    ----------
    Definitions: a grain in a US gallon 17.12 mg/L, a German degree 10 mg/L of CaO (17.85 mg/L of
    CaCO3), a French degree 10 mg/L, a mmol 100.09 mg.

    Raises
    ------
    Unreadable, OutOfRange
    Ambiguous
        A number without a unit: mg/L or grains.
    """
    found = _HARDNESS.fullmatch(text.strip())
    if found is None:
        raise Unreadable(text=text[:60], wanted=name)
    number = only(found["n"].strip(), name).number
    units = [kind for kind in ("mg", "grain", "dh", "fh", "mmol") if found[kind]]
    if not units:
        raise Ambiguous(text=found["n"].strip(), about="hardness", choices=("mg/L", "grains"))
    kind = units[0]
    each = to_si(1, "grain_per_us_gal") if kind == "grain" else _MG_PER_L[kind]
    return within(name=name, value=number * each, low=0, high=2000, unit="mg/L")


_DURATION = re.compile(
    r"(?:(?:for|about|in)(?![a-z])|~)?\s*(?P<n>.+?)?\s*"
    r"(?P<unit>minutes?|mins?|m|hours?|hrs?|h|days?|d|weeks?|wks?|w|fortnights?|months?)?\s*(?:long|away)?",
    re.IGNORECASE,
)
_DAYS_IN = {"m": 1 / 1440, "h": 1 / 24, "d": 1.0, "w": 7.0, "f": 14.0, "mo": 30.0}


def read_duration_d(text: str, *, bare: str, wanted: str, low: float, high: float) -> float:
    """ "9", "2 weeks", "36 hours", "half an hour", "a fortnight" -> [d], a month counted as 30.

    bare: the unit of a number without one, "h" or "d"; low, high: [d].

    Raises
    ------
    Unreadable, OutOfRange
    """
    words = " ".join(text.casefold().split())
    found = _DURATION.fullmatch(words)
    number, unit = (found["n"], found["unit"]) if found else (None, None)
    if found is None or (number is None and unit is None):
        raise Unreadable(text=text[:60], wanted=wanted)
    told = (number or "a").removesuffix(" of").strip()
    count = 1.0 if told in ("a", "an") else 0.5 if told in ("half a", "half an") else None
    if count is None:
        one = only(told, wanted)
        if one.kind not in ("number", "fraction") or one.unit:
            raise Unreadable(text=text[:60], wanted=wanted)
        count = one.number
    key = unit or bare
    each = _DAYS_IN["mo" if key.startswith("mo") else key[0]]
    return within(name=wanted, value=count * each, low=low, high=high, unit="d")
