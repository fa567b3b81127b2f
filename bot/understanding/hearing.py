"""Finds the spans of a sentence that are options, and which question they are options of.

Only reading and choosing: every span goes on as it was typed, and is read by `calc.units` when the
question is answered. Doses and top-ups are heard so far; everything else is honestly not mine.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.records.book import Book
from bot.records.questions import Dose, Help, NotMine, Question, TopUp
from bot.understanding.danger import danger
from calc.errors import CalcError
from calc.units import Measures, Quantity, Word, find_level, scan

_LONGEST = 2000
_METER = frozenset("ec meter reads reading says reader pen shows cf measures".split())
_TARGET = frozenset("want wants target aim aiming should goal need".split())
_TAP = frozenset("tap hose faucet mains".split())
_POURED = frozenset("poured put added pour tipped chucked".split())
_TOPUP = re.compile(r"\btop(ping)?[ -]?(it )?(up|off)\b|\brefill(ing)?\b|\bwhat do i add\b")
_FRESH = re.compile(
    r"\b(first (fill|time)|fill(ing)?|fresh|new (tank|batch)|mix(ing)? up|make up|from empty|tray|"
    r"bottle of|seedlings?|baby|babies|starts|recipe|label says)\b"
)
_MISTAKE = re.compile(r"\b(oops|by mistake|only had|too much|twice|instead of|ran out|short of)\b")
_FULL_RATE = re.compile(r"\bfull(?: label)? (?:rate|strength)\b", re.IGNORECASE)
_SEEDLING = re.compile(r"\b(seedlings?|baby|babies|starts|plugs?)\b")
_SWAP = re.compile(r"\b(scoop|swap|drain (some|off|a bit)|dilute|too strong|overstrong)\b")
# Words of questions that are not answered yet: each makes an honest "not mine" instead of a dose.
_OTHER = re.compile(
    r"\b(ph|seed|weekly|long|timer|ppfd|dli|lux|watts?|kwh|sow|sowing|seeds?|harvest\w*|heads?|plugs|cost|leak\w*|"
    r"overnight|lost|days?|weeks?|when|how long|away|vacation|holiday|leaving|frozen|ice|degrees|"
    r"grains?|hardness|hard|soften\w*|ports?|level \d|due|change|clean\w*|remind\w*|who|live|"
    r"pacific|eastern|everyone|ppl|people|altogether|money|bucks|pond|koi|bitcoin|weather|lamp|"
    r"light|anyone|any1)\b"
)
_GROWING = re.compile(
    r"\b(tower|tank|topped|pump|roots?|plants?|leaf|leaves|lettuce|basil|tomato\w*|nutrients?|feed|water|"
    r"seed\w*|gal\w*|lit(er|re)s?|leak\w*|ph|ec|meter|pen|timer|light|algae|harvest|port)\b"
)


@dataclass(frozen=True, slots=True)
class _Spans:
    """What a sentence says, as typed."""

    tower: str | None = None
    level: str | None = None
    ec: str | None = None
    target: str | None = None
    tap: str | None = None
    volume: str | None = None
    added: str | None = None
    strength: str | None = None
    rate: str | None = None
    poured: str | None = None


def hear(text: str, book: Book) -> Question:
    """The question in a sentence; NotMine where there is none that can be answered."""
    about = danger(text)
    text = text[:_LONGEST]
    if about is not None:
        return NotMine(about=about)
    lowered = text.casefold()
    if lowered.strip(" !?.") in ("help", "what can you do", "hi", "hello", "hey"):
        return Help()
    spans = _spans(text, book)
    question = _question(spans, lowered)
    if question is not None:
        return question
    return NotMine(about="not_yet" if _GROWING.search(lowered) else "off_topic")


def _question(spans: _Spans, lowered: str) -> Question | None:
    if _OTHER.search(lowered):
        return None
    if spans.poured and (_MISTAKE.search(lowered) or spans.level is None):
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


def _topup(spans: _Spans, lowered: str) -> TopUp:
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


def _spans(text: str, book: Book) -> _Spans:
    items = scan(text)
    spans = _Spans(tower=_tower(text, book), poured=_parts(text, items, book))
    level = _level(text)
    if level is not None:
        spans = replace(spans, level=text[level[0] : level[1]])
    taken = [level] if level else []
    for at, item in enumerate(items):
        if not isinstance(item, Quantity):
            continue
        if any(item.start < end and item.end > start for start, end in taken):
            continue
        name = _role(items, at)
        typed = text[_start(items, at) : item.end]
        if name is None and spans.level is not None:
            name = _bare_reading(item)
        if name and getattr(spans, name) is None and not (name == "ec" and spans.poured):
            spans = replace(spans, **{name: typed})
    if spans.strength is None and _FULL_RATE.search(text):
        spans = replace(spans, strength="full")
    return _same_unit(spans)


def _bare_reading(item: Quantity) -> str | None:
    """ "a finger above a quarter, 2.1": beside a level, a lone number of a meter's size is one."""
    return "ec" if item.kind == "number" and 0.2 <= item.number <= 5 else None


