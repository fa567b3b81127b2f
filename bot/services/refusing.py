"""Sentences that are not to be worked out: a no, or whom to ask. Never an amount."""

from __future__ import annotations

from bot.records.answer import Answer, Line, line
from bot.records.book import Book
from bot.records.questions import Help, NotMine, Outage, Said, Unsure
from bot.services.asking import Ask, clarify
from bot.services.care.outage import outage
from bot.services.passing import passed_on
from calc.errors import OutOfRange

_REFUSED = frozenset({"contact", "bleach_mix"})
_FOR_COACH = frozenset({"not_yet", "pests", "algae"})


def not_mine(question: NotMine, book: Book) -> Answer:
    """Refuse or refer, by what the sentence was about; dry roots get their steps."""
    if question.about == "dry_roots":
        return outage(Outage(), book)
    intent = {
        "contact": "two_part_contact",
        "off_topic": "off_topic",
        "not_yet": "referral",
    }.get(question.about, "referral")
    on_list = passed_on(question.text, book) if question.about in _FOR_COACH else ()
    if question.about == "not_yet":
        do: tuple[Line, ...] = (line("no.passed_on") if on_list else line("no.not_yet"),)
    else:
        do = (line(f"no.{question.about}"), *((line("no.on_list"),) if on_list else ()))
    return Answer(
        outcome="refuse" if question.about in _REFUSED else "refer",
        intent=intent,
        do=do,
        changes=on_list,
    )


def said(question: Said, book: Book) -> Answer:
    """One sentence, nothing written."""
    return Answer(outcome="answer", intent="said", do=(line(question.word),))


def off_range_day(error: OutOfRange, text: str) -> Ask:
    """A day that is over, or too far ahead to plan for."""
    word = "ask.day_over" if error.value < 0 else "ask.day_far"
    return Ask(clarify("bad_input", line(word, text=text)))


def unsure(question: Unsure, book: Book) -> Answer:
    """What was read and what was not; an amount from half a sentence would be a wrong amount."""
    asked = (
        line("ask.unsure", read=question.read, rest=question.rest)
        if question.read
        else line("ask.unsure_all", rest=question.rest)
    )
    return clarify("bad_input", asked)


def helping(question: Help, book: Book) -> Answer:
    """What Tankwren can do, the main thing first."""
    return Answer(
        outcome="answer",
        intent="help",
        do=(
            line("help.first"),
            line("help.topup"),
            line("help.log"),
            line("help.care"),
            line("help.plants"),
            line("help.reminders"),
            line("help.tower"),
            line("help.sentence"),
        ),
        check=(line("help.ec"), line("help.private")),
    )
