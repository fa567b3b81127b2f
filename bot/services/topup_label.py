"""Top-ups by the label: no meter, or water that is in already. Only new water is fed."""

from __future__ import annotations

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    Line,
    Measure,
    line,
)
from bot.services.asking import Ask, clarify
from bot.services.facts import (
    computed,
)
from bot.services.pouring import poured_parts, rates_of, refill_strength, water_in
from bot.services.tank import Tank, assumptions, intent_of, no_parts, parts_caution
from calc.dose import mixed_ec
from calc.topup import filled_ec

_WHOLE = 1e-6


def by_label(case: Tank, *, metered: bool) -> Answer:
    """No meter (or a feed of unknown gain): label rate for the new water only."""
    if case.full:
        return Answer(
            outcome="answer",
            intent=intent_of(case, "topup_no_meter"),
            amounts=(case.water(), *no_parts(case)),
            do=(case.say("topup.full"),),
            check=case.told.notes,
        )
    strength, notes = refill_strength(case.question.strength, case.tower, case.book)
    water = Fact("water", case.added_l, computed(case.tank, case.told.litres))
    pours, parts = poured_parts(case.feed, water, strength, case.book)
    expect, more = _expected_by_label(case, water, strength)
    unmetered = () if metered else (_unmetered(case),)
    no_gain = (line("check.no_gain", feed=case.feed.name),) if metered else ()
    return Answer(
        outcome="answer",
        intent=intent_of(case, "topup_no_meter"),
        amounts=(case.water(), *parts, case.left(), *more),
        do=(
            case.say("topup.add", water=Measure(case.added_l, "water")),
            line("topup.pour", pours=pours),
        ),
        expect=expect,
        why=(_why_label(case, water, strength),),
        check=(*case.told.notes, *notes, *assumptions(case), *no_gain, *unmetered),
        cautions=parts_caution(case),
    )


def _unmetered(case: Tank) -> Line:
    """Without a reading salts go unseen; who has a pen is told that it would help."""
    pen = case.book.member.has_ec_meter
    return line("check.no_reading" if pen else "check.full_rate_creeps")


def already_poured(case: Tank) -> Answer:
    """Plain water went in already: feed for that water, never for the whole tank."""
    water = water_in(case.question.added or "", case.book)
    if water.value > case.tank.value:
        asked = line(
            "ask.above_full",
            level=Measure(water.value, "water"),
            tank=Measure(case.tank.value, "water"),
        )
        raise Ask(clarify("bad_input", asked))
    strength, notes = refill_strength(case.question.strength, case.tower, case.book)
    pours, parts = poured_parts(case.feed, water, strength, case.book)
    expect, more = _expected_by_label(case, water, strength, filled=True)
    return Answer(
        outcome="answer",
        intent="topup_poured",
        amounts=(*parts, *more),
        do=(line("topup.pour_added", water=Measure(water.value, "water"), pours=pours),),
        expect=expect,
        why=(_why_label(case, water, strength),),
        check=(*notes, *assumptions(case), _unmetered(case)),
        cautions=parts_caution(case),
    )


def _why_label(case: Tank, water: Fact, strength: Fact) -> Line:
    if abs(strength.value - 1) > _WHOLE:
        return line(
            "why.topup_share",
            strength=Measure(strength.value, "share"),
            water=Measure(water.value, "water"),
            rates=rates_of(case.feed),
            share=Measure(strength.value, "ec"),
        )
    return line(
        "why.topup_label",
        strength=Measure(strength.value, "share"),
        water=Measure(water.value, "water"),
        rates=rates_of(case.feed),
    )


def _expected_by_label(
    case: Tank, water: Fact, strength: Fact, *, filled: bool = False
) -> tuple[tuple[Line, ...], tuple[Amount, ...]]:
    """What the tank reads after, had it been on target before."""
    gain = case.feed.ec_gain_ms_per_cm
    if gain is None:
        return (line("expect.unknown", feed=case.feed.name),), ()
    before_l = max(0.0, case.now_l - water.value) if filled else case.now_l
    fresh = mixed_ec(
        water_ec_ms_per_cm=case.tap.value, gain_ms_per_cm=gain, strength_fraction=strength.value
    )
    ec = filled_ec(
        level_l=before_l,
        ec_ms_per_cm=case.target.value,
        added_l=water.value,
        added_ec_ms_per_cm=fresh,
    )
    origin = computed(water, strength, case.tap, case.target)
    said = (
        line("expect.ec", ec=Measure(ec, "ec_about"))
        if before_l == 0
        else line(
            "expect.ec_if", ec=Measure(ec, "ec_about"), target=Measure(case.target.value, "ec")
        )
    )
    return (said,), (Amount(name="ec_expected", value=ec, unit="mS/cm", origin=origin),)
