"""The one path of every answer: a question and a Book in, an Answer out, whatever was typed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Measure, Remember, Value, line
from bot.records.book import Book
from bot.records.changes import SetMember
from bot.records.questions import (
    Dose,
    Help,
    NotMine,
    Question,
    TopUp,
    TowerAdd,
    TowerEdit,
    TowerShow,
    Unsure,
)
from bot.services.asking import Ask, clarify, settle
from bot.services.dose import dose
from bot.services.refusing import helping, not_mine, unsure
from bot.services.topup import topup
from bot.services.towers import tower_add, tower_edit, tower_show
from calc.errors import Ambiguous, CalcError, Impossible, OutOfRange, Unreadable


def answer(question: Question, book: Book, remember: Sequence[Remember] = ()) -> Answer:
    """The answer to `question`, from `book` alone.

    remember: settings that the person has just settled with a button; the Book believes them
    already, here they are put among the changes to write.

    Bad input never raises: it comes back as a sentence that says what was understood, what is
    wrong and what would work.
    """
    try:
        found = _worked_out(question, book)
    except Ask as asking:
        found = asking.answer
    except Ambiguous as error:
        found = settle(error, question, "units")
    except CalcError as error:
        found = clarify("bad_input", _explained(error))
    except Refusal as refusal:
        found = refused(refusal)
    settled = tuple(SetMember(setting=r.setting, value=r.value) for r in remember)
    return replace(found, changes=(*found.changes, *settled)) if settled else found


def _worked_out(question: Question, book: Book) -> Answer:
    match question:
        case TopUp():
            return topup(question, book)
        case Dose():
            return dose(question, book)
        case TowerAdd():
            return tower_add(question, book)
        case TowerEdit():
            return tower_edit(question, book)
        case TowerShow():
            return tower_show(question, book)
        case Help():
            return helping(question, book)
        case Unsure():
            return unsure(question, book)
        case NotMine():
            return not_mine(question, book)


def refused(refusal: Refusal) -> Answer:
    """A Refusal as the answer that says it."""
    values: dict[str, Value] = {
        name: value for name, value in refusal.values.items() if isinstance(value, str | int)
    }
    return Answer(outcome=refusal.outcome, intent="bad_input", do=(line(refusal.word, **values),))


def _explained(error: CalcError) -> Line:
    """A number that cannot be worked with, in words."""
    match error:
        case Unreadable():
            return line(f"ask.unreadable_{error.wanted}", text=error.text)
        case OutOfRange():
            return _out_of_range(error)
        case Impossible(reason="nothing_poured"):
            return line("ask.unreadable_amounts by part", text="0")
        case _:
            return line("ask.contradiction")


def _out_of_range(error: OutOfRange) -> Line:
    match error.name:
        case "pump line":
            return line(
                "ask.pump_line",
                pump=Measure(error.value, "water"),
                tank=Measure(error.high, "water"),
            )
        case "volume" | "tank":
            return line("ask.volume_impossible", volume=Measure(error.value, "water"))
        case "depth" | "full depth":
            return line("ask.depth_impossible", depth=Measure(error.value, "depth_cm"))
        case "strength":
            return line("ask.strength_impossible", share=Measure(error.value, "percent"))
        case "label rate":
            return line("ask.rate_impossible", rate=Measure(error.value, "number"))
        case "level":
            return line("ask.share_impossible", share=Measure(error.value, "percent"))
        case _:
            return line(
                "ask.range",
                name=error.name,
                value=Measure(error.value, "number"),
                low=Measure(error.low, "number"),
                high=Measure(error.high, "number"),
                unit=error.unit,
            )
