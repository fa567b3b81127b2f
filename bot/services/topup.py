"""Back to the line: how much water, how much of each part, and what the meter reads after."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import Answer, Awaits, Fact, FromText, Measure, line
from bot.records.book import Book
from bot.records.questions import Start, TopUp, packed
from bot.services.asking import Ask, clarify
from bot.services.choosing import begun
from bot.services.facts import (
    computed,
    ec_fact,
    feed_for,
    measures,
    tank_fact,
    tap_fact,
    target_fact,
    tower_for,
)
from bot.services.levels import told_level
from bot.services.log.around import with_log, with_record
from bot.services.tank import Tank
from bot.services.topup_label import already_poured, by_label
from bot.services.topup_meter import by_meter
from calc.errors import within
from calc.units import read_volume

_UNTOLD = "?"  # water went in, nobody has said how much
_BELOW_TAP_MS = 0.05  # a pen's own step
_LEAST_L = 0.1
_OVER = 1.01  # of the tank: an eye's error at the line


def topup(question: TopUp, book: Book) -> Answer:
    """Water and feed to the line.

    Raises
    ------
    Ask, CalcError
    """
    tower = tower_for(question, book, topup)
    tank = tank_fact(question.tank, tower, book)
    if tank is None:
        raise Ask(begun(book, Start(then=packed(question))))
    feed = feed_for(tower, None, book)
    if feed is None or not feed.parts:
        raise Ask(clarify("topup_no_meter", line("ask.feed")))
    if question.added == _UNTOLD:
        poured = replace(question, added=None)
        asked = clarify("topup_poured", line("ask.added"))
        raise Ask(replace(asked, awaits=Awaits(question=poured, field="added")))
    if question.added is not None and question.level is None:
        question = replace(question, level="full")
    ec = None if question.ec is None else ec_fact("ec", question.ec, book, question)
    case = Tank(
        question=question,
        book=book,
        tower=tower,
        feed=feed,
        tank=tank,
        told=told_level(question, tank, tower, book),
        tap=tap_fact(question, tower, book),
        target=target_fact(question, tower, book),
    )
    if question.only is not None:
        return _what_if(case, question.only, ec)
    if ec is not None and ec.value < case.tap.value - _BELOW_TAP_MS:
        below = line("ask.below_tap", ec=Measure(ec.value, "ec"), tap=Measure(case.tap.value, "ec"))
        raise Ask(clarify("bad_input", below))
    if question.added is not None and ec is None:
        return with_log(case, already_poured(case))
    found = (
        by_label(case, metered=ec is not None)
        if ec is None or feed.ec_gain_ms_per_cm is None
        else by_meter(case, ec, feed.ec_gain_ms_per_cm)
    )
    return with_record(case, found)


def _what_if(case: Tank, only: str, ec: Fact | None) -> Answer:
    """The same sums for a tank that is filled only so far; nothing to log.

    Raises
    ------
    Ask, CalcError
    """
    water = read_volume(only, measures=measures(case.book)).litres
    within(name="volume", value=water, low=_LEAST_L, high=10_000, unit="L")
    filled = case.now_l + water
    if filled > case.tank.value * _OVER:
        asked = line("ask.over_line", water=Measure(water, "water"),
                     room=Measure(case.added_l, "water"))  # fmt: skip
        raise Ask(clarify("bad_input", asked))
    part = Fact("filled to", filled, computed(case.told.litres, Fact("water", water, FromText())))
    smaller = replace(case, tank=part)
    gain = case.feed.ec_gain_ms_per_cm
    found = by_label(smaller, metered=ec is not None)
    if ec is not None and gain is not None:
        found = by_meter(smaller, ec, gain)
    first = line("topup.only", water=Measure(water, "water"), filled=Measure(filled, "water"))
    rest = tuple(one for one in found.do if not one.word.startswith("topup.add"))
    return replace(found, do=(first, *rest), offers=())
