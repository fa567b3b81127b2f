"""A line told before, close after a dose, or late: what is said of it before it is kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from math import isclose
from typing import Final

from bot.records.answer import Answer, Line, Offer, line
from bot.records.book import Book
from bot.records.facts import Entry, Tower
from bot.records.questions import Log, Said
from bot.services.asking import Ask, clarify
from bot.services.log.entries import fed, marked, said, when, who

_REPEATED: Final = timedelta(minutes=10)


def fed_lately(line_: Entry, tower: Tower, question: Log, book: Book) -> None:
    """Ask first when this tower was fed a short while ago, whoever did it.

    Raises
    ------
    Ask
    """
    hours = book.number("double_dose_h")
    replaced = {e.id for e in marked(question.replaces, book)} if question.replaces else set()
    near = [
        e
        for e in book.entries(tower.name)
        if fed(e) and abs(line_.at - e.at) < timedelta(hours=hours) and e.id not in replaced
    ]
    if not near:
        return
    last = near[-1]
    asked = line(
        "log.twice" if last.mine else "log.twice_other",
        who=(who(last),),
        tower=tower.name,
        what=said(replace(last, level_l=None, ec=None, ph=None, note=""), tower, book),
        at=when(last.at, book),
    )
    offers = [
        Offer(
            label=line("button.add_too"),
            question=replace(question, also="yes", at=line_.at.isoformat()),
        ),
        Offer(label=line("button.leave_it"), question=Said(word="log.left_alone")),
    ]
    raise Ask(clarify("double_dose", asked, offers=offers))


def repeated(line_: Entry, tower: Tower, question: Log, book: Book) -> Answer | None:
    """The very same reading a few minutes ago: said, and kept once."""
    if (
        question.replaces
        or question.shown
        or question.change
        or line_.water_added_l
        or line_.amounts
        or line_.note
    ):
        return None
    read = (line_.level_l, line_.ec, line_.ph, line_.water_c)
    if all(one is None for one in read):
        return None
    for entry in reversed(book.entries(tower.name)):
        if not entry.mine or abs(line_.at - entry.at) > _REPEATED or entry.water_added_l:
            continue
        there = (entry.level_l, entry.ec, entry.ph, entry.water_c)
        if all(map(_alike, read, there)) and entry.kind != "change":
            what, at = said(entry, tower, book), when(entry.at, book)
            kept = line("log.repeated", tower=tower.name, what=what, at=at)
            return Answer(outcome="answer", intent="log", do=(kept,))
    return None


def _alike(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return isclose(one, other, rel_tol=1e-6)


def older(main: Entry, book: Book) -> tuple[Line, ...]:
    """A level from before the newest one: kept in its place, and no news of today."""
    newest = next(
        (e for e in reversed(book.entries(main.tower)) if e.level_l is not None and e.id), None
    )
    if main.level_l is None or newest is None or main.at >= newest.at:
        return ()
    return (line("log.older", at=when(newest.at, book)),)
