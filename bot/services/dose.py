"""Fresh solution: a first fill, a tray, or the parts brought back to the label's ratio."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromPolicy,
    Line,
    Measure,
    Pours,
    Weekday,
    line,
)
from bot.records.book import Book
from bot.records.facts import Feed, Tower
from bot.records.questions import Dose, Start, packed
from bot.services.asking import Ask, clarify
from bot.services.calendar import not_before
from bot.services.choosing import begun
from bot.services.evening import even
from bot.services.facts import (
    YOUNG,
    assumed,
    computed,
    feed_for,
    strength_fact,
    tank_fact,
    tap_fact,
    target_fact,
    tower_for,
    typed_feed,
    water_over_target,
)
from bot.services.pouring import poured_parts, pours_of, rates_of
from calc.dose import mixed_ec, strength_for_ec
from calc.errors import Impossible

_SYRINGE_ML = 5.0
_UNTOLD = "?"  # something went wrong with the parts, nobody has said how much of which
_TRAY_L = 10.0  # value from memory: smaller than any tower's tank


def dose(question: Dose, book: Book) -> Answer:
    """How much of each part.

    Raises
    ------
    Ask, CalcError
    """
    tower = tower_for(question, book, dose)
    feed = feed_for(tower, question.feed, book)
    if question.rate:
        feed = typed_feed(question.rate, feed, book)
    if feed is None or not feed.parts:
        raise Ask(clarify("first_fill", line("ask.feed")))
    if question.poured == _UNTOLD:
        raise Ask(clarify("two_part_imbalance", line("ask.poured")))
    if question.poured:
        return even(question, tower, feed, book)
    water = tank_fact(question.water, tower, book)
    if water is None:
        raise Ask(begun(book, Start(then=packed(question))))
    return _fresh(question, tower, feed, water, book)


def _fresh(question: Dose, tower: Tower | None, feed: Feed, water: Fact, book: Book) -> Answer:
    tap = tap_fact(question, tower, book)
    strength = _strength(question, tower, feed, tap, book)
    pours, amounts = poured_parts(feed, water, strength, book)
    if water.value < _TRAY_L:
        pours = replace(pours, minutes=0)  # a tray or a bottle: no pump to run, a spoon to stir
    # Water told in litres is said in litres, whatever the reader's habit.
    metric = question.water is not None and water.typed in ("l", "ml", "cl", "dl")
    litres = Measure(water.value, "water_l" if metric else "water")
    first = (
        line("dose.pour", tower=tower.name, water=litres, pours=pours)
        if tower is not None and question.water is None
        else line("dose.pour_unnamed", water=litres, pours=pours)
    )
    expect, more = _expect(question, tower, feed, water, strength, tap, book)
    small = [line("check.syringe")] if _below_syringe(pours) else []
    why = line(
        "why.dose",
        strength=Measure(strength.value, "share"),
        water=Measure(water.value, "water"),
        other=Measure(water.value, "water_other"),
        rates=question.rate or rates_of(feed),
    )
    wait = not_before(tower, book) if tower is not None and question.water is None else None
    first_day = (line("dose.not_before", day=Weekday(wait)),) if wait else ()
    nominal = (line("tower.nominal"),) if wait else ()
    intent = "units" if question.rate else "seedling_strength" if question.stage else "first_fill"
    return Answer(
        outcome="answer",
        intent=intent,
        amounts=(*amounts, *more),
        do=(*first_day, first),
        expect=expect,
        why=(why,),
        check=(*_strength_note(strength, book), *small, *_tap_note(feed, tap), *nominal),
        cautions=(line("caution.parts"),) if len(feed.parts) > 1 else (),
    )


def _strength(question: Dose, tower: Tower | None, feed: Feed, tap: Fact, book: Book) -> Fact:
    """The strength asked for, the one that meets a target, the stage's, or the tower's."""
    if question.strength is None and question.target is not None:
        target = target_fact(question, tower, book)
        if feed.ec_gain_ms_per_cm is None:
            raise Ask(clarify("first_fill", line("ask.feed")))
        try:
            share = strength_for_ec(
                target_ec_ms_per_cm=target.value,
                water_ec_ms_per_cm=tap.value,
                gain_ms_per_cm=feed.ec_gain_ms_per_cm,
            )
        except Impossible:
            raise water_over_target(tap, target) from None
        return Fact("strength", share, computed(target, tap))
    young = question.strength is None and question.stage == YOUNG
    return strength_fact(YOUNG if young else question.strength, tower, book)


def _expect(
    question: Dose,
    tower: Tower | None,
    feed: Feed,
    water: Fact,
    strength: Fact,
    tap: Fact,
    book: Book,
) -> tuple[tuple[Line, ...], tuple[Amount, ...]]:
    """The reading afterwards; when a full-strength mix misses the target, what would meet it."""
    gain = feed.ec_gain_ms_per_cm
    if gain is None:
        if question.rate is not None:
            return (line("expect.unknown_rate"),), ()
        return (line("expect.unknown", feed=feed.name),), ()
    ec = mixed_ec(
        water_ec_ms_per_cm=tap.value, gain_ms_per_cm=gain, strength_fraction=strength.value
    )
    amounts = [Amount(name="ec_expected", value=ec, unit="mS/cm", origin=computed(tap, strength))]
    lines = [line("expect.ec", ec=Measure(ec, "ec_about"))]
    target = target_fact(question, tower, book)
    off = ec - target.value
    told_target = not isinstance(target.origin, FromPolicy) or target.origin.on is not None
    misses = off > book.number("ec_miss") or (-off > book.number("ec_miss") and strength.value >= 1)
    if told_target and off > book.number("ec_miss") and target.value <= tap.value:
        lines.append(line("expect.over", target=Measure(target.value, "ec")))
    if told_target and misses and target.value > tap.value:
        share = (target.value - tap.value) / gain
        fit = [water.value * p.rate_per_l * share for p in feed.parts]
        plain = Pours(pours_of(feed, fit, book).parts, steps=False)
        lines.append(line("expect.miss", target=Measure(target.value, "ec"), pours=plain))
    return tuple(lines), tuple(amounts)


def _strength_note(strength: Fact, book: Book) -> tuple[Line, ...]:
    if not isinstance(strength.origin, FromPolicy):
        return ()
    share = Measure(strength.value, "share")
    if strength.origin.on is None:
        return (line("check.strength_seedling", strength=share),)
    who = strength.origin.by or book.coach or "the coach"
    return (
        line("check.strength_seedling_coach", strength=share, coach=who, date=strength.origin.on),
    )


def _tap_note(feed: Feed, tap: Fact) -> tuple[Line, ...]:
    return assumed(tap) if feed.ec_gain_ms_per_cm is not None else ()


def _below_syringe(pours: Pours) -> bool:
    return any(not p.dry and 0 < p.amount < _SYRINGE_ML for p in pours.parts)
