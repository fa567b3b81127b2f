"""pint: each unit that the grammar knows, read as a person types it."""

from __future__ import annotations

from collections.abc import Iterator

import pint

from calc.units import Measures, from_si, read_depth_cm, read_temperature_c, read_volume, to_si
from tests.calc.oracles.worst import Worst, worst

_VOLUMES = {
    "l": "liter", "ml": "milliliter", "cl": "centiliter", "dl": "deciliter",
    "gal": "US_liquid_gallon", "UK gal": "imperial_gallon", "qt": "US_liquid_quart",
    "cups": "cup", "tbsp": "tablespoon", "tsp": "teaspoon", "fl oz": "fluid_ounce",
}  # fmt: skip
_US = Measures(gallon="us")
_LENGTHS = {"in": "inch", "cm": "centimeter", "mm": "millimeter"}
_MASSES = {"g": "gram", "mg": "milligram", "kg": "kilogram", "oz": "ounce", "lb": "pound"}


def units() -> Worst:
    """Volumes, lengths, masses and temperatures, typed and there and back."""
    return worst(
        _differences(),
        name="units as typed",
        oracle=f"pint {pint.__version__}",
        unit="%",
        goal=1e-6,
    )


def _differences() -> Iterator[tuple[float, str]]:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    for number in (2, 3.5, 16, 120):
        for typed, name in _VOLUMES.items():
            theirs = registry.Quantity(number, name).to("liter").magnitude
            yield _off(read_volume(f"{number} {typed}", measures=_US).litres, theirs, typed)
        for typed, name in _LENGTHS.items():
            theirs = registry.Quantity(number, name).to("centimeter").magnitude
            yield _off(read_depth_cm(f"{number} {typed}", measures=Measures()), theirs, typed)
        for typed, name in _MASSES.items():
            theirs = registry.Quantity(number, name).to("gram").magnitude
            yield _off(to_si(number, typed), theirs, typed)
            yield _off(from_si(theirs, typed), number, f"back to {typed}")
    for degrees in (40, 65, 83):
        theirs = registry.Quantity(degrees, "degF").to("degC").magnitude
        yield _off(read_temperature_c(f"{degrees} F"), theirs, "F")


def _off(ours: float, theirs: float, where: str) -> tuple[float, str]:
    return 100 * abs(ours - theirs) / theirs, where
