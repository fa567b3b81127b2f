"""What one of each unit is in SI: litre, centimetre, gram. The only user of pint.

pint is handed the fixed names below and never a person's text: it reads "5 C" as coulombs and
`9**9**9 l` as a sum to be worked out. The registry is built once, on first use.

References
----------
Kitchen measures are the US ones unless metric is asked for (5 mL and 15 mL spoons). A finger is
0.75 in (19 mm) until the member measures theirs: common practice, no source.
"""

from __future__ import annotations

from functools import cache

FINGER_CM = 1.9
METRIC_SPOON_ML = {"tsp": 5.0, "tbsp": 15.0}
DROPS_PER_ML = 20.0


@cache
def _factors() -> dict[str, float]:
    import pint  # costs 0.3 s, so only when the first quantity is read

    one: pint.UnitRegistry[float] = pint.UnitRegistry()
    return {
        "l": 1.0,
        "ml": one("1 milliliter").to("liter").magnitude,
        "cl": one("1 centiliter").to("liter").magnitude,
        "dl": one("1 deciliter").to("liter").magnitude,
        "us_gal": one("1 US_liquid_gallon").to("liter").magnitude,
        "uk_gal": one("1 imperial_gallon").to("liter").magnitude,
        "qt": one("1 US_liquid_quart").to("liter").magnitude,
        "pt": one("1 pint").to("liter").magnitude,
        "cup": one("1 cup").to("liter").magnitude,
        "tbsp": one("1 tablespoon").to("liter").magnitude,
        "tsp": one("1 teaspoon").to("liter").magnitude,
        "uk_fl_oz": one("1 imperial_fluid_ounce").to("liter").magnitude,
        "fl_oz": one("1 fluid_ounce").to("liter").magnitude,
        "in": one("1 inch").to("centimeter").magnitude,
        "cm": 1.0,
        "mm": one("1 millimeter").to("centimeter").magnitude,
        "g": 1.0,
        "mg": one("1 milligram").to("gram").magnitude,
        "kg": one("1 kilogram").to("gram").magnitude,
        "oz": one("1 ounce").to("gram").magnitude,
        "lb": one("1 pound").to("gram").magnitude,
        "grain_per_us_gal": one("1 grain / US_liquid_gallon").to("milligram / liter").magnitude,
    }


def to_si(number: float, unit: str) -> float:
    """`number` of `unit` in litres, centimetres, grams or degrees Celsius.

    Raises
    ------
    KeyError
        For a unit that depends on the person (gal, jug, finger, drop, ppm): `reading` resolves it.
    """
    if unit == "f":
        return (number - 32) / 1.8
    if unit == "c":
        return number
    return number * _factors()[unit]


def from_si(value: float, unit: str) -> float:
    """The number of `unit` in `value` litres, centimetres, grams or degrees Celsius."""
    if unit == "f":
        return value * 1.8 + 32
    if unit == "c":
        return value
    return value / _factors()[unit]
