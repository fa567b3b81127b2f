"""Tower records: add, show, edit. Guesses are named as guesses."""

from __future__ import annotations

import re
from dataclasses import fields, replace

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Measure, line
from bot.records.book import Book
from bot.records.changes import MOST_TOWERS, AddEntry, AddTower, EditTower
from bot.records.facts import MOST_PORTS, Entry, Tower
from bot.records.questions import TowerAdd, TowerEdit, TowerShow
from bot.services.choosing import chosen_tower
from bot.services.facts import ec_fact, feed_for, measures, towers_tap, towers_target
from bot.services.log.entries import TANK
from bot.services.log.learning import LABEL, forgotten, gain_known
from bot.services.log.use import pump_line_l, refill_mark_l
from bot.services.running.setting import Setting, read_flow, read_timer
from bot.services.shape import marks_fit, read_marks
from bot.text import plain
from calc.errors import OutOfRange, Unreadable, within
from calc.units import (
    Measures,
    Quantity,
    read_depth_cm,
    read_level,
    read_number,
    read_strength,
    read_volume,
    scan,
    to_si,
)

_NAME = re.compile(r"[^\W_](?:[\w' -]{0,30}[\w'])?")
_UNSEEN = frozenset("\u3164\u115f\u1160\uffa0")  # letters by their class, blank on every screen
_PLACES = {"indoor": "indoor", "indoors": "indoor", "outdoor": "outdoor", "outdoors": "outdoor"}
_SMALLEST_TANK_L = 1.0
HIGHEST_TAP_MS = 2.0  # beyond, no feed fits under a leafy target: value from memory
_WATER_KG_PER_L = 1.0
_SAME_TANK = 0.16  # a box's size may be so far off what a jug tells; beyond, it is another tank


def tower_add(question: TowerAdd, book: Book) -> Answer:
    """A new tower.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    if len(book.towers) >= MOST_TOWERS:
        raise Refusal("no.tower_limit", count=MOST_TOWERS)
    name = _free_name(question.name, book, None)
    tank = read_volume(question.tank, measures=measures(book)).litres
    blank = Tower(name=name, tank_l=tank, feed=book.feeds[0].name if book.feeds else None)
    tower = replace(_edited(blank, question, book), set_on=book.local(book.now))
    return _answer("tower.saved", tower, book, changes=(AddTower(tower=tower),))


def tower_edit(question: TowerEdit, book: Book) -> Answer:
    """Other facts for a tower already there.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    tower = chosen_tower(question, book)
    changed = tower
    if question.name is not None:
        changed = replace(changed, name=_free_name(question.name, book, tower))
    if question.tank is not None:
        tank = read_volume(question.tank, measures=measures(book)).litres
        changed = replace(changed, tank_l=tank)
        if abs(tank / tower.tank_l - 1) > _SAME_TANK:  # another tank has another shape
            changed = replace(changed, jug_marks=())
    changed = _edited(changed, question, book)
    if changed == tower:
        raise Refusal("no.nothing_to_edit", tower=tower.name)
    changed = replace(changed, set_on=book.local(book.now))
    facts = tuple(
        (field.name, getattr(changed, field.name))
        for field in fields(Tower)
        if getattr(changed, field.name) != getattr(tower, field.name)
    )
    edit = EditTower(tower_id=tower.id, name=changed.name, facts=facts)
    found = _answer("tower.changed", changed, book, changes=(edit,), before=tower)
    if abs(changed.tank_l / tower.tank_l - 1) <= _SAME_TANK or not book.entries(tower.name):
        return found
    note = Entry(tower=changed.name, at=book.now, kind=TANK, by=book.member.name,
                 recorded_at=book.now)  # fmt: skip
    return replace(
        found,
        changes=(edit, AddEntry(tower_id=tower.id, entry=note)),
        check=(*found.check, line("tower.new_tank")),
    )


