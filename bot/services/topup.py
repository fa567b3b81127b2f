"""Back to the line: how much water, how much of each part, and what the meter reads after."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromPolicy,
    FromText,
    Line,
    Measure,
    Pour,
    Pours,
    Value,
    line,
)
from bot.records.book import Book
from bot.records.facts import Feed, Tower
from bot.records.questions import TopUp
from bot.services.asking import Ask, clarify
from bot.services.dose import poured_parts, pours_of, rates_of
from bot.services.facts import (
    assumed,
    computed,
    ec_fact,
    feed_for,
    label_rate,
    measures,
    strength_fact,
    tank_fact,
    tap_fact,
    target_fact,
    tower_for,
    water_over_target,
)
from bot.services.levels import Told, told_level
from calc.dose import mixed_ec
from calc.errors import Impossible
from calc.topup import feed_for_rise, filled_ec, swap_volume
from calc.units import read_volume

_A_DROP_L = 0.05  # less than this to the line is a full tank
_BELOW_TAP_MS = 0.05  # a pen's own step
_NO_FEED_MS = 0.005  # a smaller shortfall than any meter shows


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """One tank in front of one person: everything the arithmetic needs."""

    question: TopUp
    book: Book
    tower: Tower | None
    feed: Feed
    tank: Fact
    told: Told
    tap: Fact
    target: Fact

    @property
    def now_l(self) -> float:
        return self.told.litres.value

    @property
    def added_l(self) -> float:
        return max(0.0, self.tank.value - self.now_l)

    @property
    def full(self) -> bool:
        return self.added_l < _A_DROP_L

    def say(self, word: str, **values: Value) -> Line:
        """A line with the tower's name, or its form without one."""
        if self.tower is None:
            return line(f"{word}_unnamed", **values)
        return line(word, tower=self.tower.name, **values)

    def water(self) -> Amount:
        """Water to the line, as sure as the level is."""
        return Amount(
            name="water",
            value=0.0 if self.full else self.added_l,
            unit="L",
            origin=computed(self.tank, self.told.litres),
            tolerance=self.told.tolerance_l or None,
        )

    def left(self) -> Amount:
        """What is in the tank now."""
        return Amount(
            name="left",
            value=self.now_l,
            unit="L",
            origin=self.told.litres.origin,
            tolerance=self.told.tolerance_l or None,
        )


def topup(question: TopUp, book: Book) -> Answer:
    """Water and feed to the line.

    Raises
    ------
    Ask, CalcError
    """
    tower = tower_for(question, book, topup)
    tank = tank_fact(question.tank, tower, book)
    if tank is None:
        raise Ask(clarify("topup_no_meter", line("ask.tank")))
    feed = feed_for(tower, None, book)
    if feed is None or not feed.parts:
        raise Ask(clarify("topup_no_meter", line("ask.feed")))
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
        asked = line("ask.below_tap", ec=Measure(ec.value, "ec"), tap=Measure(case.tap.value, "ec"))
        raise Ask(clarify("bad_input", asked))
    if question.added is not None and ec is None:
        return _already_poured(case)
    if ec is None or feed.ec_gain_ms_per_cm is None:
        return _by_label(case, metered=ec is not None)
    return _by_meter(case, ec, feed.ec_gain_ms_per_cm)


def _label_strength(case: Tank) -> tuple[Fact, tuple[Line, ...]]:
    """The tower's strength, or the coach's for tanks without a meter when that is lower."""
    own = strength_fact(case.question.strength, case.tower)
    rule = case.book.rule("no_meter_topup_strength")
    if rule.value is None or rule.value >= own.value or isinstance(own.origin, FromText):
        return own, ()
    lower = Fact(
        "strength", rule.value, FromPolicy("no_meter_topup_strength", rule.set_on, rule.by)
    )
    if rule.set_on is None:
        return lower, ()
    note = line(
        "check.strength_policy",
        strength=Measure(rule.value, "share"),
        coach=rule.by or case.book.coach or "the coach",
        date=rule.set_on,
    )
    return lower, (note,)


