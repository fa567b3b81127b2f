"""Forget me: what goes, what stays without a name, asked twice."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import Answer, Offer, line
from bot.records.book import Book
from bot.records.changes import ForgetMe
from bot.records.questions import Export, Forget, Said
from bot.services.asking import clarify


def forget(question: Forget, book: Book) -> Answer:
    """Everything kept about the person, gone for good."""
    if book.kept == 0 and book.member.id == 0:
        return Answer(outcome="answer", intent="mydata", do=(line("data.nothing_kept"),))
    if question.sure is None:
        offers = [
            Offer(label=line("button.forget"), question=Forget(sure="yes")),
            Offer(label=line("button.export_first"), question=Export()),
            Offer(label=line("button.keep"), question=Said(word="data.kept")),
        ]
        every = (*book.towers, *book.packed)
        shared = tuple(line("button.tower", name=t.name) for t in every if t.shared_with)
        asked = line(
            "data.forget_sure_shared" if shared else "data.forget_sure",
            towers=len(every) - len(shared),
            entries=len(book.log),
            shared=shared,
        )
        found = clarify("mydata", asked, offers=offers)
        if book.kept < 2:
            return found
        return replace(found, check=(line("data.everywhere", count=book.kept),))
    return Answer(
        outcome="answer",
        intent="mydata",
        do=(line("data.forgotten"),),
        check=(line("data.backups"),),
        changes=(ForgetMe(),),
    )
