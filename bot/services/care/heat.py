"""Warm water in the tank: the bottles that cool it, and how long the tank lasts."""

from __future__ import annotations

import math
from datetime import timedelta

from bot.records.answer import Amount, Answer, Fact, FromText, Line, Measure, Offer, Weekday, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Heat, TopUp
from bot.services.asking import Ask, clarify
from bot.services.care.standing import Stands, stands_now
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import computed, measures, rule_fact, tank_fact
from bot.services.log.use import pump_line_l, use_of
from calc.air import ice_kg, oxygen_mg_per_l
from calc.refill import days_to_mark
from calc.units import read_temperature_c, read_volume

_AIM_C = 21.0  # 70 F, the upper half of 18 to 22: common practice, no source
_MOST_SHARE = 0.25  # more ice than this beside the water is no cooling any more


def heat(question: Heat, book: Book) -> Answer:
    """Bottles, shade and water for a warm tank; from its temperature alone.

    Raises
    ------
    Ask, CalcError
    """
    told_litres = question.level is not None and any(c.isdigit() for c in question.level)
    tower = tower_or_none(question, book) if told_litres else chosen_tower(question, book)
    if question.temp is None:
        offer = Offer(label=line("button.write_down"), question=question, form="heat")
        raise Ask(clarify("cool_tank", line("heat.ask"), offers=[offer]))
    us = book.member.units == "us"
    now = Fact("water", read_temperature_c(question.temp, fahrenheit=us), FromText())
    aim = read_temperature_c(question.to, fahrenheit=us) if question.to else _AIM_C
    if now.value <= book.number("water_warm_c") and question.to is None:
        return _fine(now.value, book)
    if now.value <= aim:
        return _fine(now.value, book)
    tank = tank_fact(None, tower, book) or _as_told(question, book)
    stands = stands_now(question, tank, tower, book)
    ice = ice_kg(water_l=stands.litres.value, from_c=now.value, to_c=aim)
    return Answer(
        outcome="answer",
        intent="cool_tank",
        amounts=(
            Amount(name="bottles", value=ice, unit="bottles", origin=computed(now, stands.litres)),
        ),
        do=_cool(ice, now.value, aim, stands),
        expect=(*_lasts(tower, stands, book), line("heat.shade")),
        why=(
            line("why.ice", water=Measure(stands.litres.value, "water"),
                 now=Measure(now.value, "temperature"), to=Measure(aim, "temperature"),
                 ice=Measure(ice, "ph")),
        ),
        check=(*stands.notes, line("heat.without_bottles"), line("heat.common")),
        cautions=(line("caution.bottles"),),
        offers=_offers(tower),
    )  # fmt: skip


def _as_told(question: Heat, book: Book) -> Fact:
    """No tower is known: the water told is all there is, so it is its own tank."""
    litres = read_volume(question.level or "", measures=measures(book)).litres
    return Fact("tank", litres, FromText())


def _fine(celsius: float, book: Book) -> Answer:
    cold = celsius < book.number("water_cold_c")
    word = "heat.cold" if cold else "heat.fine"
    return Answer(
        outcome="answer",
        intent="cool_tank",
        do=(line(word, temp=Measure(celsius, "temperature")),),
        expect=(_oxygen(celsius),),
    )


def _oxygen(celsius: float) -> Line:
    held = oxygen_mg_per_l(temperature_c=max(0.0, min(celsius, 40.0)), altitude_m=0)
    return line("heat.oxygen", temp=Measure(celsius, "temperature"), oxygen=Measure(held, "ph"))


def _cool(ice: float, now: float, aim: float, stands: Stands) -> tuple[Line, ...]:
    bottles = max(1, math.ceil(round(ice, 2)))
    if ice > _MOST_SHARE * stands.litres.value:
        return (line("heat.too_hot", temp=Measure(now, "temperature")), _oxygen(now))
    return (
        line("heat.bottles" if bottles > 1 else "heat.bottle", count=bottles,
             need=Measure(ice, "ph"), to=Measure(aim, "temperature")),
        _oxygen(now),
    )  # fmt: skip


def _lasts(tower: Tower | None, stands: Stands, book: Book) -> tuple[Line, ...]:
    """To the pump line at the thirst of a hot week."""
    use = use_of(tower, book) if tower and book.private else None
    if tower is None or use is None:
        return ()
    line_l = pump_line_l(tower, book)
    factor = rule_fact("hot_thirst", "hot thirst", book).value
    days, hot = (
        days_to_mark(level_l=stands.litres.value, mark_l=line_l, use_l_per_d=use.l_per_d * f)
        for f in (1.0, factor)
    )
    on = book.local(book.now + timedelta(days=hot))
    return (
        line("heat.lasts", days=Measure(hot, "ph"), normal=Measure(days, "ph"),
             factor=Measure(factor, "number"), day=Weekday(on)),
    )  # fmt: skip


def _offers(tower: Tower | None) -> tuple[Offer, ...]:
    if tower is None or not tower.id:
        return ()
    ask = TopUp(tower=tower.name)
    return (Offer(label=line("button.what_to_add"), question=ask),)