def tower_show(question: TowerShow, book: Book) -> Answer:
    """What is known about a tower.

    Raises
    ------
    Ask
    """
    tower = chosen_tower(question, book)
    return _answer("tower.shown", tower, book)


def well_named(name: str) -> bool:
    """A tower's name: letters, digits, spaces and - ', up to 32 of them, something to see."""
    return bool(_NAME.fullmatch(name)) and not (set(name) & _UNSEEN)


def _free_name(typed: str, book: Book, own: Tower | None) -> str:
    name = plain(typed)
    if not well_named(name):
        raise Refusal("no.tower_name")
    kept = (*book.towers, *book.packed)
    if any(t.name.casefold() == name.casefold() for t in kept if t != own):
        raise Refusal("no.tower_taken", name=name)
    return name


def _edited(tower: Tower, question: TowerAdd | TowerEdit, book: Book) -> Tower:
    """`tower` with every fact that the question names."""
    mine, before = measures(book), tower
    if question.depth is not None:
        tower = replace(tower, full_depth_cm=read_depth_cm(question.depth, measures=mine))
    if question.place is not None:
        tower = replace(tower, place=_place(question.place))
    if question.feed is not None and (feed := feed_for(None, question.feed, book)):
        tower = replace(tower, feed=feed.name)
    if question.strength is not None:
        tower = replace(tower, strength=read_strength(question.strength))
    if question.target is not None:
        tower = replace(tower, target_ec=ec_fact("target", question.target, book, question).value)
    if question.tap is not None:
        tower = replace(tower, water_ec=ec_fact("tap", question.tap, book, question).value)
    if question.pump_line is not None:
        litres = read_volume(question.pump_line, measures=measures(book)).litres
        tower = replace(tower, pump_min_l=litres)
    if question.refill is not None:
        tower = replace(tower, refill_at_fraction=_refill(question.refill, tower, book))
    if question.ports is not None:
        levels, ports = _ports(question.ports)
        tower = replace(tower, levels=levels, ports_per_level=ports)
        outside = [p for p in book.growing(tower.name) if p.level > levels or p.port > ports]
        if outside:
            raise Refusal("no.port_grows", port=f"L{outside[0].level}P{outside[0].port}",
                          crop=outside[0].crop)  # fmt: skip
    if question.timer is not None:
        tower = _timed(tower, read_timer(question.timer))
    if isinstance(question, TowerEdit):
        tower = _wired(tower, question, mine)
        tower = _learned(tower, question, before, book)
    return sound(tower)


def _learned(tower: Tower, question: TowerEdit, before: Tower, book: Book) -> Tower:
    """The tank's shape by the jug; its feed's gain as the label says, where that is wanted."""
    if question.marks is not None:
        tower = replace(tower, jug_marks=read_marks(question.marks, tower.tank_l, book))
    if question.gain is not None:
        if question.gain.strip().casefold() != LABEL:
            raise Refusal("no.gain")
        tower = forgotten(tower, book)
    if before.feed != tower.feed and tower.gain_factor is not None:
        tower = forgotten(tower, book)  # what another feed has taught
    return tower


def _wired(tower: Tower, question: TowerEdit, mine: Measures) -> Tower:
    """Pump and lamp, as their own commands have read them."""
    if question.watts is not None:
        watts = read_number(question.watts, wanted="watts", low=0.1, high=5000, unit="W")
        tower = replace(tower, pump_w=watts)
    if question.flow is not None:
        tower = replace(tower, pump_l_per_h=read_flow(question.flow, measures=mine))
    if question.ppfd is not None:
        ppfd = read_number(question.ppfd, wanted="PPFD", low=1, high=3000, unit="")
        tower = replace(tower, light_ppfd=ppfd)
    if question.hours is not None:
        hours = read_number(question.hours, wanted="hours", low=0.1, high=24, unit="h")
        tower = replace(tower, light_h=hours)
    if question.lamp_watts is not None:
        watts = read_number(question.lamp_watts, wanted="watts", low=0.1, high=5000, unit="W")
        tower = replace(tower, light_w=watts)
    return tower


