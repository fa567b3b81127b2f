"""Who fed a shared tower last."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta

from bot.records.answer import Amount, Answer, Dated, FromRecord, Offer, Value, line
from bot.records.book import Book
from bot.records.facts import Entry, Tower
from bot.records.questions import LastFed, TopUp
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower
from bot.services.log.entries import fed, said, when, who


def last_fed(question: LastFed, book: Book) -> Answer:
    """The last line with feed in it, with who and when.

    Raises
    ------
    Ask
    """
    tower = chosen_tower(question, book)
    if question.what in ("change", "ph", "ec"):
        return _last(question.what, tower, book)
    lines = [e for e in book.entries(tower.name) if fed(e)]
    if not lines:
        return Answer(
            outcome="answer", intent="shared_tower", do=(line("fed.never", tower=tower.name),)
        )
    last = lines[-1]
    days = (book.local(book.now) - book.local(last.at)).days
    asked = int(question.days) if question.days and question.days.isdigit() else None
    word = "fed.last" if asked is None else "fed.yes" if days < asked else "fed.no"
    origin = FromRecord(book.local(last.at))
    amounts = [Amount(name="days", value=days, unit="days", origin=origin)]
    if last.water_added_l:
        amounts.append(Amount(name="water", value=last.water_added_l, unit="L", origin=origin))
    dry = {p.name for f in book.feeds for p in f.parts if p.dry}
    amounts += [
        Amount(name=name, value=value, unit="g" if name in dry else "mL", origin=origin)
        for name, value in last.amounts
    ]
    told: dict[str, Value] = {"tower": tower.name, "who": (who(last),), "at": when(last.at, book),
            "what": said(last, tower, book)}  # fmt: skip
    soon = book.now - last.at < timedelta(hours=book.number("double_dose_h"))
    if soon and question.plans:
        raise Ask(replace(clarify("shared_tower", line("fed.again", **told)),
                          amounts=tuple(amounts)))  # fmt: skip
    return Answer(
        outcome="answer",
        intent="shared_tower",
        amounts=tuple(amounts),
        days=(Dated(name="date", on=book.local(last.at), origin=origin),),
        do=(line(word, **told),),
        check=(line("fed.soon"),) if soon else (),
        offers=()
        if soon
        else (Offer(label=line("button.what_to_add"), question=TopUp(tower=tower.name)),),
    )


def _last(kind: str, tower: Tower, book: Book) -> Answer:
    """The last full change, or the last reading of a kind."""
    held: Mapping[str, Callable[[Entry], bool]] = {
        "change": lambda e: e.kind == "change",
        "ph": lambda e: e.ph is not None,
        "ec": lambda e: e.ec is not None,
    }
    lines = [e for e in book.entries(tower.name) if held[kind](e)]
    if not lines:
        return Answer(
            outcome="answer", intent="shared_tower", do=(line("fed.none_such", tower=tower.name),)
        )
    last = lines[-1]
    origin = FromRecord(book.local(last.at))
    return Answer(
        outcome="answer",
        intent="shared_tower",
        days=(Dated(name="date", on=book.local(last.at), origin=origin),),
        do=(
            line("fed.entry", tower=tower.name, who=(who(last),), at=when(last.at, book),
                 what=said(last, tower, book)),
        ),
    )  # fmt: skip
