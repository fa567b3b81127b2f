"""Asking back: the one question that settles a case, with buttons where the choices are known."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

from bot.records.answer import (
    Amount,
    Answer,
    Computed,
    Fact,
    FromText,
    Line,
    Measure,
    Offer,
    Pour,
    Pours,
    Remember,
    line,
)
from bot.records.book import Book
from bot.records.questions import (
    Away,
    Check,
    Dose,
    Heat,
    Log,
    Ph,
    Policy,
    Question,
    TopUp,
    with_field,
)
from calc.errors import Ambiguous, CalcError

Asked = TypeVar("Asked", Dose, TopUp)


class Ask(Exception):
    """Raised where a case cannot go on; carries the clarifying answer."""

    def __init__(self, answer: Answer) -> None:
        super().__init__(answer.intent)
        self.answer = answer


def clarify(
    intent: str, asked: Line, *, offers: Sequence[Offer] = (), amounts: Sequence[Amount] = ()
) -> Answer:
    """One question back."""
    return Answer(
        outcome="clarify", intent=intent, do=(asked,), offers=tuple(offers), amounts=tuple(amounts)
    )


def which_tower(
    question: Asked, book: Book, again: Callable[[Asked, Book], Answer], unknown: str | None = None
) -> Exception:
    """Which of several towers: each named with what it would need, so the reader need only pick.

    Where no tower can be answered, what is wrong with all of them is asked instead.
    """
    readings: list[Line] = []
    amounts: list[Amount] = []
    troubles: list[Exception] = []
    for tower in book.towers:
        try:
            found = again(replace(question, tower=tower.name), book)
        except (Ask, CalcError) as trouble:  # that reading has a question of its own
            troubles.append(trouble)
            readings.append(line("button.tower", name=tower.name))
            continue
        readings.append(_reading(tower.name, found))
        amounts += [replace(a, name=f"{tower.name} {a.name}") for a in found.amounts]
    if len(troubles) == len(book.towers) and unknown is None:
        return _same_for_all(troubles[0], readings, book)
    offers = [
        Offer(label=line("button.tower", name=t.name), question=replace(question, tower=t.name))
        for t in book.towers
    ]
    asked = (
        line("ask.tower", towers=tuple(readings))
        if unknown is None
        else line("ask.tower_unknown", name=unknown, towers=tuple(readings))
    )
    return Ask(clarify("which_tower", asked, offers=offers, amounts=amounts))


def _same_for_all(trouble: Exception, readings: list[Line], book: Book) -> Exception:
    """Never two questions in a row: tower and level are asked together, other trouble alone."""
    if isinstance(trouble, Ask) and trouble.answer.do[0].word == "ask.level":
        example = book.towers[-1].name
        asked = line("ask.tower_and_level", towers=tuple(readings), example=example)
        return Ask(clarify("which_tower", asked))
    return trouble


def _reading(name: str, found: Answer) -> Line:
    """One tower with its water and feed, as short as it goes."""
    pours = tuple(
        Pour(a.name, a.value, a.unit == "g") for a in found.amounts if a.unit in ("mL", "g")
    )
    water = next((a.value for a in found.amounts if a.name == "water"), None)
    fed = Pours(pours, steps=False, spoons=False)
    if water is None:
        return line("reading.tower", name=name, amounts=(line("reading.pours", pours=fed),))
    said = (
        line("reading.water_and", water=Measure(water, "water"), pours=fed)
        if any(p.amount for p in pours)
        else line("reading.water", water=Measure(water, "water"))
    )
    return line("reading.tower", name=name, amounts=(said,))


def _scales(number: float) -> list[Amount]:
    origin = Computed((Fact("reading", number, FromText()),))
    return [
        Amount(name=f"ec_if_{scale}", value=number / scale, unit="mS/cm", origin=origin)
        for scale in (500, 700)
    ]


def _temperature_field(text: str, question: Question) -> str:
    """Which of a question's fields the bare number stands in."""
    if isinstance(question, Policy):
        return "value"
    named = [
        n
        for n in ("temp", "to", "warmth", "heat")
        if (getattr(question, n, None) or "").strip() == text
    ]
    return named[0] if named else "temp"


def settle(error: Ambiguous, question: Question, intent: str) -> Answer:
    """The question that tells two honest readings of a text apart."""
    if error.about == "gallon":
        offers = [
            Offer(
                label=line(f"button.{gallon}_gallon"),
                question=question,
                remember=(Remember(setting="gallon", value=gallon),),
            )
            for gallon in ("us", "uk")
        ]
        return clarify(intent, line("ask.gallon"), offers=offers)
    if error.about == "tds_scale":
        number = float(error.text)
        offers = [
            Offer(
                label=line(f"button.scale_{scale}"),
                question=question,
                remember=(Remember(setting="tds_scale", value=scale),),
            )
            for scale in (500, 700)
        ]
        asked = line(
            "ask.tds_scale",
            text=error.text,
            low=Measure(number / 500, "ec"),
            high=Measure(number / 700, "ec"),
        )
        return clarify("ppm_scale", asked, offers=offers, amounts=_scales(number))
    if error.about == "depth" and isinstance(question, TopUp | Log | Check | Ph | Heat | Away):
        offers = [
            Offer(
                label=line(f"button.{side}", text=error.text),
                question=replace(question, level=f"{error.text} {words}"),
            )
            for side, words in (("deep", "deep"), ("below", "below full"))
        ]
        return clarify(intent, line("ask.depth", text=error.text), offers=offers)
    if error.about == "temperature":
        name = _temperature_field(error.text, question)
        offers = [
            Offer(
                label=line(f"button.degrees_{unit}", text=error.text),
                question=with_field(question, name, f"{error.text} {unit}"),
            )
            for unit in ("c", "f")
        ]
        return clarify(intent, line("ask.temperature", text=error.text), offers=offers)
    if error.about == "hardness":
        name = "alkalinity" if getattr(question, "alkalinity", None) == error.text else "hardness"
        offers = [
            Offer(
                label=line(f"button.hardness_{unit}", text=error.text),
                question=with_field(question, name, f"{error.text} {typed}"),
            )
            for unit, typed in (("mg", "mg/L"), ("grains", "grains"))
        ]
        return clarify(intent, line("ask.hardness", text=error.text), offers=offers)
    if error.about == "thousands":
        high, low = error.choices
        return clarify(intent, line("ask.thousands", text=error.text, high=high, low=low))
    return clarify(intent, line("ask.jug"))