def _timed(tower: Tower, setting: Setting) -> Tower:
    """The timer as set; a kind that was not said stays as it was."""
    tower = replace(tower, timer_on_min=setting.on_min, timer_off_min=setting.off_min)
    if setting.kind is None:
        return tower
    return replace(tower, timer_kind=setting.kind, timer_step_min=setting.step_min)


def _place(typed: str) -> str:
    place = _PLACES.get(typed.strip().casefold())
    if place is None:
        raise Refusal("no.place", text=typed[:40])
    return place


def sound(tower: Tower) -> Tower:
    """`tower` itself, when its facts can all be true at once."""
    within(name="tank", value=tower.tank_l, low=_SMALLEST_TANK_L, high=10_000, unit="L")
    if tower.pump_min_l is not None and tower.pump_min_l >= tower.tank_l:
        raise OutOfRange(
            name="pump line", value=tower.pump_min_l, low=0, high=tower.tank_l, unit="L"
        )
    if not marks_fit(tower):
        raise Refusal("no.marks_depth", outcome="refuse")
    refill = tower.refill_at_fraction
    if refill is not None:
        within(name="refill mark", value=refill, low=0.05, high=0.95, unit="of the tank")
        if refill * tower.tank_l <= (tower.pump_min_l or 0.0):
            low = tower.pump_min_l or 0.0
            raise OutOfRange(
                name="refill mark",
                value=refill * tower.tank_l,
                low=low,
                high=tower.tank_l,
                unit="L",
            )
    if tower.water_ec is not None:
        within(
            name="tap water's EC", value=tower.water_ec, low=0, high=HIGHEST_TAP_MS, unit="mS/cm"
        )
    return tower


def _ports(typed: str) -> tuple[int, int]:
    """ "6 levels of 5", "6x5" -> levels and ports a level."""
    cut = re.sub(r"(?<=\d)\s*[x×]\s*(?=\d)", " ", typed.casefold())
    numbers = [i.number for i in scan(cut) if isinstance(i, Quantity) and i.kind == "number"]
    if len(numbers) != 2 or not all(n == int(n) and 1 <= n <= 100 for n in numbers):
        raise Unreadable(text=typed[:60], wanted="ports")
    within(name="ports", value=numbers[0] * numbers[1], low=1, high=MOST_PORTS, unit="")
    return int(numbers[0]), int(numbers[1])


def _refill(typed: str, tower: Tower, book: Book) -> float:
    """ "half", "40 %", "6 gal" -> the share of the tank to refill at."""
    if (level := read_level(typed, measures=measures(book))).of == "fraction":
        share = 1 - level.value if level.missing else level.value
    else:
        share = read_volume(typed, measures=measures(book)).litres / tower.tank_l
    return within(name="refill mark", value=share, low=0.05, high=0.95, unit="of the tank")


def _answer(
    word: str,
    tower: Tower,
    book: Book,
    changes: tuple[AddTower | EditTower, ...] = (),
    before: Tower | None = None,
) -> Answer:
    """What is known of a tower; of one that was changed, what is other than `before`."""
    first = line(
        word,
        name=tower.name,
        tank=Measure(tower.tank_l, "water"),
        other=Measure(tower.tank_l, "water_other"),
    )
    new = any(isinstance(change, AddTower) for change in changes)
    return Answer(
        outcome="answer",
        intent="tower",
        do=(first,),
        expect=_known(tower, book) if before is None else _other(tower, before, book),
        check=_guesses(tower, book, new=new) if before is None else (),
        cautions=(line("tower.weight", weight=Measure(tower.tank_l * _WATER_KG_PER_L, "weight")),)
        if new
        else (),
        changes=changes,
    )


