"""Which words name which unit. Matching is on lower-case words, longest phrase first."""

from __future__ import annotations

from typing import Final

_SPELLINGS: Final = {
    ("volume", "l"): "l lt ltr ltrs liter liters litre litres",
    ("volume", "ml"): "ml mls mil mils milliliter milliliters millilitre millilitres cc ccs",
    ("volume", "cl"): "cl",
    ("volume", "dl"): "dl",
    ("volume", "gal"): "gal gals gallon gallons gall",
    ("volume", "us_gal"): "us_gal us_gals us_gallon us_gallons gal_us gallons_us usgal",
    ("volume", "uk_gal"): (
        "uk_gal uk_gals uk_gallon uk_gallons imperial_gallon imperial_gallons imp_gal imp_gallon "
        "imp_gallons imperial_gal gal_uk gallons_uk"
    ),
    ("volume", "qt"): "qt qts quart quarts",
    ("volume", "pt"): "pt pts pint pints",
    ("volume", "cup"): "cup cups",
    ("volume", "tbsp"): "tbsp tbsps tbs tablespoon tablespoons",
    ("volume", "tsp"): "tsp tsps teaspoon teaspoons",
    ("volume", "fl_oz"): "fl_oz floz fluid_ounce fluid_ounces",
    ("volume", "drop"): "drop drops",
    ("volume", "jug"): "jug jugs",
    ("length", "in"): 'in ins inch inches "',
    ("length", "cm"): "cm cms centimeter centimeters centimetre centimetres",
    ("length", "mm"): "mm millimeter millimeters millimetre millimetres",
    ("length", "finger"): "finger fingers",
    ("mass", "g"): "g gr gram grams gramme grammes",
    ("mass", "mg"): "mg",
    ("mass", "kg"): "kg kilo kilos",
    ("mass", "oz"): "oz ounce ounces",
    ("mass", "lb"): "lb lbs pound pounds",
    ("ec", "ms"): "ms ms/cm ms_cm millisiemens ds/m mmho",
    ("ec", "us"): "us/cm µs µs/cm microsiemens us_cm",
    ("ec", "ms_m"): "ms/m",
    ("ec", "cf"): "cf",
    ("ec", "ppm"): "ppm ppms tds",
    ("temperature", "c"): "°c c celsius deg_c degrees_c",
    ("temperature", "f"): "°f f fahrenheit deg_f degrees_f",
    ("fraction", "percent"): "% percent pct per_cent",
}

UNITS: Final[dict[tuple[str, ...], tuple[str, str]]] = {
    tuple(word.split("_")): kind_and_unit
    for kind_and_unit, words in _SPELLINGS.items()
    for word in words.split()
}
LONGEST: Final = 3
# Every word that stands in the name of a unit.
UNIT_WORDS: Final = frozenset(word for words in UNITS for word in words)

# Words short enough to be ordinary English after a number; they are a unit only right behind one.
PLAIN_ENGLISH: Final = frozenset({"in", "c", "f", "g", "l", "a"})

FRACTION_WORDS: Final = {
    "half": 1 / 2, "halves": 1 / 2, "halfway": 1 / 2,
    "third": 1 / 3, "thirds": 1 / 3,
    "quarter": 1 / 4, "quarters": 1 / 4, "fourth": 1 / 4, "fourths": 1 / 4,
    "fifth": 1 / 5, "fifths": 1 / 5,
    "sixth": 1 / 6, "sixths": 1 / 6,
    "eighth": 1 / 8, "eighths": 1 / 8,
    "tenth": 1 / 10, "tenths": 1 / 10,
}  # fmt: skip

SYMBOL_FRACTIONS: Final = {
    "½": 1 / 2, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 1 / 4, "¾": 3 / 4, "⅕": 1 / 5, "⅖": 2 / 5,
    "⅗": 3 / 5, "⅘": 4 / 5, "⅙": 1 / 6, "⅛": 1 / 8, "⅜": 3 / 8, "⅝": 5 / 8, "⅞": 7 / 8,
}  # fmt: skip

SMALL: Final = {
    word: float(value)
    for value, word in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
        "fifteen sixteen seventeen eighteen nineteen".split()
    )
}
TENS: Final = {
    word: float(10 * value)
    for value, word in enumerate(
        "twenty thirty forty fifty sixty seventy eighty ninety".split(), start=2
    )
}
