"""Doses and top-ups: how much water, how much of each part."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from bot.records.questions import Check, Convert, Dose, DoseAll, Ph, Question, TopUp, Unsure
from bot.understanding.choosing import unheard
from bot.understanding.doubts import certain
from bot.understanding.lexicon import PLACES
from bot.understanding.sentence import Mention, Numbers, Sentence
from bot.understanding.spans import Spans, spans_of

_SEEDLING: Final = re.compile(r"\b(seedlings?|baby|babies|starts|plugs?)\b")
_SWAP: Final = re.compile(r"\b(scoop|swap|drain (some|off|a bit)|dilute|too strong|overstrong)\b")
_YOUNG: Final = re.compile(r"\b(?:seedlings?|bab(?:y|ies))\b")
_FILLED: Final = re.compile(
    r"\b(?:i|we|he|she|they|somebody|someone|kid|son|daughter|husband|wife|and|just|have|'ve|has|already)"
    r"(?: just| already| have| 've)? (?:filled|topped|refilled)\b|^(?:filled|topped|refilled)\b"
)
_FROM_EMPTY: Final = re.compile(
    r"\b(empty|fresh|new|first|clean\w*|change\w*|drained|emptied|from scratch|bone dry)\b"
)


def fed(sentence: Sentence, kind: str) -> Question | None:
    """A dose or a top-up, or Unsure where part of the sentence would be dropped on the way."""
    if len(sentence.towers_named) > 1:
        numbers = sentence.numbers(kind)
        metered = numbers.one("ec", "target") is not None
        missing = None if metered else _each_level(sentence, numbers)
        if missing is not None:
            return DoseAll(missing=missing)
    spans = _of_tower(spans_of(sentence, kind), sentence)
    several = len(sentence.book.towers) > 1 and spans.tower is None and not spans.ec
    if several and spans.level and re.search(r"\b(?:both|all)\b", sentence.low):
        return DoseAll(level=spans.level)
    if len(sentence.towers_named) > 1:  # what is told of one is not the other's
        rest = sentence.towers_named[-1].name
        return Unsure(read=spans.read(), rest=rest) if spans.level or spans.added else None
    if kind in _FRESH and spans.ec and not spans.target and _to_the_line(spans):
        spans = replace(spans, target=spans.ec, ec=None)  # nothing to measure yet: it is the aim
    if spans.level and re.search(r"\d ?ml\b", spans.level.casefold()):
        return None  # a bottle: no tank is read in mL
    question = _question(spans, sentence.low, kind)
    if question is None:
        return None
    strange = unheard(sentence, _OF_WATER)
    if strange is not None:
        spans = replace(spans, left_over=(*spans.left_over, strange))
    return certain(question, spans, sentence.low, sentence.book)


_OF_WATER: Final = frozenset(
    "first_fill seedling_strength topup_no_meter topup_meter topup_depth topup_fingers topup_poured overstrong "
    "which_tower many_towers two_part_imbalance log units ppm_scale newcomer tank_change".split()
)


def _of_tower(spans: Spans, sentence: Sentence) -> Spans:
    """The one tower that is meant, by its name or by what is said of it."""
    if (stranger := _stranger(sentence)) is not None:
        return replace(spans, left_over=(*spans.left_over, stranger))
    if sentence.tower is None:
        return spans
    names = {t.name for t in sentence.book.towers}
    rest = tuple(text for text in spans.left_over if text not in names)
    return replace(spans, tower=sentence.tower.name, left_over=rest)


def _stranger(sentence: Sentence) -> str | None:
    """ "the porch one", of somebody whose only tower is the kitchen: not theirs, or not told of."""
    names = {word for t in sentence.book.towers for word in t.name.casefold().split()}
    if not names & PLACES:
        return None
    said = (
        r"(?: (?:one|tower|tank)\b|'s\b| is\b| at\b|:| (?:half|full|down|a (?:third|quarter)|\d))"
    )
    found = re.findall(
        rf"(?<!in the )(?<!by the )\b({'|'.join(sorted(PLACES))})(?={said})", sentence.low
    )
    return next((word for word in found if word not in names), None)


def _question(spans: Spans, lowered: str, kind: str) -> Question | None:
    if spans.poured and (kind == "two_part_imbalance" or spans.level is None):
        return Dose(tower=spans.tower, poured=spans.poured, water=spans.volume)
    if _filled_by_eye(spans, lowered):
        return TopUp(tower=spans.tower, added="?")
    named = spans.volume or spans.strength or spans.rate or spans.target or _FEED.search(lowered)
    if kind in _FRESH and named and not (spans.ec or spans.added) and _to_the_line(spans):
        return _fresh(spans, lowered, kind)
    if kind in _TOPUPS or spans.level is not None or spans.added is not None:
        return _topup(spans, lowered, kind)
    told = spans.rate or spans.strength or spans.volume or _FEED.search(lowered)
    if told and (spans.rate or spans.strength or kind in _FRESH):
        return _fresh(spans, lowered, kind)
    if kind == "two_part_imbalance" and WRONG.search(lowered):
        return Dose(tower=spans.tower, poured="?")
    return None


_FEED: Final = re.compile(
    r"\b(fill\w*|doses?|dosing|nutrients?|feed\w*|food|each|bottles?|mix\w*|batch|strength|label|recipe|"
    r"seedlings?|bab(?:y|ies)|starts?|parts?|both|how much|how many ml)\b"
)
WRONG: Final = re.compile(
    r"\b(oops|only|need more|how much more|mistake\w*|accident\w*|wrong\w*|too much|more than|less than|forgot\w*|over\w*|under\w*|"
    r"even|fix|uneven|muddle|mixed up|messed|compared|unequal)\b"
)


_FRESH: Final = frozenset(("first_fill", "seedling_strength", "newcomer"))
_TOPUPS: Final = frozenset(
    "topup_no_meter topup_meter topup_depth topup_fingers topup_poured overstrong which_tower".split()
)


def reading(s: Sentence, n: Numbers) -> Question | None:
    """ "pen says 780, ok?": what a meter shows, and nothing about water to add."""
    spans = spans_of(s, "ppm_scale")
    ph = s.found(r"\bph (?:is |of |at |reads? |says |: ?)*(\d{1,2}(?:[.,]\d{1,2})?)\b")
    warm = next((m.text for m in s.mentions if m.kind == "temperature"), None)
    told = n.all("ec")
    ec = spans.ec
    if (
        ec
        and not ph
        and re.fullmatch(r"[4-9][.,]\d", ec)
        and not s.found(r"\b(?:ec|ms|cf|ppm|tds)\b")
    ):
        return Ph(tower=s.tower_name, ph=ec)  # no tank reads so much EC: it is a pH
    if len(told) > 1 and (strong := next((m for m in told if m.number < _PPM), None)):
        ec = strong.text  # the same water in two units
    elif (
        ec and re.fullmatch(r"\d{3,}", ec) and s.found(r"\b(ppm|tds)\b") and not s.found(r"[uµ]s\b")
    ):
        ec = f"{ec} ppm"
    elif ec and re.fullmatch(r"\d{3,}", ec) and s.found(r"\b[uµ]s\b"):
        ec = f"{ec} uS"
    if ec and not s.book.towers and not ph and not warm:
        return Convert(amount=ec, to="ec")  # no target to hold it against: what it is in EC
    return Check(tower=s.tower_name, ec=ec, ph=ph, temp=warm) if ec or ph or warm else None


_PPM = 10  # no meter shows less in ppm, or more in EC


def filled(s: Sentence) -> Question | None:
    """ "I topped up the porch tower": the feed for it depends on how much went in."""
    spans = _of_tower(spans_of(s, "topup_poured"), s)
    return TopUp(tower=spans.tower, added="?") if _filled_by_eye(spans, s.low) else None


def _filled_by_eye(spans: Spans, lowered: str) -> bool:
    """So much water went in, nobody has said how much."""
    known = spans.added or spans.volume or spans.ec
    part = spans.level is not None and not _to_the_line(spans)
    told = _FILLED.search(lowered) and not _FROM_EMPTY.search(lowered)
    return bool(told) and not (known or part)


def _to_the_line(spans: Spans) -> bool:
    """No level, or the full one: the whole tank is meant."""
    return (
        spans.level is None or re.search(r"full|line|top|brim", spans.level.casefold()) is not None
    )


def _fresh(spans: Spans, lowered: str, kind: str) -> Dose:
    """A whole tank, a tray or a bottle."""
    young = kind == "seedling_strength" or _SEEDLING.search(lowered)
    seedling = "seedling" if young and not spans.strength else None
    return Dose(
        tower=spans.tower,
        water=spans.volume,
        strength=spans.strength,
        rate=spans.rate,
        target=spans.target or spans.ec,
        stage=seedling,
    )


def _topup(spans: Spans, lowered: str, kind: str) -> TopUp:
    return TopUp(
        tower=spans.tower,
        level=spans.level,
        ec=spans.ec,
        target=spans.target,
        tank=spans.volume,
        tap=spans.tap,
        strength=spans.strength or ("seedling" if _YOUNG.search(lowered) else None),
        added=spans.added,
        swap="yes" if _SWAP.search(lowered) or _strong_and_full(spans, kind) else None,
        depth=spans.depth,
    )


def _strong_and_full(spans: Spans, kind: str) -> bool:
    """Too strong, and no room for water: some has to come out."""
    return kind == "overstrong" and (spans.level is None or _to_the_line(spans))


_UNIT_NAMES: Final = (
    r"(?:us |uk |imperial )?gallons?|gal|lit(?:er|re)s?|l|ml|mls|millilit(?:er|re)s|tea ?spoons?|tsp|"
    r"table ?spoons?|tbsp|cups?|fl oz|ounces|quarts?|ec|ms"
)


def convert(s: Sentence, n: Numbers) -> Question | None:
    """ "14 gallons in litres?", "how many teaspoons is 48 ml", "half a fl oz per gal, 12 gal"."""
    rates = [m for m in s.mentions if m.kind == "rate"]
    rate = rates[0] if rates else None
    if len({m.text for m in rates}) > 1:
        return Unsure(read="", rest=", ".join(m.text for m in rates))  # each part has its own
    to = s.found(
        rf"\b(?:in|into|to|as|what'?s that in|is that in) (?:a |an )?({_UNIT_NAMES})\b"
    ) or s.found(rf"how many ({_UNIT_NAMES})\b")
    if rate is not None:
        if s.level_text and re.search(r"half|third|quarter|down|full", s.level_text.casefold()):
            return fed(s, "topup_no_meter")  # the label, for what is missing of it
        tank = n.one("tank", "amount", "level")
        if tank is not None and tank.kind == "fraction":
            return Unsure(read=rate.text, rest=tank.text)  # of the rate, or of the tank
        size = s.water(tank) if tank is not None and tank.kind != "rate" else None
        return Convert(amount=rate.text, to=(to or "ml").casefold(), tank=size,
                       tower=s.tower_name)  # fmt: skip
    if s.found(r"\b(?:ml|g|tsp|tbsp|ounces?) (?:per|to|in|for|/) \d+ ?(?:l|lit\w+|gal\w*)\b"):
        return Unsure(read="", rest=s.found(r"\b(?:per|to|in|for) (\d+ ?\w+)\b") or "")
    one = n.one("amount", "ec", "tank", "added", "dose", "poured", "level")
    if one is None:
        return Convert(to=to.casefold()) if to else None
    return Convert(amount=_named(s, one), to=to.casefold() if to else None)


def _named(s: Sentence, one: Mention) -> str:
    """With the unit that stands in front of it: "the CF 19"."""
    front = re.search(r"\b(cf|ppm|ec)[ :=]*$", s.low[: one.start])
    return s.text[front.start() if front else one.start : one.end]


_SEVERAL: Final = r"\b(both|all|every|each|altogether|total|together|towers|tanks|combined|(?:two|three|four|2|3|4) of)\b"


def dose_all(s: Sentence, n: Numbers) -> Question | None:
    """Several tanks at once: their sizes, or what is missing in each."""
    several = len(n.all("tank")) > 1 or len(s.towers_named) > 1 or s.found(_SEVERAL)
    if not several:
        return None
    sizes = n.all("tank")
    tanks = ", ".join(s.water(m) or "" for m in sizes) if len(sizes) > 1 else None
    alike = re.search(
        r"(\d+) (?:towers?|tanks?),? (?:all |of )?(\d+(?:\.\d+)? ?(?:gal\w*|g|l\b|lit\w+))(?: each)?",
        s.low,
    )
    if alike and 1 < int(alike[1]) <= _MOST_TANKS:
        tanks = ", ".join([alike[2]] * int(alike[1]))
    missing = _each_level(s, n)
    if missing is not None and (read := n.one("ec")) is not None:
        return Unsure(
            read=missing.replace(":", ""), rest=read.text
        )  # one reading for each: one by one
    if missing is not None:
        return DoseAll(missing=missing)
    spans = spans_of(s, "many_towers")
    return DoseAll(tanks=tanks, strength=spans.strength, rate=spans.rate, level=s.level_text)


_MOST_TANKS = 20


def _each_level(s: Sentence, n: Numbers) -> str | None:
    """ "kitchen is down a third and porch is down half": each tower with what is said of it."""
    words = {w for t in s.book.towers for w in t.name.casefold().split()}
    places = sorted(
        (m.start(), m.end(), t.name)
        for t in s.book.towers
        for m in [_named_at(s.low, t.name, words)]
        if m is not None
    )
    if len(places) < len(s.book.towers) or len(places) < 2:
        return None
    found = []
    for at, (_, end, name) in enumerate(places):
        stop = places[at + 1][0] if at + 1 < len(places) else len(s.text)
        part = Sentence(s.text[end:stop], s.book)
        added = next((m for m in n.all("added") if end <= m.start < stop), None)
        if added is not None:
            found.append(f"{name}: added {s.water(added)}")
        elif part.level_text is not None:
            found.append(f"{name}: {part.level_text}")
    return "; ".join(found) if len(found) == len(places) else None


def _named_at(low: str, name: str, words: set[str]) -> re.Match[str] | None:
    """Where a tower is named: in full, or by its own first word."""
    first = next((w for w in name.casefold().split() if w in words), name)
    return re.search(rf"\b{re.escape(name.casefold())}\b", low) or re.search(
        rf"\b{re.escape(first)}\b", low
    )
