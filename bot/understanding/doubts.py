"""What may turn an amount around: with one doubt left it is asked about, and nothing is given."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from bot.records.book import Book
from bot.records.questions import Dose, Leak, Question, TopUp, Unsure
from bot.understanding.naming import of_size
from bot.understanding.spans import Spans
from bot.understanding.undone import denied

_SAME_SIZE = 0.12
# Words that turn a sentence around; with one of them a dose would be a guess.
_TURNS: Final = re.compile(
    r"\b((?<!quarters )(?<!half )not (quite |yet |even )?(half|a (third|quarter)|at|down|empty)|"
    r"isn'?t (half|down|empty|at|a)|almost|nearly|except|between (?:a |one )?(?:half|third|quarter|\d)|without the|what if|barely|hardly|"
    r"was (?:at |about )?(?:half|full|a (?:third|quarter)|\d).{0,20}(?:yesterday|last week|earlier)|"
    r"(?:yesterday|last week) it was|haven'?t measured|didn'?t measure|no longer|used to be|will be|"
    r"(?:more|less) than|(?:quarter|third|half) away from|away from full|\d+ \d+(?:\.\d+)? ?(?:l|lit\w+|gal\w*) (?:cans?|buckets?|bottles?|jugs?)|fill (?:it |them )?(?:only )?(?:up )?to (?!the)|left in (?:the|my) bottle|\d \d(?!\d*/)|(?:[4-9]|four|five|six|seven) (?:quarters|thirds)|twice|double|triple|lacks?|lacking|to go\b(?! for)|ha(?:ve|s) (?:gone|evaporated)|evaporated|"
    r"half (?:of )?(?:the |my )?(?:plants|lettuces?|crop|leaves|roots|time)|half an hour|half a bucket|"
    r"(?:sister|brother|neighbou?r|friend|mum|mom|dad)'?s? (?:tower|tank)|my other|cal ?-?mag)\b"
)
# Only water is wanted, or one of the parts is missing.
_NO_FEED: Final = re.compile(
    r"\bno (?:nutrients|feed)\b|\b(?:do not|don'?t|dont) (?:add|want|put|give) (?:any |more )?(?:feed|nutrients|food)\b|"
    r"\bno (?:[ab]|more [ab]) left\b|\b(?:out of|ran out of) [ab]\b"
)
# Two levels, or water that went in since: which of them is now?
_TWO_LEVELS: Final = re.compile(
    r"\?,? no\b|\byesterday\b|\bafter (?:adding|feeding|topping)\b|\balready (?:added|put|poured|topped)\b|"
    r"\bwith (?:water|feed) already\b|\bor maybe\b|\bdown to (?:the )?(?:last )?\d+ ?(?:in|inch\w*|cm|fingers)\b|"
    r"\b(?:level|at) \d+ ?(?:inch\w*|in|cm|fingers?)\b(?! (?:below|down|under|from|short))|"
    r"\b(?:inch\w*|fingers?|cm) (?:above|over) the pump\b|\b(?:\d+x|times) strength\b"
)
# What was there before water went in is no level of now.
_WAS: Final = re.compile(r"\bwas (?:at |about )?(?:half|full|a (?:third|quarter)|\d)")

_BARE: Final = r"(?:half|full|empty|a third|quarter) (?:\d+(?: ?us)?|\d \d)"
_NEGATIVE: Final = re.compile(r"(?<![\w/])-\d[\d.]*(?: \w+)?")
_LOST: Final = re.compile(r"\bleak\w*|\bdripping through|\bcracked\b|\brunning out\b")
# "needs 5 gal" is missing, not left; "1.9, wait 1.4" takes a reading back.
_TAKEN: Final = re.compile(r"\b(?:needs|took|scooped) \d[\d.]* ?(?:gal|l)\w*(?!.*\bleft\b)")
_AGAIN: Final = re.compile(r"\d(?: ?ms)?,? (?:wait|no),? \d")

Holds = Callable[[Question, Spans], bool]


def _always(_: Question, __: Spans) -> bool:
    return True


def _level(_: Question, spans: Spans) -> bool:
    return spans.level is not None


def _no_water_in(_: Question, spans: Spans) -> bool:
    return spans.added is None


def _poured_in(question: Question, spans: Spans) -> bool:
    return isinstance(question, TopUp) and spans.added is not None


def _from_level(question: Question, spans: Spans) -> bool:
    return isinstance(question, TopUp) and spans.added is None


def _by_label(question: Question, spans: Spans) -> bool:
    return isinstance(question, TopUp) and spans.ec is None


# Where each of them matters.
_DOUBTS: Final[tuple[tuple[re.Pattern[str], Holds], ...]] = (
    (_NEGATIVE, _always),
    (_TAKEN, _level),
    (_AGAIN, _level),
    (_TWO_LEVELS, _no_water_in),
    (_WAS, _poured_in),
    (_NO_FEED, _from_level),
    (re.compile(rf"^{_BARE}$"), _by_label),
)


def certain(question: Question, spans: Spans, lowered: str, book: Book) -> Question:
    """The question itself, or Unsure when part of the sentence would be dropped on the way."""
    if _LOST.search(lowered) and isinstance(question, TopUp | Dose):
        return Leak(tower=question.tower)  # its own steps before any amount
    rest = list(spans.left_over)
    for rule, holds in _DOUBTS:
        if holds(question, spans) and (found := rule.search(lowered)):
            rest.append(found[0])
    turned = _TURNS.search(lowered)
    if turned and not (spans.poured and turned[0] == "only"):  # "140 of A but only 78 of B"
        rest.append(turned[0])
    if isinstance(question, TopUp):
        rest += _of_topup(spans, lowered, book)
    if isinstance(question, Dose) and question.poured:
        unused = (spans.level, spans.ec, spans.added)
        rest += [text for text in unused if text and text.casefold() != "full"]
    return Unsure(read=spans.read(), rest=rest[0]) if rest else question


def _of_topup(spans: Spans, lowered: str, book: Book) -> list[str]:
    """What a top-up has no place for."""
    rest = [text for text in (spans.rate, spans.poured) if text]
    if spans.added and (no := denied(lowered)) and no not in _OF_METERS:
        rest.append(no)
    if spans.ec and spans.target and _crossed(spans, lowered):
        rest.append(spans.target)
    if spans.ec and spans.strength:
        rest.append(spans.strength)
    if spans.level and _another_size(spans, book):
        rest.append(spans.volume or "")
    return rest


_OF_METERS: Final = ("never", "nobody", "no one")  # "I never bought a meter"
_AIMS: Final = (
    r"target\w*|tgt|want\w*|aim\w*|goal|should(?: be)?|suppos\w+(?: to be)?|bring|raise|get|back|need\w*|hit|reach|to|"
    r"for|->|→|>|toward\w*|like|=|until|rather|off"
)


def _crossed(spans: Spans, lowered: str) -> bool:
    """Of two readings, the one that is wanted is not said to be wanted: it may be the other."""

    def aimed(text: str) -> bool:
        return bool(re.search(rf"(?:{_AIMS})[^\d.;?]{{0,12}}{re.escape(text.casefold())}", lowered))

    ec, target = spans.ec or "", spans.target or ""
    behind = re.search(
        rf"{re.escape(target.casefold())}[^\d]{{0,12}}\b(?:target|wanted|goal)", lowered
    )
    return aimed(ec) and not behind and not aimed(target)


def _another_size(spans: Spans, book: Book) -> bool:
    """A volume beside a level that is no tank of this person's: water at hand, perhaps."""
    if spans.volume is None or not book.towers:
        return False
    if spans.target or "tank" in spans.volume:
        return False
    return not of_size(spans.volume, book.towers, alike=_SAME_SIZE)
