"""Members of whom nothing was heard: for the coach, in private, and nobody is named in the room."""

from __future__ import annotations

from datetime import datetime

from bot.records.answer import Amount, Answer, FromRecord, Line, Measure, line
from bot.records.book import Book
from bot.records.facts import Seen
from bot.records.questions import Quiet
from bot.services.asking import Ask, clarify
from bot.services.coach.rules import must_coach
from bot.services.moments import read_past
from calc.units import read_duration_d

_MOST_SHOWN = 10


def quiet(question: Quiet, book: Book) -> Answer:
    """Who has not logged, not changed the water, or runs dry within so many days.

    Raises
    ------
    CalcError, Refusal
    """
    must_coach(book)
    about = question.about or "log"
    if question.who:
        return _one(question.who, about, book)
    days = _days(question, about, book)
    found = [(p, _for(p, about, book)) for p in book.people]
    hit = [(p, n) for p, n in found if n is None or (n <= days if about == "dry" else n >= days)]
    if about == "dry":
        hit = [(p, n) for p, n in hit if n is not None]
    hit.sort(key=lambda one: -(one[1] if one[1] is not None else 1e9))
    rows = tuple(_row(p, n, about) for p, n in hit[:_MOST_SHOWN])
    count = Amount(name="count", value=len(hit), unit="members", origin=FromRecord())
    each = tuple(
        Amount(name=p.name, value=n, unit="days", origin=FromRecord())
        for p, n in hit
        if n is not None
    )
    head = line(
        f"quiet.{about}" if hit else "quiet.none", count=len(hit), days=Measure(days, "number")
    )
    return Answer(
        outcome="answer",
        intent="coach_watch",
        amounts=(count, *each),
        do=(head, *rows),
        check=(line("quiet.more", count=len(hit) - _MOST_SHOWN),) if len(hit) > _MOST_SHOWN else (),
        expect=(line("quiet.by_hand"),) if hit else (),
        why=_so_far(about, book),
    )


def _so_far(about: str, book: Book) -> tuple[Line, ...]:
    """How far such forecasts are to be trusted."""
    if about != "dry" or not book.judged_all.all:
        return ()
    return (line("quiet.so_far", hits=book.judged_all.hits, all=book.judged_all.all),)


def _days(question: Quiet, about: str, book: Book) -> float:
    if question.since:
        at = read_past(question.since, now=book.now, zone=book.member.time_zone,
                       month_first=book.member.units == "us")  # fmt: skip
        return float((book.local(book.now) - book.local(at)).days)
    if question.days:
        return read_duration_d(question.days, bare="d", wanted="days", low=0.5, high=400)
    key = "change_every_days" if about == "change" else "quiet_after_days"
    rule = book.rule(key)
    if rule.value is None:
        raise Ask(clarify("coach_watch", line("quiet.ask_days")))
    return rule.value


def _one(name: str, about: str, book: Book) -> Answer:
    """One member; two of the same first name are asked about."""
    first = name.casefold().split()[0]
    found = [p for p in book.people if p.name.casefold().split()[0] == first]
    if len(found) != 1:
        names = tuple(line("button.tower", name=p.name) for p in found)
        raise Ask(clarify("coach_watch", line("quiet.which", names=names)))
    days = _for(found[0], about, book)
    amounts = (
        ()
        if days is None
        else (Amount(name=found[0].name, value=days, unit="days", origin=FromRecord()),)
    )
    return Answer(
        outcome="answer", intent="coach_watch", amounts=amounts, do=(_row(found[0], days, about),)
    )


def _for(person: Seen, about: str, book: Book) -> float | None:
    """Days since, or until a tank is dry; None: never."""
    if about == "dry":
        return (
            None
            if person.dry_at is None
            else max(0.0, (person.dry_at - book.now).total_seconds() / 86400)
        )
    at: datetime | None = person.last_change_at if about == "change" else person.last_log_at
    at = at or (None if about == "change" else person.joined)
    return None if at is None else float((book.local(book.now) - book.local(at)).days)


def _row(person: Seen, days: float | None, about: str) -> Line:
    if days is None:
        return line("quiet.row_never", name=person.name)
    word = "quiet.row_dry" if about == "dry" else "quiet.row"
    return line(word, name=person.name, days=Measure(days, "ph" if about == "dry" else "number"))
