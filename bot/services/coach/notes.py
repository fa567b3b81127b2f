"""The coach's own answers to questions that come again, corrected in place."""

from __future__ import annotations

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Offer, line
from bot.records.book import Book
from bot.records.changes import SetNote
from bot.records.facts import Note
from bot.records.questions import Noted, Teach
from bot.services.asking import Ask, clarify
from bot.services.coach.rules import must_coach
from bot.text import plain

_LONGEST_ABOUT, _LONGEST_TEXT = 100, 1500


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
    change = SetNote(note_id=note_id, about=about, text=text, set_on=book.local(book.now))
    word = "note.corrected" if note_id else "note.kept"
    return Answer(
        outcome="answer", intent="coach_note", do=(line(word, about=about, text=text),),
        changes=(change,),
    )  # fmt: skip


def _same(about: str, book: Book) -> int:
    return next((n.id for n in book.notes if n.about.casefold() == about.casefold()), 0)


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
