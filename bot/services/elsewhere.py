"""A moment on somebody else's clock."""

from __future__ import annotations

import re

from dateutil.parser import ParserError
from dateutil.parser import parse as parse_moment

from bot.clock import zone_of
from bot.records.answer import Answer, Dated, FromText, line
from bot.records.book import Book
from bot.records.questions import Elsewhere
from bot.records.zones import zone_named
from bot.services.asking import Ask, clarify
from calc.errors import Unreadable


def elsewhere(question: Elsewhere, book: Book) -> Answer:
    """The same moment there.

    Raises
    ------
    Ask, Unreadable
    """
    if question.at is None or (question.zone is None and question.there is None):
        raise Ask(clarify("time_zone", line("elsewhere.ask")))
    here, there = (_zone(name, book) for name in (question.zone, question.there))
    local = book.now.astimezone(zone_of(here))
    blank = local.replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
    try:
        told = parse_moment(_plainly(question.at), default=blank)
    except (ParserError, OverflowError, ValueError):
        raise Unreadable(text=question.at[:60], wanted="moment") from None
    moment = told.replace(tzinfo=zone_of(here)).astimezone(zone_of(there))
    said = line("elsewhere.at", there=_city(there), at=moment, zone=_city(here),
                told=told.replace(tzinfo=zone_of(here)))  # fmt: skip
    return Answer(
        outcome="answer",
        intent="time_zone",
        days=(Dated(name="at", on=moment, origin=FromText()),),
        do=(said,),
    )


def _plainly(text: str) -> str:
    """Noon and midnight as a clock shows them, "6 o'clock" as 6:00."""
    low = re.sub(r"\b(?:noon|midday)\b", "12:00", text.casefold().replace("midnight", "00:00"))
    return re.sub(r"(\d{1,2}) ?o'?clock", r"\1:00", low)


def _zone(name: str | None, book: Book) -> str:
    if not name:
        return book.member.time_zone
    found = zone_named(name)
    if found is None:
        raise Unreadable(text=name[:40], wanted="zone")
    return found


def _city(zone: str) -> str:
    return zone.rpartition("/")[2].replace("_", " ")
