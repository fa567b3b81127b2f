"""What was done or read at a tank, told and not asked."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from bot.records.questions import Log, Question
from bot.understanding.sentence import Numbers, Sentence
from bot.understanding.spans import spans_of
from bot.understanding.undone import undone

_ASKS: Final = re.compile(
    r"^(?:hey |hi |so )?(?:did|do|does|have|has|had|is|was|were|are|am)\b|\?|\b(?:how|what|when|which|should|shall|can|could|do i|does|would|if|going to|gonna|about to|"
    r"want|need|ok|right)\b"
)
_CHANGED: Final = re.compile(
    r"\bchanged(?=[,.;!]|$| (?:it|everything|today|yesterday|out)\b)|\b(?:full change|"
    r"changed (?:out )?(?:(?:all|the|my|whole|kitchen|porch) ){0,3}(?:res\w*|water|tank|solution|tower)|new (?:water|solution|batch)|swapped (?:the |all |out )?(?:\w+ )?"
    r"(?:res|water|tank|solution)|fresh (?:tank|solution|batch))\b"
)
_AGO: Final = (
    r"\b((?:\d+|an?|half an|a couple of) (?:minutes?|mins?|hours?|hrs?|days?|weeks?) ago|"
    r"yesterday(?: (?:morning|evening|noon|night))?|last night|this morning|"
    r"(?:at )?\d{1,2}(?::\d\d)? ?(?:am|pm)(?: today| yesterday)?|at \d{1,2}:\d\d)\b"
)
_POURED: Final = re.compile(
    r"\b(add\w*|top\w*|pour\w*|put|fill\w*|refill\w*|gave|given|went in|threw|dump\w*|splash\w*|in it)\b"
)
_EACH: Final = re.compile(r"\b(?:each|both|apiece)\b")


def log(s: Sentence, n: Numbers) -> Question | None:
    """Level, readings, water and feed that went in; nothing where something is asked."""
    if _ASKS.search(s.low) or undone(s.low):
        return None
    spans = spans_of(s, "log")
    poured = [m.text for m in n.all("poured")]
    at = s.found(_AGO)
    told = Log(
        tower=s.tower_name,
        level=spans.level,
        ec=spans.ec,
        ph=n.text("ph"),
        temp=n.text("temp"),
        added=n.water("added"),
        poured=spans.poured or _each(s, poured),
        change="yes" if _CHANGED.search(s.low) else None,
        at=None if at is None else at.removeprefix("at ").replace("an hr", "1 hour"),
    )
    if told.added and told.level is None and not told.poured and not _POURED.search(s.low):
        told = replace(told, level=told.added, added=None)  # "it was 10 gal": read, not poured
    return None if told == Log(tower=told.tower, at=told.at) else told


def _each(s: Sentence, poured: list[str]) -> str | None:
    """ "30 of each": every part alike. One amount of nothing named is no telling of both."""
    if len(poured) != 1 or not _EACH.search(s.low):
        return None
    return f"{poured[0]} each"
