"""Doses and top-ups: how much water, how much of each part."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from bot.records.book import Book
from bot.records.questions import Check, Convert, Dose, Question, TopUp, Unsure
from bot.understanding.asks.intent import Intent, words
from bot.understanding.naming import of_size
from bot.understanding.sentence import Sentence
from bot.understanding.spans import Spans, spans_of

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
    r"\b((?<!quarters )(?<!half )not (quite |yet |even )?(half|full|a (third|quarter)|at|down|empty|the)|"
    r"isn'?t (full|half|down|empty|at|the|a)|almost|nearly|except|without the|twice|double|triple|between|"
    r"what if|if i|(?:\d|it) before|before (?:that|adding|i added)|half before|earlier|yesterday|last week|"
    r"haven'?t measured|didn'?t measure|broken|no longer|used to be|will be|(?:more|less) than|barely|hardly|"
    r"lacks?|lacking|to go\b(?! for)|(?<!down )(?<!below )from (?:the )?full|to fill|ha(?:ve|s) (?:gone|evaporated)|evaporated|"
    r"half (?:of )?(?:the |my )?(?:plants|lettuces?|crop|leaves|roots|time)|half an hour|half a bucket|"
    r"bottle (?:of \w+ )?is|no (?:nutrients|feed)|just water|ran out of|only have part|didn'?t add|"
    r"(?:sister|brother|neighbou?r|friend|mum|mom|dad)'?s? (?:tower|tank)|my other|"
    r"cal ?-?mag)\b"
)
# What was there before water went in is no level of now.
_WAS: Final = re.compile(r"\bwas (?:at |about )?(?:half|full|a (?:third|quarter)|\d)")


def fed(sentence: Sentence, book: Book) -> Question | None:
    """A dose or a top-up, or Unsure where part of the sentence would be dropped on the way."""
    spans = _of_tower(spans_of(sentence.text, book), sentence)
    question = _question(spans, sentence.low)
    return None if question is None else _certain(question, spans, sentence.low, book)


def _of_tower(spans: Spans, sentence: Sentence) -> Spans:
    """The one tower that is meant, by its name or by what is said of it."""
    if sentence.tower is None:
        stranger = _stranger(sentence)
        return spans if stranger is None else replace(spans, left_over=(*spans.left_over, stranger))
    names = {t.name for t in sentence.book.towers}
    rest = tuple(text for text in spans.left_over if text not in names)
    return replace(spans, tower=sentence.tower.name, left_over=rest)


def _stranger(sentence: Sentence) -> str | None:
    """ "the porch one", of somebody whose only tower is the kitchen: not theirs, or not told of."""
    found = re.search(rf"\b({_PLACE}) (?:one|tower|tank)\b", sentence.low)
    names = {word for t in sentence.book.towers for word in t.name.casefold().split()}
    elsewhere = any(re.fullmatch(_PLACE, name) for name in names)
    return found[1] if found and elsewhere and found[1] not in names else None


_PLACE: Final = (
    r"(?:porch|kitchen|patio|balcony|garage|office|school|greenhouse|deck|library|yard|garden|basement|"
    r"roof|terrace|bench|shed|stoop|hall|window|cellar|attic|sunroom)"
)


def _question(spans: Spans, lowered: str) -> Question | None:
    if spans.poured and (spans.level is None or _MISTAKE.search(lowered)):
        return Dose(tower=spans.tower, poured=spans.poured, water=spans.volume)
    if (
        _FROM_EMPTY.search(lowered)
        and spans.ec is None
        and spans.added is None
        and _to_the_line(spans)
    ):
        return _fresh(spans, lowered)
    told = spans.level is not None or spans.added is not None
    asks = spans.ec is not None and spans.target is not None and spans.volume is None
    if told or asks or _TOPUP.search(lowered):
        return _topup(spans, lowered)
    if spans.rate or spans.strength or _FRESH.search(lowered):
        return _fresh(spans, lowered)
    return None


def reading(s: Sentence) -> Question | None:
    """ "pen says 780, ok?": one number of a meter, and nothing about water to add."""
    if s.level or s.volumes:
        return None
    numbers = [m for m in s.mentions if m.kind == "ec" or (m.kind == "number" and not m.unit)]
    scale = next((m for m in numbers if m.number in _SCALES and m.precedes(("scale",), 1)), None)
    told = [
        m
        for m in numbers
        if m is not scale and (m.number >= _SMALLEST_PPM or m.kind == "ec" or m.follows(_SHOWS, 2))
    ]
    if len(told) != 1:
        return None
    one = told[0]
    unit = (
        ""
        if one.kind == "ec"
        else " ppm"
        if s.found(r"\b(ppm|tds)\b") and one.number >= _SMALLEST_PPM
        else ""
    )
    named = f" on the {scale.number:g} scale" if scale else ""
    return Check(
        tower=s.tower_name,
        ec=f"{one.text}{unit}{named}" if unit or named or one.kind == "ec" else one.text,
    )


_SCALES: Final = frozenset((500, 640, 700))
_SMALLEST_PPM = 100
_SHOWS: Final = frozenset("says reads shows reading pen meter ec at".split())


def _to_the_line(spans: Spans) -> bool:
    """No level, or the full one: the whole tank is meant."""
    return (
        spans.level is None or re.search(r"full|line|top|brim", spans.level.casefold()) is not None
    )


def _fresh(spans: Spans, lowered: str) -> Dose:
    """A whole tank, a tray or a bottle."""
    seedling = "seedling" if _SEEDLING.search(lowered) and not spans.strength else None
    return Dose(
        tower=spans.tower,
        water=spans.volume,
        strength=spans.strength,
        rate=spans.rate,
        target=spans.target or spans.ec,
        stage=seedling,
    )


_FROM_EMPTY: Final = re.compile(
    r"\b(first (ever )?(fill|time)|from empty|fresh (fill|batch|water|start)|brand new|new tank|"
    r"for the first time|after (the )?(clean\w*|full change)|just (cleaned|emptied|scrubbed))\b"
)


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
    if isinstance(question, TopUp) and spans.added and (was := _WAS.search(lowered)):
        rest.append(was[0])
    if isinstance(question, TopUp) and spans.strength and spans.ec:
        rest.append(spans.strength)
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
    return not of_size(spans.volume, book.towers, alike=_SAME_SIZE)


_UNIT_NAMES: Final = (
    r"(?:us |uk |imperial )?gallons?|gal|lit(?:er|re)s?|l|ml|mls|millilit(?:er|re)s|tea ?spoons?|tsp|"
    r"table ?spoons?|tbsp|cups?|fl oz|ounces|quarts?|ec|ms"
)


def convert(s: Sentence) -> Question | None:
    """ "14 gallons in litres?", "how many teaspoons is 48 ml", "half a fl oz per gal, 12 gal"."""
    rate = next((m for m in s.mentions if m.kind == "rate"), None)
    amounts = [m for m in s.mentions if m.kind in ("volume", "ec", "rate")]
    to = s.found(
        rf"\b(?:in|into|to|as|what'?s that in|is that in) (?:a |an )?({_UNIT_NAMES})\b"
    ) or s.found(rf"how many ({_UNIT_NAMES})\b")
    if to is None or not amounts:
        return None
    if rate is not None:
        tank = next((m.text for m in amounts if m.kind == "volume"), None)
        return Convert(amount=rate.text, to=to.casefold(), tank=tank) if tank else None
    one = amounts[0]
    # "the 19 CF": a unit may stand in front of its number
    return Convert(amount=one.text, to=to.casefold()) if len(amounts) == 1 else None


INTENTS: Final = (
    Intent(
        name="units",
        told=words(rf"(?:in|into|to|as) (?:{_UNIT_NAMES})", rf"how many (?:{_UNIT_NAMES})"),
        hints=words("convert", "is", "what", "recipe", "label", "how many", "please", "per"),
        never=words(
            r"do i add",
            r"down",
            r"below",
            r"half",
            r"full",
            r"tank is",
            r"left",
            r"drinks?",
            r"frozen",
            r"cool",
            r"bleach",
            r"hit",
            r"reach",
            r"when",
            r"drops?",
            r"since",
            r"leak",
            r"away",
            r"top",
            r"poured",
            r"added",
        ),
        make=convert,
    ),
    Intent(
        name="topup",
        told=words(
            r"what (?:do|should|shall) i (?:add|pour|put)",
            r"top(?:ping|ped)?[ -]?(?:it )?(?:up|off)",
            r"how much (?:water|do i (?:add|put|pour)|to (?:add|put))",
        ),
        hints=words(
            "half",
            "quarter",
            "third",
            "full",
            "inches",
            "fingers?",
            "ec",
            "meter",
            "below",
            "down",
            "level",
            "want",
        ),
        never=words(
            r"drops?",
            r"freezer",
            r"ph",
            r"hardness",
            r"weekly",
            r"bleach",
            r"when (?:do|will|should|is|does)",
            r"how (?:long|often)",
            r"did (?:any|some)\w+",
            r"who",
            r"frozen",
        ),
        make=lambda s: fed(s, s.book) if s.level or s.volumes else None,
    ),
    Intent(
        name="reading",
        told=words(r"ppm", r"tds", r"pen", r"meter", r"ec"),
        hints=words(
            r"ok(?:ay)?",
            r"good",
            r"bad",
            r"fine",
            r"all ?right",
            r"too (?:high|low|hot|strong|weak)",
            r"what.{0,12}ec",
            r"scale",
            r"normal",
            r"says",
        ),
        never=words(
            r"add",
            r"pour",
            r"ph",
            r"top",
            r"dump",
            r"scoop",
            r"swap",
            r"light",
            r"ppfd",
            r"want \d.*",
            r"dose",
            r"hardness",
            r"report",
            r"convert",
            r"no (?:ec )?meter",
            r"meter i have not",
        ),
        make=reading,
    ),
    Intent(
        name="mistake",
        told=words(r"oops", r"mistake", r"accident\w*", r"only had", r"ran out of", r"instead of"),
        hints=words("poured", "put", "added"),
        make=lambda s: fed(s, s.book) if s.mentions else None,
    ),
)
