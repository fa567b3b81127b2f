"""A sick plant: safe first steps by what is seen, then whoever can look at it. No chemicals.

That old leaves pale first where what plants can move (N, K, Mg) is short, and new leaves where what
they cannot (Fe, Ca) is: general trade knowledge, from memory; the coach should confirm it.
"""

from __future__ import annotations

from bot.records.answer import Answer, Line, Offer, line
from bot.records.book import Book
from bot.records.changes import PassOn
from bot.records.questions import Symptoms
from bot.services.passing import passed_on
from bot.words import sentence

_MENUS = ("where", "leaves", "roots", "readings")
# The roots first: a pump that stands still kills before anything else does.
_STEPS = ("roots", "leaves", "where", "readings")


def symptoms(question: Symptoms, book: Book) -> Answer:
    """Four menus, or, once they are filled, the first steps for what was seen."""
    told = {name: getattr(question, name) for name in _MENUS}
    complete = all(told.values())
    steps = tuple(line(f"symptom.{name}_{told[name]}") for name in _STEPS if complete)
    on_list = _list(question, book, complete=complete)
    look = Offer(label=line("button.look_closer"), question=question, form="symptoms")
    return Answer(
        outcome="refer",
        intent="referral",
        do=(*steps, *_whom(on_list)) if complete else (line("symptom.first"), *_whom(on_list)),
        cautions=(line("symptom.no_sprays"),),
        offers=() if complete else (look,),
        changes=on_list,
    )


def _list(question: Symptoms, book: Book, *, complete: bool) -> tuple[PassOn, ...]:
    """What the coach reads of it: the words, and in their place what the menus add."""
    text = question.text or sentence("symptom.untold")
    if not complete:
        return passed_on(text, book)
    seen = [sentence(f"choice.{name}_{getattr(question, name)}") for name in _MENUS]
    return passed_on(f"{text} ({'; '.join(seen)})", book, instead_of=question.text)


def _whom(on_list: tuple[PassOn, ...]) -> tuple[Line, ...]:
    return (line("symptom.on_list") if on_list else line("symptom.ask_coach"),)
