"""Numbers in the reader's own units, rounded to what can be read off a tank, meter or tape."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, datetime
from fractions import Fraction
from typing import Final

from babel.dates import format_date
from babel.numbers import format_currency

from bot.records.answer import Measure
from bot.records.facts import Member
from bot.words import sentence
from calc.units import Spoons, from_si

_SMALL_GALLONS = 0.25
BY_ONE = 50.0
_HALF_UP = 1e-9  # 1.275 is said 1.28, whatever its nearest binary number
_LB_PER_KG = 2.20462
_OZ_PER_LB = 16.0
_MOST_OZ = 32.0
_NAMED_SHARES: Final = {1.0: "full", 0.5: "half", 0.25: "quarter", 0.75: "three_quarters"}
_NAMED_PARTS: Final = {
    0.0: "empty", 0.25: "quarter", 0.333: "third", 0.5: "half", 0.667: "two_thirds",
    0.75: "three_quarters", 1.0: "full",
}  # fmt: skip


def number(value: float, digits: int = 3) -> str:
    """`value` to `digits` significant places, no trailing zeros, a true minus."""
    if value != value or abs(value) == float("inf"):
        return "?"
    whole = len(str(int(abs(value))))
    text = f"{value:.{max(0, digits - whole)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", "−") if text not in ("-0", "0") else "0"


def pourable(amount: float) -> float:
    """Below 5 to 0.1, to 10 by 0.5, to 50 by 1, above by 5 (mL or g): never 5 % off."""
    step = 0.1 if amount < 5 else 0.5 if amount < 10 else 1.0 if amount <= BY_ONE else 5.0
    return round(amount / step) * step


def _poured_down(ml: float) -> float:
    """What corrects pH, never rounded up: to 0.1 below 5 mL, 0.5 to 10, 1 above."""
    step = 0.1 if ml < 5 else 0.5 if ml < 10 else 1.0
    return math.floor(ml / step + _HALF_UP) * step


def measure(shown: Measure, member: Member) -> str:
    """One Measure as text with its unit."""
    return _SHOWN[shown.of](shown.value, member)


def water(litres: float, member: Member) -> str:
    """A volume in the reader's unit."""
    if member.units == "us":
        gallons = from_si(litres, "us_gal")
        if 0 < gallons < _SMALL_GALLONS:
            return _litres(litres)
        return f"{_readable(gallons)} gal"
    if member.units == "uk" and member.gallon == "uk":
        return f"{_readable(from_si(litres, 'uk_gal'))} UK gal"
    return _litres(litres)


def unit_of_water(member: Member) -> str:
    """The unit in which this reader's tank is told."""
    if member.units == "us":
        return "gal"
    return "UK gal" if member.units == "uk" and member.gallon == "uk" else "L"


def shown_water(litres: float, member: Member) -> float:
    """A volume as a bare number in that unit."""
    unit = {"gal": "us_gal", "UK gal": "uk_gal"}.get(unit_of_water(member))
    return from_si(litres, unit) if unit else litres


def _readable(volume: float) -> str:
    """One decimal is what a tank can be read to; small ones get two."""
    return number(round(volume, 1 if abs(volume) >= 3 else 2))


def _litres(litres: float) -> str:
    if 0 < abs(litres) < 1:
        return f"{number(litres * 1000)} mL"
    return f"{_readable(litres)} L"


def _water_other(litres: float, member: Member) -> str:
    """The same volume in the other habit's unit."""
    if member.units == "us" or (member.units == "uk" and member.gallon == "uk"):
        return _litres(litres)
    return f"{number(from_si(litres, 'us_gal'))} US gal"


def _share(value: float, member: Member) -> str:
    named = _NAMED_SHARES.get(round(value, 3))
    if named:
        return sentence(f"share.{named}")
    return sentence("share.other").format(percent=number(value * 100, 2))


def _part(value: float, member: Member) -> str:
    named = _NAMED_PARTS.get(round(value, 3))
    return sentence(f"fraction.{named}") if named else f"{number(value * 100)} %"


def _rate(value: float, member: Member, unit: str) -> str:
    if member.units == "us":
        return f"{number(value * from_si(1, 'l') / from_si(1, 'us_gal'))} {unit} per gal"
    if member.units == "uk" and member.gallon == "uk":
        return f"{number(value * from_si(1, 'l') / from_si(1, 'uk_gal'))} {unit} per UK gal"
    return f"{number(value)} {unit} per L"


def _clock(minutes: float, member: Member) -> str:
    """A time of day, given in minutes from midnight."""
    return _of_day(minutes, member.units)


def _of_day(minutes: float, units: str) -> str:
    hour, minute = divmod(int(minutes), 60)
    if units != "us":
        return f"{hour:02d}:{minute:02d}"
    half = "am" if hour < 12 else "pm"
    return f"{hour % 12 or 12}:{minute:02d} {half}"


def _degrees(celsius: float, member: Member) -> str:
    """A difference of temperatures."""
    return f"{number(celsius * 1.8, 2)} °F" if member.units == "us" else f"{number(celsius, 2)} °C"


