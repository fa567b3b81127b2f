"""A spell of heat, wind or frost, tower by tower: what it does to this tank, and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from bot.records.answer import Answer, Line, Measure, Offer, Weekday, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Heat, MoveIn, TopUp
from bot.records.reminders import Debt
from bot.services.log.use import level_at, pump_line_l, refill_mark_l, use_of
from bot.services.reminding.said import Said
from bot.services.reminding.spoken import part_of_day
from calc.air import ice_kg, oxygen_mg_per_l
from calc.errors import CalcError
from calc.refill import days_to_mark

SPELLS: Final = ("heat", "wind", "frost")
_USUAL_OFF_MIN: Final = 15  # outdoors in heat; common practice, no source
NOT_HOT_C: Final = 25.0  # no air is hot below it
_KG_PER_L: Final = 1.0
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """kind: one of SPELLS; celsius: the air's highest (heat) or lowest (frost), where told."""

    kind: str
    celsius: float | None = None
    until: date | None = None


def outdoors(book: Book) -> tuple[Tower, ...]:
    """The person's towers that stand outside with something in them."""
    return tuple(
        t for t in book.towers if t.place == "outdoor" and t.stage in (None, "growing", "empty")
    )


def told(spell: Spell, book: Book) -> tuple[Line, ...]:
    """One line or two for each tower, then what holds for all of them."""
    each = tuple(one for tower in outdoors(book) for one in _TOLD[spell.kind](tower, spell, book))
    return (*each, *_for_all(spell))


def offers(spell: Spell, book: Book) -> tuple[Offer, ...]:
    """What most will want next, for the first tower."""
    towers = outdoors(book)
    if not towers:
        return ()
    name = towers[0].name
    if spell.kind == "heat":
        return (
            Offer(label=line("button.what_to_add"), question=TopUp(tower=name), form="topup"),
            Offer(label=line("button.cool_it"), question=Heat(tower=name), form="heat"),
        )
    if spell.kind == "frost":
        return (Offer(label=line("button.bring_in"), question=MoveIn(tower=name)),)
    return (Offer(label=line("button.what_to_add"), question=TopUp(tower=name), form="topup"),)


def _for_all(spell: Spell) -> tuple[Line, ...]:
    if spell.kind != "heat":
        return (line(f"spell.{spell.kind}_all"),)
    return (*_oxygen(spell.celsius), line("heat.shade"))


def _oxygen(celsius: float | None) -> tuple[Line, ...]:
    if celsius is None:
        return ()
    try:
        held = oxygen_mg_per_l(temperature_c=celsius, altitude_m=0)
    except CalcError:
        return ()
    return (line("spell.oxygen", temp=Measure(celsius, "temperature"), oxygen=Measure(held, "ph")),)


def _heat(tower: Tower, spell: Spell, book: Book) -> tuple[Line, ...]:
    """Thirst and both marks with it, the timer, what a bottle of ice does."""
    use = use_of(tower, book)
    if use is None:
        return (line("spell.heat_blind", tower=tower.name), *_timer(tower))
    factor, level = book.number("hot_thirst"), level_at(use, book.now)
    half, dry = refill_mark_l(tower, book), pump_line_l(tower, book)
    hot = use.l_per_d * factor
    word = "spell.heat" if level > half else "spell.heat_low" if level > dry else "spell.heat_dry"
    return (
        line(
            word,
            tower=tower.name,
            factor=Measure(factor, "number"),
            use=Measure(hot, "water"),
            level=Measure(level, "water"),
            half=(part_of_day(_at(level, half, hot, book), book),),
            dry=(part_of_day(_at(level, dry, hot, book), book),),
            normal=(part_of_day(_at(level, dry, use.l_per_d, book), book),),
            water=Measure(tower.tank_l - level, "water"),
        ),
        *_timer(tower),
        *_bottle(tower.tank_l, spell.celsius),
    )


def _at(level_l: float, mark_l: float, l_per_d: float, book: Book) -> datetime:
    return book.now + _DAY * days_to_mark(level_l=level_l, mark_l=mark_l, use_l_per_d=l_per_d)


def _timer(tower: Tower) -> tuple[Line, ...]:
    """Roots in the air dry faster: a shorter pause by day."""
    if tower.timer_off_min is None or tower.timer_off_min <= _USUAL_OFF_MIN:
        return ()
    off, usual = Measure(tower.timer_off_min, "minutes"), Measure(_USUAL_OFF_MIN, "minutes")
    return (line("spell.timer", tower=tower.name, off=off, usual=usual),)


def _bottle(tank_l: float, celsius: float | None) -> tuple[Line, ...]:
    """How far one litre of ice cools a full tank, from as warm as the air."""
    if celsius is None:
        return ()
    try:
        a_degree = ice_kg(water_l=tank_l, from_c=celsius, to_c=celsius - 1)
    except CalcError:
        return ()
    return (line("spell.bottle", drop=Measure(1 / a_degree, "degrees")),)


def _wind(tower: Tower, spell: Spell, book: Book) -> tuple[Line, ...]:
    """A full tank is what holds it down."""
    use = use_of(tower, book)
    full = Measure(tower.tank_l * _KG_PER_L, "weight")
    if use is None:
        return (line("spell.wind_blind", tower=tower.name, full=full),)
    level = level_at(use, book.now)
    return (
        line(
            "spell.wind",
            tower=tower.name,
            now=Measure(level * _KG_PER_L, "weight"),
            full=full,
            water=Measure(max(0.0, tower.tank_l - level), "water"),
        ),
    )


def _frost(tower: Tower, spell: Spell, book: Book) -> tuple[Line, ...]:
    """Water in a pump that stands freezes first."""
    use = use_of(tower, book)
    level = tower.tank_l if use is None else level_at(use, book.now)
    word = "spell.frost" if use is not None else "spell.frost_blind"
    return (line(word, tower=tower.name, level=Measure(level, "water")),)


_TOLD: Final = {"heat": _heat, "wind": _wind, "frost": _frost}


def key_of(spell: Spell) -> str:
    """What a debt of it is known by, and all that it has to know."""
    celsius = "" if spell.celsius is None else f"{spell.celsius:.1f}"
    until = spell.until.isoformat() if spell.until else ""
    return f"{spell.kind}:{celsius}:{until}"


def spell_of(key: str) -> Spell:
    kind, celsius, until = key.split(":")
    return Spell(
        kind=kind,
        celsius=float(celsius) if celsius else None,
        until=date.fromisoformat(until) if until else None,
    )


def say_spell(debt: Debt, book: Book) -> Said | None:
    """The member's own numbers; nothing once it is over, or with no tower outdoors."""
    spell = spell_of(debt.key)
    if not outdoors(book) or (spell.until is not None and spell.until < book.local(book.now)):
        return None
    say = head(spell)
    own = offers(spell, book)
    return Said(
        debt=debt,
        short=say,
        alone=Answer(outcome="answer", intent="reminder", do=(say, *told(spell, book))),
        own=own,
    )


def head(spell: Spell) -> Line:
    """What comes, and until when."""
    shown = Measure(spell.celsius or 0.0, "temperature")
    if spell.until is None:
        return line("spell.air_head", temp=shown)
    if spell.celsius is None:
        return line(f"spell.{spell.kind}_head_plain", day=Weekday(spell.until))
    return line(f"spell.{spell.kind}_head", temp=shown, day=Weekday(spell.until))
