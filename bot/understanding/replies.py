"""A text as the reply to what was just asked: the same question with its open field filled."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from bot.records.book import Book, Open
from bot.records.questions import (
    Away,
    Door,
    Heat,
    Log,
    Ph,
    Question,
    Remind,
    Start,
    TopUp,
    with_field,
)
from bot.understanding.naming import STAND_IN, is_level
from bot.understanding.reminding import says_when
from bot.understanding.sentence import Sentence
from bot.understanding.spans import spans_of
from calc.errors import CalcError
from calc.units import Word, read_duration_d, read_volume, scan

_LONGEST = 80
# What people say for each choice of a field.
_CHOICES: Final[dict[str, tuple[tuple[str, str], ...]]] = {
    "place": (
        (r"\bout(doors?|side)?\b|balcony|porch|garden|deck|yard|terrace|patio", "outdoor"),
        (r"\bwindow|sill\b", "window"),
        (r"\bin(doors?|side)?\b|kitchen|room|lamp|cellar|basement|garage", "indoor"),
    ),
    "meter": (
        (r"\b(no|none|nope|without|don'?t)\b", "none"),
        (r"\bppm|tds\b", "ppm"),
        (r"\bec|yes|pen\b", "ec"),
    ),
}
# What may stand beside an amount that was asked for.
_BESIDE: Final = frozenset(
    "a an the of it is about left around roughly only still bottle bottles bag bags day week month "
    "per each every none empty full , . /".split()
)
_PORT: Final = re.compile(
    r"(?:in |port |into )?l(?:evel)? ?\d{1,2}[ ,-]*p(?:ort)? ?\d{1,2}|\d{1,2}[-./]\d{1,2}",
    re.IGNORECASE,
)
_NOT_SURE: Final = re.compile(r"\b(not sure|no idea|don'?t know|dunno|unsure)\b")


def reply_to(opened: Open, text: str, book: Book) -> Question | None:
    """The open question with `text` in its field; None where the text is no answer to it."""
    said = text.strip()
    if not said or len(said) > _LONGEST:
        return None
    match opened.field:
        case "tank":
            return _filled(opened, said) if _is_size(said) else None
        case "place" | "meter":
            chosen = _choice(opened.field, said)
            return None if chosen is None else with_field(opened.question, opened.field, chosen)
        case "feed":
            return _feed(opened.question, said, book)
        case "arrives" if isinstance(opened.question, Door):
            return _filled(opened, said) if _is_day(said) else None
        case "when" if isinstance(opened.question, Remind):
            return _filled(opened, said) if says_when(said) else None
        case "added":
            return _filled(opened, said) if _is_size(said) else None
        case "level" if isinstance(opened.question, TopUp | Log):
            return _level(opened.question, said, book)
        case "level" if isinstance(opened.question, Ph | Heat | Away):
            return _filled(opened, said) if is_level(said) else None
        case "left" | "use":
            return _filled(opened, said) if _is_amount(said) else None
        case "days":
            return _filled(opened, said) if _is_duration(said) else None
        case "edit" if isinstance(opened.question, Log):
            return _edited(opened.question, said, book)
        case "ports":
            return _filled(opened, said) if _PORT.fullmatch(said) else None
        case _:
            return None


_NO: Final = re.compile(
    r"^(?:no|nope|sorry|oops|wait|hang on|i mean|i meant|correction|actually|make (?:it|that)|it was|"
    r"should be|not)\b[,. ]*"
)


def _edited(question: Log, said: str, book: Book) -> Question | None:
    """ "no, the porch one", "sorry, 5 gal", "make that 40 each": what was just logged, otherwise.

    Only what begins by taking back: anything else is a sentence of its own.
    """
    if _NO.match(said.casefold()) is None:
        return None
    rest = said
    while (found := _NO.match(rest.casefold())) is not None and found.end():
        rest = rest[found.end() :]
    sentence = Sentence(rest, book)
    tower = sentence.tower_name
    told = [m for m in sentence.mentions if m.text != "one"]
    if tower is not None and not told:
        return replace(question, tower=tower)
    if len(told) != 1:
        return None
    one = told[0]
    each = re.search(r"\b(?:each|both)\b", rest.casefold()) is not None
    if each and question.poured:
        return replace(question, poured=f"{one.text} each")
    if one.kind == "ec" or (re.search(r"\bec\b", rest.casefold()) and question.ec):
        return replace(question, ec=one.text)
    if re.search(r"\bph\b", rest.casefold()):
        return replace(question, ph=one.text)
    if one.kind == "volume" and one.unit not in ("ml", "tsp", "tbsp", "drop"):
        return (
            replace(question, added=one.text) if question.added else replace(question, level=rest)
        )
    told_alone = [
        name for name in ("ec", "ph", "level", "added", "poured") if getattr(question, name)
    ]
    if len(told_alone) == 1 and one.kind == "number":  # "no, 1.9": the one thing that was told
        return with_field(question, told_alone[0], one.text)
    return None


def _filled(opened: Open, said: str) -> Question:
    return with_field(opened.question, opened.field, said)


def _is_size(said: str) -> bool:
    if _NOT_SURE.search(said.casefold()):
        return True
    try:
        read_volume(said, measures=STAND_IN)
    except CalcError:
        return False
    return True


def _is_amount(said: str) -> bool:
    """ "900 ml", "half a bottle", "1.2 gal a day", "none": an amount and nothing else."""
    items = scan(said)
    words = {i.text for i in items if isinstance(i, Word)}
    return words <= _BESIDE and (len(items) > len(words) or bool(words & {"none", "empty", "full"}))


def _is_duration(said: str) -> bool:
    try:
        read_duration_d(said, bare="d", wanted="days", low=0, high=1000)
    except CalcError:
        return False
    return True


def _choice(field: str, said: str) -> str | None:
    lowered = said.casefold()
    return next((value for rule, value in _CHOICES[field] if re.search(rule, lowered)), None)


def _feed(question: Question, said: str, book: Book) -> Question | None:
    """One of the feeds on the buttons, by its name or a word of it."""
    words = set(re.findall(r"[\w-]{3,}", said.casefold())) - {"the", "feed"}
    known = [f for f in book.feeds if not f.own]
    named = [f for f in known if words & set(f.name.casefold().split())]
    if len(named) == 1 and isinstance(question, Start):
        return replace(question, feed=named[0].name)
    return None


def _is_day(said: str) -> bool:
    lowered = said.casefold()
    days = r"\b(mon|tue|wed|thu|fri|sat|sun|today|tomorrow|in \w+ (days?|weeks?)|next)"
    return bool(re.search(days, lowered) or re.search(r"\d", lowered) or _NOT_SURE.search(lowered))


def _level(question: TopUp | Log, said: str, book: Book) -> Question | None:
    """ "half", "half, 2.1": a level and perhaps what the pen says, nothing else."""
    spans = spans_of(Sentence(said, book))
    if spans.level is None or spans.left_over or spans.poured or spans.added:
        return replace(question, level=said) if is_level(said) else None
    if spans.tower is not None and question.tower and spans.tower != question.tower:
        return None
    return replace(question, level=spans.level, ec=spans.ec or question.ec)
