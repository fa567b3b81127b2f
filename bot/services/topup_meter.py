"""Top-ups by the meter: the mass balance, plain water, or scooping out."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromText,
    Line,
    Measure,
    Pour,
    Pours,
    Value,
    line,
)
from bot.services.facts import (
    computed,
    label_rate,
    strength_fact,
    water_over_target,
)
from bot.services.log.learning import gain_known
from bot.services.pouring import pours_of
from bot.services.tank import Tank, assumptions, intent_of, no_parts, parts_caution
from calc.dose import mixed_ec
from calc.errors import Impossible
from calc.topup import feed_for_rise, filled_ec, swap_volume

_NO_FEED_MS = 0.005  # a smaller shortfall than any meter shows


def by_meter(case: Tank, ec: Fact, gain: float) -> Answer:
    """The mass balance: blend with plain water, then feed for what is short of the target."""
    blend = filled_ec(
        level_l=case.now_l,
        ec_ms_per_cm=ec.value,
        added_l=case.added_l,
        added_ec_ms_per_cm=case.tap.value,
    )
    short = case.target.value - blend
    red = case.book.number("ec_red_high") * case.target.value
    if short < 0 and (blend > red or case.question.swap):
        return _swap(case, ec)
    if short <= _NO_FEED_MS:
        return _plain_water(case, ec, blend)
    return _with_feed(case, ec, gain, blend)


def _blend_amount(case: Tank, ec: Fact, blend: float) -> Amount:
    origin = computed(case.told.litres, ec, case.tank, case.tap)
    return Amount(name="ec_after_water", value=blend, unit="mS/cm", origin=origin)


def _with_feed(case: Tank, ec: Fact, gain: float, blend: float) -> Answer:
    short = case.target.value - blend
    values = [
        feed_for_rise(
            volume_l=case.tank.value,
            rise_ms_per_cm=short,
            gain_ms_per_cm=gain,
            rate_per_l=part.rate_per_l,
        )
        for part in case.feed.parts
    ]
    pours = pours_of(case.feed, values, case.book)
    slope = Fact("EC gain", gain, label_rate(case.feed, case.feed.parts[0]).origin)
    parts = tuple(
        Amount(
            name=part.name,
            value=value,
            unit="g" if part.dry else "mL",
            origin=computed(
                case.tank, case.told.litres, ec, case.tap, case.target, slope,
                label_rate(case.feed, part),
            ),
        )
        for part, value in zip(case.feed.parts, values, strict=True)
    )  # fmt: skip
    expected = Amount(
        name="ec_expected", value=case.target.value, unit="mS/cm", origin=computed(case.target)
    )
    do: tuple[Line, ...] = (
        (case.say("topup.pour_full", pours=pours),)
        if case.full
        else (
            case.say("topup.add", water=Measure(case.added_l, "water")),
            line("topup.pour", pours=pours),
        )
    )
    return Answer(
        outcome="answer",
        intent=intent_of(case, "topup_meter"),
        amounts=(case.water(), *parts, case.left(), _blend_amount(case, ec, blend), expected),
        do=(*do, *_first_pour(case, pours)),
        expect=(
            line(
                "expect.ec_before",
                ec=Measure(case.target.value, "ec"),
                before=Measure(blend, "ec"),
            ),
        ),
        why=(_why_meter("why.topup_ec", case, ec, blend),),
        check=(
            *case.told.notes,
            *assumptions(case),
            *gain_known(case.tower, case.book),
            *_strength_unused(case, gain),
        ),
        cautions=parts_caution(case),
    )


def _first_pour(case: Tank, pours: Pours) -> tuple[Line, ...]:
    """A guessed level and a meter at hand: pour part of it, read, then the rest."""
    if not case.told.guessed:
        return ()
    share = case.book.number("first_pour_share")
    first = tuple(Pour(p.name, p.amount * share, p.dry) for p in pours.parts)
    minutes = Measure(case.book.number("read_after_minutes"), "minutes")
    return (line("topup.guess", pours=Pours(first, steps=False), minutes=minutes),)


def _plain_water(case: Tank, ec: Fact, blend: float) -> Answer:
    """At or over target after plain water: no feed."""
    expected = replace(_blend_amount(case, ec, blend), name="ec_expected")
    amounts = (case.water(), *no_parts(case), case.left(), _blend_amount(case, ec, blend))
    if case.full:
        over = ec.value > case.book.number("ec_ok_high") * case.target.value
        do: tuple[Line, ...] = (case.say("topup.nothing" if over else "topup.fine"),)
        said = line(
            "expect.ec_seen", ec=Measure(ec.value, "ec"), target=Measure(case.target.value, "ec")
        )
    else:
        do = (
            case.say("topup.add", water=Measure(case.added_l, "water")),
            line("topup.plain"),
        )
        said = line("expect.ec", ec=Measure(blend, "ec_about"))
    return Answer(
        outcome="answer",
        intent=intent_of(case, "topup_meter"),
        amounts=(*amounts, expected),
        do=do,
        expect=(said,),
        why=() if case.full else (_why_meter("why.topup_over", case, ec, blend),),
        check=(*case.told.notes, *assumptions(case)),
    )


def _swap(case: Tank, ec: Fact) -> Answer:
    """Far over target and no room: scoop out, then fill to the line with plain water."""
    try:
        swap = swap_volume(
            level_l=case.now_l,
            ec_ms_per_cm=ec.value,
            tank_l=case.tank.value,
            target_ec_ms_per_cm=case.target.value,
            water_ec_ms_per_cm=case.tap.value,
        )
    except Impossible:
        raise water_over_target(case.tap, case.target) from None
    origin = computed(case.told.litres, ec, case.tank, case.target, case.tap)
    refill = swap + (0.0 if case.full else case.added_l)
    amounts = (
        Amount(name="swap", value=swap, unit="L", origin=origin),
        Amount(name="water", value=refill, unit="L", origin=origin),
        *no_parts(case),
        Amount(
            name="ec_expected", value=case.target.value, unit="mS/cm", origin=computed(case.target)
        ),
    )
    why = line(
        "why.swap",
        **_terms(case, ec),
        target=Measure(case.target.value, "ec"),
        swap=Measure(swap, "water"),
    )
    said = case.say("topup.swap", swap=Measure(swap, "water"), refill=Measure(refill, "water"))
    return Answer(
        outcome="answer",
        intent="overstrong",
        amounts=amounts,
        do=(said,),
        expect=(line("expect.ec", ec=Measure(case.target.value, "ec")),),
        why=(why,),
        check=(
            *case.told.notes,
            *assumptions(case),
            line(
                "check.read_after",
                minutes=Measure(case.book.number("read_after_minutes"), "minutes"),
            ),
        ),
        cautions=(line("caution.swap"),),
    )


def _terms(case: Tank, ec: Fact) -> dict[str, Value]:
    return {
        "left": Measure(case.now_l, "water"),
        "ec": Measure(ec.value, "ec"),
        "added": Measure(case.added_l, "water"),
        "tap": Measure(case.tap.value, "ec"),
        "tank": Measure(case.tank.value, "water"),
    }


def _why_meter(word: str, case: Tank, ec: Fact, blend: float) -> Line:
    values: dict[str, Value] = {
        **_terms(case, ec),
        "blend": Measure(blend, "ec_fine"),
        "target": Measure(case.target.value, "ec"),
    }
    if word == "why.topup_ec":
        values["short"] = Measure(case.target.value - blend, "ec_fine")
        values["feed"] = case.feed.name
        values["gain"] = Measure(case.feed.ec_gain_ms_per_cm or 0.0, "ec")
    return line(word, **values)


def _strength_unused(case: Tank, gain: float) -> tuple[Line, ...]:
    """With a meter the target decides; a strength that would make another reading is named."""
    strength = strength_fact(case.question.strength, case.tower, case.book)
    makes = mixed_ec(
        water_ec_ms_per_cm=case.tap.value, gain_ms_per_cm=gain, strength_fraction=strength.value
    )
    told = isinstance(strength.origin, FromText) or strength.value < 1
    if not told or abs(makes - case.target.value) <= case.book.number("ec_miss"):
        return ()
    return (
        line(
            "check.strength_unused",
            strength=Measure(strength.value, "share"),
            makes=Measure(makes, "ec_about"),
            target=Measure(case.target.value, "ec"),
        ),
    )