def _by_label(case: Tank, *, metered: bool) -> Answer:
    """No meter (or a feed of unknown gain): label rate for the new water only."""
    if case.full:
        return Answer(
            outcome="answer",
            intent=_intent(case, "topup_no_meter"),
            amounts=(case.water(), *_no_parts(case)),
            do=(case.say("topup.full"),),
            check=case.told.notes,
        )
    strength, notes = _label_strength(case)
    water = Fact("water", case.added_l, computed(case.tank, case.told.litres))
    pours, parts = poured_parts(case.feed, water, strength, case.book)
    expect, more = _expected_by_label(case, water, strength)
    unmetered = () if metered else (line("check.full_rate_creeps"),)
    no_gain = (line("check.no_gain", feed=case.feed.name),) if metered else ()
    return Answer(
        outcome="answer",
        intent=_intent(case, "topup_no_meter"),
        amounts=(case.water(), *parts, case.left(), *more),
        do=(
            case.say("topup.add", water=Measure(case.added_l, "water")),
            line("topup.pour", pours=pours),
        ),
        expect=expect,
        why=(_why_label(case, water, strength),),
        check=(*case.told.notes, *notes, *_assumed(case), *no_gain, *unmetered),
        cautions=_parts_caution(case),
    )


def _already_poured(case: Tank) -> Answer:
    """Plain water went in already: feed for that water, never for the whole tank."""
    told = read_volume(case.question.added or "", measures=measures(case.book))
    if told.litres > case.tank.value:
        asked = line(
            "ask.above_full",
            level=Measure(told.litres, "water"),
            tank=Measure(case.tank.value, "water"),
        )
        raise Ask(clarify("bad_input", asked))
    water = Fact("water", told.litres, FromText())
    strength, notes = _label_strength(case)
    pours, parts = poured_parts(case.feed, water, strength, case.book)
    expect, more = _expected_by_label(case, water, strength, filled=True)
    return Answer(
        outcome="answer",
        intent="topup_poured",
        amounts=(*parts, *more),
        do=(line("topup.pour_added", water=Measure(water.value, "water"), pours=pours),),
        expect=expect,
        why=(_why_label(case, water, strength),),
        check=(*notes, *_assumed(case), line("check.full_rate_creeps")),
        cautions=_parts_caution(case),
    )


def _why_label(case: Tank, water: Fact, strength: Fact) -> Line:
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


def _by_meter(case: Tank, ec: Fact, gain: float) -> Answer:
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
        intent=_intent(case, "topup_meter"),
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
        check=(*case.told.notes, *_assumed(case), *_strength_unused(case, gain)),
        cautions=_parts_caution(case),
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
    amounts = (case.water(), *_no_parts(case), case.left(), _blend_amount(case, ec, blend))
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
        intent=_intent(case, "topup_meter"),
        amounts=(*amounts, expected),
        do=do,
        expect=(said,),
        why=() if case.full else (_why_meter("why.topup_over", case, ec, blend),),
        check=(*case.told.notes, *_assumed(case)),
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
        *_no_parts(case),
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
            *_assumed(case),
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


def _no_parts(case: Tank) -> tuple[Amount, ...]:
    """Each part as an explicit 0: plain water is an answer, not a gap."""
    origin = computed(case.tank, case.told.litres, case.target)
    return tuple(
        Amount(name=p.name, value=0.0, unit="g" if p.dry else "mL", origin=origin)
        for p in case.feed.parts
    )


def _assumed(case: Tank) -> tuple[Line, ...]:
    return (*assumed(case.tap), *assumed(case.target))


def _strength_unused(case: Tank, gain: float) -> tuple[Line, ...]:
    """With a meter the target decides; a strength that would make another reading is named."""
    strength = strength_fact(case.question.strength, case.tower)
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


def _parts_caution(case: Tank) -> tuple[Line, ...]:
    return (line("caution.parts"),) if len(case.feed.parts) > 1 else ()


def _intent(case: Tank, otherwise: str) -> str:
    """The kind of top-up, by how its level was told."""
    if case.told.level.unit == "finger":
        return "topup_fingers"
    return "topup_depth" if case.told.level.of == "depth" else otherwise