def _other(tower: Tower, before: Tower, book: Book) -> tuple[Line, ...]:
    old = _known(before, book)
    return tuple(one for one in _known(tower, book) if one not in old)


def _known(tower: Tower, book: Book) -> tuple[Line, ...]:
    lines: list[Line] = []
    if tower.full_depth_cm and not tower.jug_marks:
        per_cm = tower.tank_l / tower.full_depth_cm
        per_inch = Measure(per_cm * to_si(1, "in"), "water")
        inch_l = Measure(per_cm * to_si(1, "in"), "water_other")
        if book.member.units == "us":
            depth = Measure(tower.full_depth_cm, "depth_in")
            lines.append(line("tower.depth", depth=depth, inch=per_inch, inch_l=inch_l))
        else:
            depth = Measure(tower.full_depth_cm, "depth_cm")
            lines.append(line("tower.depth_cm", depth=depth, cm=Measure(per_cm, "water")))
    if tower.jug_marks:
        lines.append(line("tower.jug_marks", count=len(tower.jug_marks)))
    if tower.place:
        lines.append(line("tower.place", place=(line(f"place.{tower.place}"),)))
    if tower.feed:
        share = Measure(1.0 if tower.strength is None else tower.strength, "share")
        lines.append(line("tower.feed", feed=tower.feed, strength=share))
    else:
        lines.append(line("tower.no_feed"))
    target, tap = towers_target(tower, book).value, towers_tap(tower, book).value
    if tower.water or tower.hardness_mg_per_l is not None:
        lines.append(_water(tower))
    lines.append(line("tower.target", target=Measure(target, "ec"), tap=Measure(tap, "ec")))
    lines.extend(gain_known(tower, book))
    lines.append(_marks(tower, book))
    if tower.levels and tower.ports_per_level:
        lines.append(line("tower.ports", levels=tower.levels, ports=tower.ports_per_level))
    if tower.shared_with:
        names = tuple(line("button.tower", name=name) for name in tower.shared_with)
        lines.append(line("tower.shared", names=names))
    if tower.stage in ("coming", "empty"):
        lines.append(line(f"tower.stage_{tower.stage}"))
    if tower.timer_on_min and tower.timer_off_min:
        on, off = Measure(tower.timer_on_min, "minutes"), Measure(tower.timer_off_min, "minutes")
        lines.append(line("tower.timer_plain", on=on, off=off))
    return tuple(lines)


def _water(tower: Tower) -> Line:
    """Where its water comes from, and how hard that is."""
    kind = (line(f"choice.water_{tower.water}"),) if tower.water else (line("tower.its_water"),)
    if tower.hardness_mg_per_l is None:
        return line("tower.water", kind=kind)
    hardness = Measure(tower.hardness_mg_per_l, "number")
    return line("tower.water_hard", kind=kind, hardness=hardness)


def _marks(tower: Tower, book: Book) -> Line:
    return line(
        "tower.marks",
        refill=Measure(refill_mark_l(tower, book), "water"),
        pump=Measure(pump_line_l(tower, book), "water"),
    )


def _guesses(tower: Tower, book: Book, *, new: bool) -> tuple[Line, ...]:
    lines: list[Line] = []
    if tower.pump_min_l is None and tower.refill_at_fraction is None:
        lines.append(line("tower.guess_marks"))
    elif tower.pump_min_l is None:
        lines.append(line("tower.guess_pump"))
    elif tower.refill_at_fraction is None:
        lines.append(line("tower.guess_refill"))
    missing = {"target_ec": tower.target_ec, "tap_ec": tower.water_ec}
    unset = [key for key, value in missing.items() if value is None]
    if unset:
        coached = all(book.rule(key).set_on for key in unset)
        lines.append(line("tower.coach_ec" if coached else "tower.guess_ec"))
    if new:
        lines.append(line("tower.nominal"))
    return tuple(lines)