def _same_unit(spans: _Spans) -> _Spans:
    """ "cf 27, should be 17": the second number is in the unit of the first."""
    unit = re.search(r"cf|ppm", spans.ec or "", re.IGNORECASE)
    if unit and spans.target and re.fullmatch(r"[0-9.,]+", spans.target):
        return replace(spans, target=f"{spans.target} {unit[0]}")
    return spans


def _level(text: str) -> tuple[int, int] | None:
    """Where a level stands, read with stand-in measures: only its place is wanted here."""
    try:
        found = find_level(text, measures=Measures(gallon="us", jug_l=1.0))
    except CalcError:
        return None
    return (found.start, found.end) if found is not None else None


def _before(items: Sequence[Quantity | Word], at: int, reach: int = 3) -> list[str]:
    """The words just before an item, back to the last number or comma."""
    words: list[str] = []
    for item in reversed(items[max(0, at - reach) : at]):
        if isinstance(item, Quantity) or item.text in (",", ".", ";"):
            break
        words.append(item.text)
    return words


def _role(items: Sequence[Quantity | Word], at: int) -> str | None:
    """Which option a quantity is, by its unit and the words before it."""
    item = items[at]
    assert isinstance(item, Quantity)
    before = _before(items, at)
    after = [i.text for i in items[at + 1 : at + 3] if isinstance(i, Word)]
    if item.kind == "rate":
        return "rate"
    if item.kind in ("fraction", "number") and after[:1] and after[0] in (
        "strength", "label", "dose", "rate",
    ):  # fmt: skip
        return "strength"
    if item.kind == "volume" or (item.kind == "mass" and item.unit == "g"):
        return "added" if _POURED & set(before) else "volume"
    if item.kind == "ec" or item.kind in ("number", "fraction"):
        if _TARGET & set(before):
            return "target"
        if _TAP & set(before):
            return "tap"
        if item.kind == "ec" or _METER & set(before):
            return "ec"
    return None


def _start(items: Sequence[Quantity | Word], at: int) -> int:
    """Where a quantity starts, a unit said in front of it ("cf 21") included."""
    before = items[at - 1] if at else None
    if isinstance(before, Word) and before.text in ("cf", "ppm", "tds"):
        return before.start
    return items[at].start


def _tower(text: str, book: Book) -> str | None:
    """A tower's name, said in full or by a word that only it has."""
    words = re.findall(r"[^\W_]+", text.casefold())
    lowered = f" {' '.join(words)} "
    named = [t.name for t in book.towers if f" {t.name.casefold()} " in lowered]
    if named:
        return max(named, key=len)
    own: dict[str, list[str]] = {}
    for tower in book.towers:
        for word in tower.name.casefold().split():
            own.setdefault(word, []).append(tower.name)
    hits = {names[0] for word, names in own.items() if len(names) == 1 and f" {word} " in lowered}
    return hits.pop() if len(hits) == 1 and hits != {"tower"} else None


def _parts(text: str, items: Sequence[Quantity | Word], book: Book) -> str | None:
    """ "120 of A but only 75 of B" -> "A 120, B 75"."""
    names = {p.name.casefold(): p.name for feed in book.feeds for p in feed.parts}
    found: dict[str, str] = {}
    for at, item in enumerate(items):
        if not isinstance(item, Quantity) or item.kind not in ("number", "volume"):
            continue
        near = [
            i.text
            for i in items[at + 1 : at + 4]
            if isinstance(i, Word) and i.text not in ("of", "the", "part", "ml")
        ]
        name = near[0] if near and near[0] in names else None
        if name is None and at and isinstance(items[at - 1], Word):
            previous = items[at - 1]
            name = previous.text if isinstance(previous, Word) and previous.text in names else None
        if name is not None and names[name] not in found:
            found[names[name]] = text[item.start : item.end]
    if len(found) < 2:
        return None
    return ", ".join(f"{name} {amount}" for name, amount in found.items())
