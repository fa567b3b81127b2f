"""Warm water in the tank: the bottles that cool it, and how long the tank lasts."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import timedelta
from typing import Final

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromTable,
    FromText,
    Line,
    Measure,
    Offer,
    Weekday,
    line,
)
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Heat, Start, TopUp, packed
from bot.services.asking import Ask, clarify
from bot.services.care.spell import NOT_HOT_C, Spell, head, offers, outdoors, told
from bot.services.care.standing import Stands, stands_now
from bot.services.choosing import begun, chosen_tower, tower_or_none
from bot.services.facts import computed, measures, rule_fact, tank_fact
from bot.services.log.use import pump_line_l, use_of
from calc.air import ice_kg, oxygen_mg_per_l
from calc.errors import CalcError, OutOfRange
from calc.refill import days_to_mark
from calc.units import read_temperature_c, read_volume

_NEARLY = 0.1  # of a bottle more is none
_AIM_C = 21.0  # 70 F, the upper half of 18 to 22: common practice, no source
_COOLEST_C = 15.0  # colder slows growth; common practice, no source
_BARE: Final = re.compile(r"(\d{2}(?:\.\d)?)\s*(?:°|deg|degs|degrees?)?", re.IGNORECASE)
_LEAST_HOT_C, _MOST_HOT_C = 22.0, 46.0
_MOST_SHARE = 0.25  # more ice than this beside the water is no cooling any more


def heat(question: Heat, book: Book) -> Answer:
    """Bottles, shade and water for a warm tank; from its temperature alone.

    Raises
    ------
    Ask, CalcError
    """
    if question.air is not None:
        return _tower_by_tower(question.air, book)
    alone = _is_volume(question.level, book)
    tower = tower_or_none(question, book) if alone else chosen_tower(question, book)
    if question.temp is None:
        offer = Offer(label=line("button.write_down"), question=question, form="heat")
        raise Ask(clarify("cool_tank", line("heat.ask"), offers=[offer]))
    us = book.member.units == "us"
    if us and (bare := _no_scale(question.temp)):
        raise Ask(_which_scale(bare, question))
    now = Fact("water", read_temperature_c(question.temp, fahrenheit=us), FromText())
    aim = read_temperature_c(question.to, fahrenheit=us) if question.to else _AIM_C
    if not _COOLEST_C <= aim <= book.number("water_warm_c"):
        raise Ask(_other_aim(aim, book))
    if now.value <= max(aim, book.number("water_warm_c")) and question.to is None:
        return _fine(now.value, book)
    if now.value <= aim:
        return _fine(now.value, book)
    tank = tank_fact(None, tower, book) or _as_told(question, book)
    stands = stands_now(question, tank, tower, book)
    ice = ice_kg(water_l=stands.litres.value, from_c=now.value, to_c=aim)
    bottle = _bottle(question, book)
    return Answer(
        outcome="answer",
        intent="cool_tank",
        amounts=(
            Amount(
                name="bottles",
                value=ice / bottle.value,
                unit="bottles",
                origin=computed(now, stands.litres, bottle),
            ),
            Amount(name="ice", value=ice, unit="kg", origin=computed(now, stands.litres)),
        ),
        do=(*_dry(tower, stands, book), *_cool(ice, bottle.value, now.value, aim, stands)),
        expect=(*_lasts(tower, stands, book), line("heat.shade")),
        why=(
            line("why.ice", water=Measure(stands.litres.value, "water"),
                 now=Measure(now.value, "temperature"), to=Measure(aim, "temperature"),
                 ice=Measure(ice, "ph")),
        ),
        check=(*stands.notes, line("heat.without_bottles"), _common()),
        cautions=(line("caution.bottles"),),
        offers=_offers(question, tower),
    )  # fmt: skip


def _tower_by_tower(air: str, book: Book) -> Answer:
    """The day's heat: thirst, both marks, timer and ice for each tower outdoors."""
    if not book.towers:
        raise Ask(begun(book, Start(then=packed(Heat(air=air)))))
    celsius = read_temperature_c(air, fahrenheit=book.member.units == "us")
    if celsius < NOT_HOT_C:
        raise Ask(
            clarify("cool_tank", line("notice.no_heat", temp=Measure(celsius, "temperature")))
        )
    spell = Spell(kind="heat", celsius=celsius)
    if not outdoors(book):
        return Answer(outcome="answer", intent="cool_tank", do=(line("spell.no_outdoor"),))
    return Answer(
        outcome="answer",
        intent="cool_tank",
        do=(head(spell), *told(spell, book)),
        offers=offers(spell, book),
    )


