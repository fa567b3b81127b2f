"""Sentences that tell what was done, take it back, or ask for one's own record."""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.records.questions import Forget, Log, Noted, Question, Schedule, Start, Undo
from bot.understanding.naming import only_tower
from bot.understanding.notes import note_for
from bot.understanding.reminding import heard_reminder
from bot.understanding.seen import heard_seen
from bot.understanding.undone import undone
from calc.units import Quantity, scan

_UNDO: Final = re.compile(r"(please )?(undo|take (it|that) back|scratch that)( that| it| please)?")
_FORGET: Final = re.compile(r"(please )?forget me|delete (all )?my (data|records)")
_START: Final = re.compile(r"(start|set ?up( my tower)?|i'?m new( here)?|new here)")
_WEEK: Final = re.compile(
    r"(my )?(schedule|week|next (days|week))|what'?s (next|due)( this week)?|when('?s)? next|"
    r"when (do|should) i (top up|refill|fill( it)?)( next| again)?"
)
_DONE: Final = re.compile(r"\b(added|topped up|topped it up|filled up|put in|poured)\b")
_TO_THE_LINE: Final = re.compile(r"\b(to|up to) the (full )?(line|top|mark)\b|\bfull (now|again)\b")
_EACH: Final = re.compile(r"\b(each|both|of each)\b")
_ASKS: Final = re.compile(r"\?|\b(how|what|should|can|do i|shall|ok|right|only|instead|but)\b")


def heard_act(text: str, book: Book) -> Question | None:
    """The record's question in a sentence; None where it is none of these."""
    lowered = " ".join(text.casefold().strip(" .!").split())
    if _UNDO.fullmatch(lowered):
        return Undo()
    if _FORGET.fullmatch(lowered):
        return Forget()
    if _START.fullmatch(lowered):
        return Start()
    if _WEEK.fullmatch(lowered.strip("?")):
        return Schedule()
    if (seen := heard_seen(text, book)) is not None:
        return seen
    if (reminder := heard_reminder(text, book)) is not None:
        return reminder
    if (found := note_for(text, book)) is not None:
        return Noted(entry=str(found.id))
    return _log(text, lowered, book)


def _log(text: str, lowered: str, book: Book) -> Log | None:
    """ "added 6 gal and 48 ml each": water and feed that went in together."""
    if (
        not _DONE.search(lowered)
        or not _EACH.search(lowered)
        or _ASKS.search(lowered)
        or undone(lowered)
    ):
        return None
    items = scan(text)
    numbers = [i for i in items if isinstance(i, Quantity)]
    if len(numbers) != 2 or any(i.kind not in ("volume", "number") for i in numbers):
        return None
    water, feed = numbers
    if water.kind != "volume" or water.unit in ("ml", "tsp", "tbsp", "cup", "drop"):
        return None
    return Log(
        tower=only_tower(text, book),
        level="full" if _TO_THE_LINE.search(lowered) else None,
        added=text[water.start : water.end],
        poured=f"{text[feed.start : feed.end]} each",
    )
