"""A level as told -> litres in this tank, with what has to be said about it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

from bot.records.answer import Answer, Awaits, Fact, FromText, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.facts import Tower
from bot.records.questions import Away, Check, Clean, Heat, Log, Ph, TopUp
from bot.services.asking import Ask, clarify
from bot.services.facts import computed, measures
from bot.services.shape import litres_at, marks_of
from bot.services.yardstick import depth_of
from calc.units import FINGER_CM, Level, from_si, read_level

Levelled = TypeVar("Levelled", TopUp, Log, Check, Ph, Heat, Away, Clean)

_OTHER_TANK = 0.05
_SLACK = 1.005  # a full tank read a hair over its line is full


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """litres: in the tank now; guessed: by eye or hand; tolerance_l: how good that is."""

    litres: Fact
    guessed: bool
    tolerance_l: float
    level: Level
    notes: tuple[Line, ...]


def told_level(question: Levelled, tank: Fact, tower: Tower | None, book: Book) -> Told:
    """What `question.level` means in this tank.

    Raises
    ------
    Ask
        No level, one above the full line, or a depth in a tank of unknown depth.
    CalcError
        A text that is no level.
    """
    if question.level is None:
        raise how_full(question, tower)
    level = read_level(question.level, measures=measures(book))
    if tower is not None and abs(tank.value - tower.tank_l) > _OTHER_TANK * tower.tank_l:
        # A tank of another size has another depth.
        tower = replace(tower, full_depth_cm=None, jug_marks=())
    depth = getattr(question, "depth", None)
    full = depth_of(tower, depth, book)
    litres = _litres(level, question, tank, full, tower)
    if litres < -0.001 * tank.value and level.of != "volume":
        raise Ask(clarify("bad_input", line("ask.below_empty")))
    if not -0.001 * tank.value <= litres <= tank.value * _SLACK:
        raise Ask(_impossible(level, litres, tank))
    litres = min(max(litres, 0.0), tank.value)
    guess_l = book.number("level_guess_fraction") * tank.value if level.guessed else 0.0
    fact = Fact("level", litres, computed(Fact("level as told", level.value, FromText()), tank))
    notes = _echo(level, litres, tank, book, guess_l)
    return Told(litres=fact, guessed=level.guessed, tolerance_l=guess_l, level=level, notes=notes)


def _litres(
    level: Level, question: Levelled, tank: Fact, full: float | None, tower: Tower | None
) -> float:
    if level.of == "volume":
        return tank.value - level.value if level.missing else level.value
    if level.of == "fraction":
        share = 1 - level.value if level.missing else level.value
        if not level.offset_cm:
            return share * tank.value
        full = _full_depth(full, tower)
        return tank.value * (share + level.offset_cm / full)
    marks = marks_of(tower, tank.value)
    if full is None and marks and not level.missing and level.value <= marks[-1][1]:
        return litres_at(level.value, full_cm=None, tank_l=tank.value, tower=tower)
    full = _full_depth(full, tower)
    if level.value > full:
        raise Ask(_too_deep(level, question, full))
    deep = full - level.value if level.missing else level.value
    return litres_at(deep, full_cm=full, tank_l=tank.value, tower=tower)


def _full_depth(full: float | None, tower: Tower | None) -> float:
    if full is None:
        asked = line("ask.no_depth", tower=tower.name) if tower else line("ask.no_depth_unnamed")
        raise Ask(clarify("topup_depth", asked))
    return full


def how_full(question: Levelled, tower: Tower | None) -> Ask:
    """The question for the level, with buttons."""
    choices = (
        ("full", "full"),
        ("three_quarters", "3/4"),
        ("half", "half"),
        ("quarter", "a quarter"),
    )
    offers = [
        Offer(label=line(f"button.{word}"), question=replace(question, level=said))
        for word, said in choices
    ]
    asked = line("ask.level", tower=tower.name) if tower else line("ask.level_unnamed")
    found = clarify("topup_no_meter", asked, offers=offers)
    return Ask(replace(found, awaits=Awaits(question=question, field="level")))


def _too_deep(level: Level, question: Levelled, full_cm: float) -> Answer:
    """27 in in a 14 in tank: 2.7 in, or 27 cm? Both are offered where both fit."""
    typed = from_si(level.value, level.unit) if level.unit in ("in", "cm", "mm") else level.value
    depth, full = _depth(level.value, level.unit), _depth(full_cm, level.unit)
    if level.unit != "in" or typed > full_cm or level.value / 10 > full_cm:
        return clarify("bad_input", line("ask.depth_above", depth=depth, full=full))
    end = " below full" if level.missing else " deep"
    offers = [
        Offer(label=line("button.text", text=text), question=replace(question, level=text + end))
        for text in (f"{typed / 10:g} in", f"{typed:g} cm")
    ]
    asked = line(
        "ask.depth_too_big",
        depth=depth,
        full=full,
        smaller=_depth(level.value / 10, "in"),
        centimetres=_depth(typed, "cm"),
    )
    return clarify("bad_input", asked, offers=offers)


def _depth(cm: float, unit: str) -> Measure:
    return Measure(cm, "depth_in" if unit == "in" else "depth_cm")


def _impossible(level: Level, litres: float, tank: Fact) -> Answer:
    shown = Measure(level.value if level.of == "volume" else litres, "water")
    return clarify(
        "bad_input", line("ask.above_full", level=shown, tank=Measure(tank.value, "water"))
    )


def _echo(level: Level, litres: float, tank: Fact, book: Book, guess_l: float) -> tuple[Line, ...]:
    notes: list[Line] = []
    left = Measure(litres, "water")
    if level.missing and level.of != "depth":
        missing = Measure(tank.value - litres, "water")
        notes.append(line("check.echo_missing", missing=missing, left=left))
    elif level.of == "volume" or level.of == "depth":
        notes.append(line("check.echo_left", left=left))
    if level.unit == "finger" and book.member.finger_mm is None:
        notes.append(line("check.finger", finger=Measure(FINGER_CM, "depth_mm")))
    elif level.guessed and level.unit != "finger":
        share = Measure(litres / tank.value, "part")
        tolerance = Measure(guess_l, "water")
        notes.append(line("check.level_by_eye", level=share, tolerance=tolerance))
    return tuple(notes)