def _no_scale(text: str) -> str | None:
    """A number alone that is near freezing in F and a hot day in C."""
    found = _BARE.fullmatch(text.strip())
    return found[1] if found and _LEAST_HOT_C <= float(found[1]) <= _MOST_HOT_C else None


def _which_scale(number: str, question: Heat) -> Answer:
    offers = [
        Offer(label=line(f"button.in_{scale.lower()}", number=number),
              question=replace(question, temp=f"{number} {scale}"))
        for scale in ("F", "C")
    ]  # fmt: skip
    return clarify("cool_tank", line("heat.ask_scale", number=number), offers=offers)


def _bottle(question: Heat, book: Book) -> Fact:
    """What a bottle of ice holds: 1 L where nothing else is told."""
    if question.bottle is None:
        return Fact("bottle", 1.0, FromTable("one litre of ice is taken as 1 kg"))
    litres = read_volume(question.bottle, measures=measures(book)).litres
    return Fact("bottle", litres, FromText())


def _other_aim(aim: float, book: Book) -> Answer:
    low, high = (
        Measure(_COOLEST_C, "temperature"),
        Measure(book.number("water_warm_c"), "temperature"),
    )
    return clarify(
        "cool_tank", line("heat.ask_aim", aim=Measure(aim, "temperature"), low=low, high=high)
    )


def _is_volume(text: str | None, book: Book) -> bool:
    """The text says how much water there is, whatever tank it stands in."""
    try:
        return text is not None and read_volume(text, measures=measures(book)).litres > 0
    except CalcError:
        return False


def _as_told(question: Heat, book: Book) -> Fact:
    """No tower is known: the water told is all there is, so it is its own tank."""
    litres = read_volume(question.level or "", measures=measures(book)).litres
    return Fact("tank", litres, FromText())


def _fine(celsius: float, book: Book) -> Answer:
    cold = celsius < book.number("water_cold_c")
    warm = celsius > book.number("water_warm_c")
    word = "heat.cold" if cold else "heat.there" if warm else "heat.fine"
    return Answer(
        outcome="answer",
        intent="cool_tank",
        do=(line(word, temp=Measure(celsius, "temperature")),),
        expect=_oxygen(celsius),
    )


def _oxygen(celsius: float) -> tuple[Line, ...]:
    """What water so warm holds; beyond the table nothing is said."""
    try:
        held = oxygen_mg_per_l(temperature_c=celsius, altitude_m=0)
    except OutOfRange:
        return ()
    return (line("heat.oxygen", temp=Measure(celsius, "temperature"), oxygen=Measure(held, "ph")),)


def _cool(ice: float, bottle_l: float, now: float, aim: float, stands: Stands) -> tuple[Line, ...]:
    bottles = max(1, math.ceil(ice / bottle_l - _NEARLY))
    if ice > _MOST_SHARE * stands.litres.value:
        return (line("heat.too_hot", temp=Measure(now, "temperature")), *_oxygen(now))
    return (
        line("heat.bottles" if bottles > 1 else "heat.bottle", count=bottles,
             size=Measure(bottle_l, "water_l"), need=Measure(ice / bottle_l, "ph"),
             to=Measure(aim, "temperature")),
        *_oxygen(now),
    )  # fmt: skip


def _dry(tower: Tower | None, stands: Stands, book: Book) -> tuple[Line, ...]:
    """No ice before water: at the pump line the roots dry first."""
    if tower is None or stands.litres.value > pump_line_l(tower, book):
        return ()
    return (line("reading.below_line", mark=Measure(pump_line_l(tower, book), "water")),)


def _lasts(tower: Tower | None, stands: Stands, book: Book) -> tuple[Line, ...]:
    """To the pump line at the thirst of a hot week."""
    use = use_of(tower, book) if tower and book.private else None
    if tower is None or use is None or stands.litres.value <= pump_line_l(tower, book):
        return ()
    line_l = pump_line_l(tower, book)
    factor = rule_fact("hot_thirst", "hot thirst", book).value
    days, hot = (
        days_to_mark(level_l=stands.litres.value, mark_l=line_l, use_l_per_d=use.l_per_d * f)
        for f in (1.0, factor)
    )
    on = book.local(book.now + timedelta(days=max(0.0, hot - 1)))
    return (
        line("heat.lasts", days=Measure(hot, "ph"), normal=Measure(days, "ph"),
             factor=Measure(factor, "number"), day=Weekday(on)),
    )  # fmt: skip


def _common() -> Line:
    return line("heat.common", low=Measure(18.0, "temperature"), high=Measure(22.0, "temperature"))


def _offers(question: Heat, tower: Tower | None) -> tuple[Offer, ...]:
    if tower is None or not tower.id:
        return ()
    ask = TopUp(tower=tower.name, level=question.level)
    return (Offer(label=line("button.what_to_add"), question=ask),)
