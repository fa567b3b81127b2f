"""An amount in another unit, as a kitchen or a meter has it."""

from __future__ import annotations

from bot.records.answer import Amount, Answer, Fact, FromText, Measure, line
from bot.records.book import Book
from bot.records.questions import Convert
from bot.services.asking import Ask, clarify
from bot.services.facts import computed, measures
from calc.errors import CalcError, Unreadable
from calc.units import Volume, from_si, read_conductivity, read_rate, read_volume

# What a unit is called -> its key, and how an answer names the amount.
_TO = {
    "ml": ("ml", "dose"),
    "millilitres": ("ml", "dose"),
    "milliliters": ("ml", "dose"),
    "mls": ("ml", "dose"),
    "l": ("l", "volume"),
    "litres": ("l", "volume"),
    "liters": ("l", "volume"),
    "litre": ("l", "volume"),
    "liter": ("l", "volume"),
    "gal": ("us_gal", "volume"),
    "gallons": ("us_gal", "volume"),
    "gallon": ("us_gal", "volume"),
    "us gallons": ("us_gal", "volume"),
    "uk gallons": ("uk_gal", "volume"),
    "imperial gallons": ("uk_gal", "volume"),
    "tsp": ("tsp", "tsp"),
    "teaspoons": ("tsp", "tsp"),
    "teaspoon": ("tsp", "tsp"),
    "tbsp": ("tbsp", "tbsp"),
    "tablespoons": ("tbsp", "tbsp"),
    "tablespoon": ("tbsp", "tbsp"),
    "cups": ("cup", "cups"),
    "cup": ("cup", "cups"),
    "fl oz": ("fl_oz", "fl_oz"),
    "ounces": ("fl_oz", "fl_oz"),
    "quarts": ("qt", "volume"),
}
_SHOWN = {
    "ml": "mL",
    "l": "L",
    "us_gal": "US gal",
    "uk_gal": "UK gal",
    "tsp": "tsp",
    "tbsp": "tbsp",
    "cup": "cup",
    "fl_oz": "fl oz",
    "qt": "qt",
}


def convert(question: Convert, book: Book) -> Answer:
    """The same amount in another unit; a label rate for a tank.

    Raises
    ------
    Ask, CalcError
    """
    if not question.amount:
        raise Ask(clarify("units", line("convert.ask")))
    mine = measures(book)
    if question.to in ("ec", "ms"):
        found = read_conductivity(question.amount, measures=mine)
        ec = Amount(name="ec", value=found.ec_ms_per_cm, unit="mS/cm", origin=FromText())
        said = line("convert.ec", amount=question.amount, ec=Measure(found.ec_ms_per_cm, "ec"))
        return Answer(outcome="answer", intent="units", amounts=(ec,), do=(said,))
    if question.tank:
        return _for_tank(question, book)
    litres = read_volume(question.amount, measures=mine)
    return _shown(question, litres, book)


def _for_tank(question: Convert, book: Book) -> Answer:
    mine = measures(book)
    rate = read_rate(question.amount or "", measures=mine)
    tank = read_volume(question.tank or "", measures=mine)
    ml = rate.per_l * tank.litres
    origin = computed(Fact("rate", rate.per_l, FromText()), Fact("tank", tank.litres, FromText()))
    return Answer(
        outcome="answer",
        intent="units",
        amounts=(
            Amount(name="dose", value=ml, unit="mL", origin=origin),
            Amount(name="volume", value=tank.litres, unit="L", origin=FromText()),
        ),
        do=(
            line(
                "convert.rate",
                amount=question.amount or "",
                water=Measure(tank.litres, "water"),
                dose=Measure(ml, "pour"),
            ),
        ),
    )


def _shown(question: Convert, told: Volume, book: Book) -> Answer:
    key, name = _TO.get((question.to or "").casefold(), (None, ""))
    if key is None:
        raise Unreadable(text=(question.to or "")[:40], wanted="unit")
    try:
        value = from_si(told.litres, key)
    except CalcError:
        raise Unreadable(text=question.to or "", wanted="unit") from None
    amount = Amount(name=name, value=value, unit=_SHOWN[key], origin=FromText())
    return Answer(
        outcome="answer",
        intent="units",
        amounts=(amount,),
        do=(
            line(
                "convert.is",
                amount=question.amount or "",
                value=Measure(value, "number"),
                unit=_SHOWN[key],
            ),
        ),
    )
