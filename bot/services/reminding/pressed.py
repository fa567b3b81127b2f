"""The buttons under a reminder: Done, In 1 hour, Tomorrow, Not yet."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from bot.clock import instant
from bot.errors import Refusal
from bot.records.answer import Answer, Offer, line
from bot.records.book import Book
from bot.records.changes import AddEntry, Change, CloseDebt, Postpone
from bot.records.facts import Entry
from bot.records.questions import Reminded, Undo
from bot.services.facts import named_tower
from bot.services.log.entries import mark
from bot.services.reminding.spoken import here

_HOUR = timedelta(hours=1)
_DAYS = 3


def reminded(question: Reminded, book: Book) -> Answer:
    """What a button under a reminder does; pressed twice, it has done it once.

    Raises
    ------
    Refusal
    """
    ids = tuple(int(part) for part in question.debts.split(",") if part.isdigit())
    if not ids:
        raise Refusal("bad.debt_gone", outcome="refuse")
    if question.act == "done":
        return _done(question, ids, book)
    until = _until(question, book)
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.later", at=here(until, book)),),
        changes=(Postpone(debt_ids=ids, until=until),),
    )


def _until(question: Reminded, book: Book) -> datetime:
    if question.act == "hour":
        return book.now + _HOUR
    days = 1 if question.act == "tomorrow" else _DAYS
    day = book.local(book.now) + timedelta(days=days)
    hour = time.fromisoformat(question.hour or book.member.evening)
    return instant(datetime.combine(day, hour), book.member.time_zone)


def _done(question: Reminded, ids: tuple[int, ...], book: Book) -> Answer:
    """Closed; what was done at a tower goes into its log."""
    changes: list[Change] = [CloseDebt(debt_id=one) for one in ids]
    tower = named_tower(question.tower, book) if question.tower else None
    about = question.about or ""
    if tower is None:
        return Answer(
            outcome="answer", intent="reminder", do=(line("remind.done", text=about),),
            changes=tuple(changes),
        )  # fmt: skip
    note = Entry(
        tower=tower.name, at=book.now, kind="note", note=about[:200], by=book.member.name,
        recorded_at=book.now,
    )  # fmt: skip
    changes.append(AddEntry(tower_id=tower.id, entry=note))
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(line("remind.done_logged", text=about, tower=tower.name),),
        offers=(Offer(label=line("button.undo"), question=Undo(entry=mark(book.now))),),
        changes=tuple(changes),
    )
