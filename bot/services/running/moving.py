"""A tower brought inside for the winter: emptied first, then the lamp and the timer."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import Amount, Answer, Fact, FromText, Line, Measure, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Lamp, MoveIn, Timer
from bot.services.choosing import tower_or_none
from bot.services.facts import computed, tank_fact
from bot.services.running.lamp import lamp
from bot.services.running.timer import timer
from bot.services.yardstick import depth_of, measured

_INDOORS = "15 on 45 off"


def move_in(question: MoveIn, book: Book) -> Answer:
    """What to do first, and how long the lamp runs where that was asked.

    Raises
    ------
    Ask, CalcError
    """
    tower = tower_or_none(question, book)
    weight, amounts = _weight(question, tower, book)
    first = (*weight, line("move_in.steps"))
    if question.ppfd or question.dli or question.hours:
        light = lamp(
            Lamp(tower=question.tower, ppfd=question.ppfd, dli=question.dli, hours=question.hours),
            book,
        )
        if light.outcome != "answer":
            return replace(light, do=(*first[:1], *light.do))
        return replace(
            light, intent="move_indoors", do=(*light.do, *first), amounts=(*light.amounts, *amounts)
        )
    runs = (
        timer(Timer(tower=question.tower, timer=question.timer or _INDOORS), book)
        if (question.timer)
        else None
    )
    more = runs.amounts if runs else ()
    return Answer(
        outcome="answer",
        intent="move_indoors",
        amounts=(*amounts, *more),
        do=(*(runs.do if runs else ()), *first),
        expect=(line("move_in.lamp"),),
        check=(line("move_in.common"),),
    )


def _weight(
    question: MoveIn, tower: Tower | None, book: Book
) -> tuple[tuple[Line, ...], tuple[Amount, ...]]:
    """A full tank is not carried: a litre of water weighs a kilogram."""
    tank = tank_fact(question.tank, tower, book) if tower or question.tank else None
    if tank is None:
        return (line("move_in.empty"),), ()
    water = tank
    if question.level:
        found = measured({"level": question.level}, tank.value, depth_of(tower, None, book), book)
        if found.unit == "L":
            water = Fact("water", found.values["level"], FromText())
    amount = Amount(name="weight", value=water.value, unit="kg", origin=computed(water))
    word = "move_in.empty_kg" if water is tank else "move_in.now_kg"
    return (line(word, weight=Measure(water.value, "weight")),), (amount,)
