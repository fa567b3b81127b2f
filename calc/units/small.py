"""The small readings: pH, temperature, hours, watts, a price; each one number in its range."""

from __future__ import annotations

import re

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


def read_temperature_c(text: str, *, fahrenheit: bool = False) -> float:
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
    return within(name="temperature", value=celsius, low=-1, high=_HOTTEST_C, unit="C")


def read_number(text: str, *, wanted: str, low: float, high: float, unit: str) -> float:
    """One bare number, a word or two of its unit allowed behind it: "20 W", "16 h", "0.30".

    Raises
    ------
    Unreadable, OutOfRange
    """
    items = [i for i in scan(text) if not (isinstance(i, Word) and i.text in FILLER)]
    numbers = [i for i in items if isinstance(i, Quantity)]
    if len(numbers) != 1 or len(items) > 4 or numbers[0].kind not in ("number", "fraction", "rate"):
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


_HARDNESS_UNIT = re.compile(
    r"(?P<mg>mg\s*/?\s*l\b|mg per l(?:it[er]+)?|ppm)|(?P<grain>gpg|grains?|gr\b)"
    r"|(?P<dh>°?\s*d[hk]\b|°\s*[dk]?h|german)|(?P<fh>°?\s*fh?\b|french)|(?P<mmol>mmol)",
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
    found = re.search(r"\d+(?:[.,]\d+)?", text)
    if found is None:
        raise Unreadable(text=text[:60], wanted=name)
    number = float(found[0].replace(",", "."))
    unit = _HARDNESS_UNIT.search(text[found.end() :])
    if unit is None and text[found.end() :].strip(" .?!"):
        raise Unreadable(text=text[:60], wanted=name)
    if unit is None:
        raise Ambiguous(text=found[0], about="hardness", choices=("mg/L", "grains"))
    kind = str(unit.lastgroup)
    each = to_si(1, "grain_per_us_gal") if kind == "grain" else _MG_PER_L[kind]
    return within(name=name, value=number * each, low=0, high=2000, unit="mg/L")
