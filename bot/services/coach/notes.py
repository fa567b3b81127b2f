"""The coach's own answers: to what comes again, to what waits, and in place of ours."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Offer, line
from bot.records.book import Book
from bot.records.changes import SetAside, SetNote
from bot.records.facts import Note, OpenQuestion
from bot.records.questions import Noted, Question, Teach, Waiting
from bot.services.asking import Ask, clarify
from bot.services.coach.rules import must_coach
from bot.text import plain

_LONGEST_ABOUT, _LONGEST_TEXT = 100, 1500
_SHOWN: Final = 5  # a button each


def teach(question: Teach, book: Book) -> Answer:
    """The coach's own answer to a question that comes again; the older text is kept.

    Raises
    ------
    Ask, Refusal
    """
    must_coach(book, anywhere=True)  # a reply is corrected where it was read
    about, text = plain(question.about or ""), " ".join((question.text or "").split())
    if not about or not text:
        offer = Offer(label=line("button.write_down"), question=question, form="note")
        raise Ask(clarify("coach_note", line("note.ask"), offers=[offer]))
    if len(about) > _LONGEST_ABOUT or len(text) > _LONGEST_TEXT:
        raise Refusal("no.note_long", about=_LONGEST_ABOUT, text=_LONGEST_TEXT)
    note_id = int(question.entry) if question.entry else _same(about, book)
    change = SetNote(note_id=note_id, about=about, text=text, set_on=book.local(book.now),
                     answers=_numbers(question.of))  # fmt: skip
    word = "note.answered" if question.of else "note.corrected" if note_id else "note.kept"
    instead = (line("note.instead", text=text), line("note.instead_by", coach=book.member.name))
    return Answer(
        outcome="answer", intent="coach_note", do=(line(word, about=about, text=text),),
        instead=instead if question.here else (), changes=(change,),
    )  # fmt: skip


def _same(about: str, book: Book) -> int:
    return next((n.id for n in book.notes if n.about.casefold() == about.casefold()), 0)


def _numbers(text: str | None) -> tuple[int, ...]:
    return tuple(int(one) for one in (text or "").split(",") if one.isdecimal())


def may_open(question: Question, book: Book) -> None:
    """Whether the form of a button that everybody sees is this person's to fill.

    Raises
    ------
    Refusal
    """
    if isinstance(question, Teach):
        must_coach(book, anywhere=True)


def correction(typed: str) -> Offer:
    """The coach's button under a reply in the room."""
    question = Teach(about=plain(typed)[:_LONGEST_ABOUT], here="yes")
    return Offer(label=line("button.coach_corrects"), question=question, form="note", anyone=True)


def noted(question: Noted, book: Book) -> Answer:
    """What the coach's note says, with whose it is."""
    found = next((n for n in book.notes if str(n.id) == question.entry), None)
    if found is None:
        raise Refusal("no.note_gone", outcome="refuse")
    offers: tuple[Offer, ...] = ()
    if book.member.coach:
        correct = Teach(about=found.about, text=found.text, entry=str(found.id))
        offers = (Offer(label=line("button.correct"), question=correct, form="note"),)
    return Answer(
        outcome="answer",
        intent="coach_note",
        do=(line("note.says", text=found.text),),
        check=(_whose(found),),
        offers=offers,
    )


def _whose(found: Note) -> Line:
    if found.by and found.set_on:
        return line("note.by", coach=found.by, date=found.set_on)
    return line("note.by_coach")


def waiting(question: Waiting, book: Book) -> Answer:
    """What members asked and nobody has answered: the oldest first, the same words once.

    Raises
    ------
    Refusal
    """
    must_coach(book, anywhere=True)
    if question.aside:
        aside = SetAside(ids=_numbers(question.aside))
        return Answer(
            outcome="answer", intent="coach_watch", do=(line("waiting.aside"),), changes=(aside,)
        )
    many = _alike(book.waiting)
    if not many:
        return Answer(outcome="answer", intent="coach_watch", do=(line("waiting.none"),))
    shown = many[:_SHOWN]
    rows = tuple(_row(number, same, book) for number, same in enumerate(shown, 1))
    more = (line("quiet.more", count=len(many) - _SHOWN),) if len(many) > _SHOWN else ()
    return Answer(
        outcome="answer",
        intent="coach_watch",
        do=(line("waiting.head", count=len(many)), *rows, *more),
        expect=(line("waiting.how"),),
        offers=(*(_reply(number, same) for number, same in enumerate(shown, 1)), _aside(shown)),
    )


def _alike(every: Sequence[OpenQuestion]) -> list[list[OpenQuestion]]:
    found: dict[str, list[OpenQuestion]] = {}
    for one in every:
        found.setdefault(" ".join(one.text.casefold().split()), []).append(one)
    return list(found.values())


def _row(number: int, same: Sequence[OpenQuestion], book: Book) -> Line:
    names = tuple(line("button.tower", name=name) for name in dict.fromkeys(o.name for o in same))
    count = sum(one.count for one in same)
    word = "waiting.row" if count == 1 else "waiting.row_again"
    return line(word, number=number, text=same[0].text, names=names, count=count,
                date=book.local(same[0].at))  # fmt: skip


def _ids(many: Sequence[OpenQuestion]) -> str:
    return ",".join(str(one.id) for one in many)


def _reply(number: int, same: Sequence[OpenQuestion]) -> Offer:
    question = Teach(about=same[0].text[:_LONGEST_ABOUT], of=_ids(same))
    return Offer(label=line("button.answer_number", number=number), question=question, form="note")


def _aside(shown: Sequence[Sequence[OpenQuestion]]) -> Offer:
    question = Waiting(aside=",".join(_ids(same) for same in shown))
    return Offer(label=line("button.put_aside"), question=question)
