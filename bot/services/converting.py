"""An amount in another unit, as a kitchen or a meter has it."""

from __future__ import annotations

from typing import Final

from bot.records.answer import Amount, Answer, Fact, FromText, Measure, line
from bot.records.book import Book
from bot.records.questions import Convert
from bot.services.asking import Ask, clarify
from bot.services.choosing import tower_or_none
from bot.services.facts import computed, measures, tank_fact
from calc.errors import Unreadable
from calc.units import (
    Quantity,
    Volume,
    read_conductivity,
    read_rate,
    read_volume,
    scan,
    volume,
)

# How an answer names an amount in a unit; in the others it is a "volume".
_NAMED: Final = {"ml": "dose", "tsp": "tsp", "tbsp": "tbsp", "cup": "cups", "fl_oz": "fl_oz"}


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
    if question.tank or any(i.kind == "rate" for i in _quantities(question.amount)):
        return _for_tank(question, book)
    litres = read_volume(question.amount, measures=mine)
    return _shown(question, litres, book)


def _quantities(text: str | None) -> list[Quantity]:
    return [i for i in scan(text or "") if isinstance(i, Quantity)]


def _for_tank(question: Convert, book: Book) -> Answer:
    mine = measures(book)
    rate = read_rate(question.amount or "", measures=mine)
    tower = None if question.tank else tower_or_none(question, book)
    tank = tank_fact(question.tank, tower, book)
    if tank is None:
        raise Ask(clarify("units", line("convert.ask_tank")))
    ml = rate.per_l * tank.value
    origin = computed(Fact("rate", rate.per_l, FromText()), tank)
    return Answer(
        outcome="answer",
        intent="units",
        amounts=(
            Amount(name="dose", value=ml, unit="mL", origin=origin),
            Amount(name="volume", value=tank.value, unit="L", origin=tank.origin),
        ),
        do=(
            line(
                "convert.rate",
                amount=question.amount or "",
                water=Measure(tank.value, "water"),
                dose=Measure(ml, "ml"),
            ),
        ),
    )


def _shown(question: Convert, told: Volume, book: Book) -> Answer:
    """Against one of the wanted unit, read as everything typed is: a gallon is the person's own."""
    to = question.to or ""
    unit = next((i for i in scan(f"1 {to}") if isinstance(i, Quantity)), None)
    if unit is None or unit.kind != "volume":
        raise Unreadable(text=to[:40], wanted="unit")
    one = volume(unit, measures=measures(book))
    value = told.litres / one.litres
    name = _NAMED.get(unit.unit, "volume")
    amount = Amount(name=name, value=told.litres, unit="L", origin=FromText())
    return Answer(
        outcome="answer",
        intent="units",
        amounts=(amount,),
        do=(
            line(
                "convert.is",
                amount=question.amount or "",
                value=Measure(value, "number"),
                unit=to,
            ),
        ),
    )
