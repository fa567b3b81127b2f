"""Back to the line: how much water, how much of each part, and what the meter reads after."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import Answer, Awaits, Measure, line
from bot.records.book import Book
from bot.records.questions import Start, TopUp, packed
from bot.services.asking import Ask, clarify
from bot.services.choosing import begun
from bot.services.facts import (
    ec_fact,
    feed_for,
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

_UNTOLD = "?"  # water went in, nobody has said how much
_BELOW_TAP_MS = 0.05  # a pen's own step


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