def _temperature(celsius: float, member: Member) -> str:
    if member.units == "us":
        return f"{number(round(from_si(celsius, 'f')))} °F"
    return f"{number(round(celsius, 1))} °C"


def _weight(kilograms: float, member: Member) -> str:
    if member.units == "us":
        return f"{number(kilograms * _LB_PER_KG)} lb ({number(kilograms)} kg)"
    return f"{number(kilograms)} kg"


def _mass(grams: float, member: Member) -> str:
    """A harvest in the reader's unit: ounces to two pounds, then pounds; grams to a kilogram."""
    if member.units == "us":
        ounces = from_si(grams, "oz")
        return f"{number(ounces)} oz" if ounces < _MOST_OZ else f"{number(ounces / _OZ_PER_LB)} lb"
    return f"{number(grams)} g" if grams < 1000 else f"{number(grams / 1000)} kg"


def _mass_both(grams: float, member: Member) -> str:
    ounces = from_si(grams, "oz")
    metric = f"{number(grams)} g" if grams < 1000 else f"{number(grams / 1000)} kg"
    us = f"{ounces:.1f} oz" if ounces < _MOST_OZ else f"{number(ounces / _OZ_PER_LB)} lb"
    return f"{us} ({metric})" if member.units == "us" else f"{metric} ({us})"


_SHOWN: Final[dict[str, Callable[[float, Member], str]]] = {
    "water": water,
    "water_other": _water_other,
    "water_l": lambda v, m: _litres(v),
    "ec": lambda v, m: number(round(v + _HALF_UP, 2)),
    "ec_fine": lambda v, m: number(round(v, 2)),
    "ec_about": lambda v, m: f"{round(v, 6):.1f}",
    "share": _share,
    "part": _part,
    "percent": lambda v, m: f"{number(v * 100)} %",
    "percent_whole": lambda v, m: f"{number(round(v * 100))} %",
    "depth_in": lambda v, m: f"{number(from_si(v, 'in'))} in",
    "water_plain": lambda v, m: f"{_readable(shown_water(v, m))} {unit_of_water(m)}",
    "bare_in": lambda v, m: number(from_si(v, "in")),
    "bare_water": lambda v, m: _readable(shown_water(v, m)),
    "bare_pour": lambda v, m: number(pourable(v)),
    "unit": lambda v, m: unit_of_water(m),
    "depth_cm": lambda v, m: f"{number(v)} cm",
    "depth_mm": lambda v, m: f"{number(v * 10)} mm",
    "minutes": lambda v, m: f"{number(v)} min",
    "number": lambda v, m: number(v),
    "rate_ml": lambda v, m: _rate(v, m, "mL"),
    "rate_g": lambda v, m: _rate(v, m, "g"),
    "weight": _weight,
    "mass": _mass,
    "mass_both": _mass_both,
    "stock_ml": lambda v, m: f"{number(v)} mL" if v < 1000 else f"{number(v / 1000)} L",
    "stock_g": _mass,
    "stock_count": lambda v, m: number(v),
    "ph": lambda v, m: f"{v:.1f}",
    "temperature": _temperature,
    "degrees": _degrees,
    "hours": lambda v, m: f"{number(v)} h",
    "dli": lambda v, m: number(v),
    "kwh": lambda v, m: f"{number(v)} kWh",
    "money": lambda v, m: format_currency(v, m.currency, locale="en"),
    "clock": _clock,
    "ml": lambda v, m: f"{number(v)} mL",
    "pour_down": lambda v, m: f"{number(_poured_down(v))} mL",
}


def day(value: date) -> str:
    """A date as a person says it."""
    return format_date(value, "d MMM", locale="en")


def weekday(value: date) -> str:
    """A day to act on: Fri 8 May."""
    return format_date(value, "EEE d MMM", locale="en")


def moment(value: datetime, units: str = "us") -> str:
    """A moment on the reader's own clock: Mon 11 May, 2:00 pm; in metric units 14:00."""
    return f"{weekday(value)}, {_of_day(value.hour * 60 + value.minute, units)}"


def kitchen(spoons: Spoons) -> str:
    """1/4 cup + 1 tsp, 30 drops."""
    if spoons.drops:
        return f"{spoons.drops} drop{'s' * (spoons.drops > 1)}"
    said = []
    if spoons.cup_quarters:
        said.append(f"{_quarters(spoons.cup_quarters)} cup{'s' * (spoons.cup_quarters > 4)}")
    if spoons.tablespoons:
        said.append(f"{spoons.tablespoons} tbsp")
    if spoons.teaspoon_quarters:
        said.append(f"{_quarters(spoons.teaspoon_quarters)} tsp")
    return " + ".join(said)


def _quarters(count: int) -> str:
    whole, rest = divmod(count, 4)
    if not rest:
        return str(whole)
    part = str(Fraction(rest, 4))
    return f"{whole} {part}" if whole else part
