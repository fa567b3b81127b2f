"""Which question a sentence asks, or an honest "not mine".

Only reading and choosing: every span goes on as it was typed, and is read by `calc.units` when the
question is answered. Doses, top-ups, the log and the set-up are heard so far.
"""

from __future__ import annotations

import re
from typing import Final

from bot.records.book import Book
from bot.records.questions import Dose, Help, NotMine, Question, TopUp, Unsure
from bot.understanding.acts import heard_act
from bot.understanding.danger import danger
from bot.understanding.replies import reply_to
from bot.understanding.spans import Spans, spans_of
from calc.errors import CalcError
from calc.units import Measures, read_level, read_volume

_LONGEST = 2000
_SAME_SIZE = 0.12
_TOPUP: Final = re.compile(r"\btop(ping)?[ -]?(it )?(up|off)\b|\brefill(ing)?\b|\bwhat do i add\b")
_FRESH: Final = re.compile(
    r"\b(first (fill|time)|fill(ing)?|fresh|new (tank|batch)|mix(ing)? up|make up|from empty|tray|"
    r"bottle of|seedlings?|baby|babies|starts|recipe|label says|dose for|"
    r"how much (nutrients?|feed|food|of each))\b"
)
_MISTAKE: Final = re.compile(
    r"\b(oops|mistake|accident(ally)?|only had|too much|instead of|ran out|forgot|missed)\b"
)
_SEEDLING: Final = re.compile(r"\b(seedlings?|baby|babies|starts|plugs?)\b")
_SWAP: Final = re.compile(r"\b(scoop|swap|drain (some|off|a bit)|dilute|too strong|overstrong)\b")
# Words that turn a sentence around; with one of them a dose would be a guess.
_TURNS: Final = re.compile(
    r"\b(not|isn'?t|aren'?t|wasn'?t|neither|nor|almost|nearly|except|without the|twice|double|"
    r"triple|yesterday|before|earlier|between|what if|if i|should i|only|out of)\b"
)
# Words of questions that are not answered yet: each makes an honest "not mine" instead of a dose.
_OTHER: Final = re.compile(
    r"\b(ph|seed|weekly|long|timer|ppfd|dli|lux|watts?|kwh|sow|sowing|seeds?|harvest\w*|heads?|"
    r"plugs|cost|leak\w*|overnight|lost|days?|weeks?|when|how long|how often|away|vacation|"
    r"holiday|leaving|frozen|ice|degrees|grains?|hardness|hard|soften\w*|ports?|level \d|due|"
    r"change|clean\w*|remind\w*|who|live|pacific|eastern|everyone|ppl|people|altogether|money|"
    r"bucks|pond|koi|bitcoin|weather|lamp|light|anyone|any1|undo)\b"
)
_GROWING: Final = re.compile(
    r"\b(tower|tank|topped|pump|roots?|plants?|leaf|leaves|lettuce|basil|tomato\w*|nutrients?|feed|"
    r"water|seed\w*|gal\w*|lit(er|re)s?|leak\w*|ph|ec|meter|pen|timer|light|harvest|port|"
    r"remind\w*|undo|schedule|till empty|top up)\b"
)
_GREETINGS: Final = frozenset(
    (
        "help",
        "what can you do",
        "hi",
        "hello",
        "hey",
        "how do i add a tower",
        "what's ec",
        "whats ec",
    )
)


def hear(text: str, book: Book) -> Question:
    """The question in a sentence; NotMine where there is none that can be answered."""
    about = danger(text)
    if about is not None:
        return NotMine(about=about)
    text = text[:_LONGEST]
    lowered = text.casefold()
    if lowered.strip(" !?.") in _GREETINGS:
        return Help()
    if book.awaited is not None and (reply := reply_to(book.awaited, text, book)) is not None:
        return reply
    if (act := heard_act(text, book)) is not None:
        return act
    if _is_level(text):
        return TopUp(level=text.strip())
    spans = spans_of(text, book)
    question = _question(spans, lowered)
    if question is None:
        return NotMine(about="not_yet" if _GROWING.search(lowered) else "off_topic")
    return _certain(question, spans, lowered, book)


def _is_level(text: str) -> bool:
    """The whole text is a level, as when the bot has just asked how full the tank is."""
    if len(text) > 60:
        return False
    try:
        read_level(text, measures=Measures(gallon="us", jug_l=1.0))
    except CalcError:
        return False
    return True


def _question(spans: Spans, lowered: str) -> Question | None:
    if _OTHER.search(lowered):
        return None
    if spans.poured and (spans.level is None or _MISTAKE.search(lowered)):
        return Dose(tower=spans.tower, poured=spans.poured, water=spans.volume)
    if spans.level is not None or spans.added is not None or _TOPUP.search(lowered):
        return _topup(spans, lowered)
    if spans.rate or spans.strength or _FRESH.search(lowered):
        seedling = "seedling" if _SEEDLING.search(lowered) and not spans.strength else None
        return Dose(
            tower=spans.tower,
            water=spans.volume,
            strength=spans.strength,
            rate=spans.rate,
            target=spans.target,
            stage=seedling,
        )
    return None


def _topup(spans: Spans, lowered: str) -> TopUp:
    return TopUp(
        tower=spans.tower,
        level=spans.level,
        ec=spans.ec,
        target=spans.target,
        tank=spans.volume,
        tap=spans.tap,
        strength=spans.strength,
        added=spans.added,
        swap="yes" if _SWAP.search(lowered) else None,
    )


def _certain(question: Question, spans: Spans, lowered: str, book: Book) -> Question:
    """The question itself, or Unsure when part of the sentence would be dropped on the way."""
    rest = list(spans.left_over)
    turned = _TURNS.search(lowered)
    if turned and not (spans.poured and turned[0] == "only"):  # "140 of A but only 78 of B"
        rest.append(turned[0])
    if isinstance(question, TopUp):
        rest += [text for text in (spans.rate, spans.poured) if text]
        if spans.level and _another_size(spans, book):
            rest.append(spans.volume or "")
    if isinstance(question, Dose) and question.poured:
        unused = (spans.level, spans.ec, spans.added)
        rest += [text for text in unused if text and text.casefold() != "full"]
    return Unsure(read=spans.read(), rest=rest[0]) if rest else question


def _another_size(spans: Spans, book: Book) -> bool:
    """A volume beside a level that is no tank of this person's: water at hand, perhaps."""
    if spans.volume is None or not book.towers:
        return False
    if spans.target or "tank" in spans.volume:
        return False
    for gallon in ("us", "uk"):
        try:
            litres = read_volume(spans.volume, measures=Measures(gallon=gallon, jug_l=1.0)).litres
        except CalcError:
            return True
        if any(abs(litres - t.tank_l) <= _SAME_SIZE * t.tank_l for t in book.towers):
            return False
    return True
