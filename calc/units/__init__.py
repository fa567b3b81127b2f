"""The only grammar of quantities people type, and the only place that asks pint for a factor.

lexicon   which words name which unit
factors   what one of each unit is in SI (pint)
numerals  digits, fractions and number words
scanning  a text -> the quantities in it, with where they stand
reading   one option's text -> one volume, EC, strength, label rate ...
small     pH, temperature, hardness, a duration, a plain number
levels    how full a tank is, in any of the trade's words
everyday  millilitres back into cups and spoons
"""

from calc.units.everyday import Spoons, spoons
from calc.units.factors import DROPS_PER_ML, FINGER_CM, from_si, to_si
from calc.units.levels import Level, find_level, read_level
from calc.units.lexicon import SMALL, TENS, UNIT_WORDS
from calc.units.reading import (
    Conductivity,
    Measures,
    Rate,
    Volume,
    conductivity,
    read_amounts,
    read_conductivity,
    read_depth_cm,
    read_rate,
    read_strength,
    read_volume,
    volume,
)
from calc.units.scanning import Quantity, Word, scan
from calc.units.small import (
    read_duration_d,
    read_each,
    read_hardness,
    read_number,
    read_ph,
    read_temperature_c,
)

__all__ = [
    "DROPS_PER_ML",
    "FINGER_CM",
    "SMALL",
    "TENS",
    "UNIT_WORDS",
    "Conductivity",
    "Level",
    "Measures",
    "Quantity",
    "Rate",
    "Spoons",
    "Volume",
    "Word",
    "conductivity",
    "find_level",
    "from_si",
    "read_amounts",
    "read_conductivity",
    "read_depth_cm",
    "read_duration_d",
    "read_each",
    "read_hardness",
    "read_level",
    "read_number",
    "read_ph",
    "read_rate",
    "read_strength",
    "read_temperature_c",
    "read_volume",
    "scan",
    "spoons",
    "to_si",
    "volume",
]
