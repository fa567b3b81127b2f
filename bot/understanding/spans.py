"""The spans of a sentence that are options, as typed; and what found no place.

Every number, unit and part name must find its place: an amount worked out from half a sentence is
a wrong amount. What is left over is handed on with the rest.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from typing import Final

from bot.records.book import Book
from bot.understanding.naming import ALIKE, STAND_IN, of_size, towers_in
from calc.errors import CalcError
from calc.units import Quantity, Word, find_level, scan, to_si

_METER: Final = frozenset("ec meter reads reading says reader pen shows cf measures".split())
_TARGET: Final = frozenset(
    "want wants target aim aiming should goal need keep arrive after supposed shooting shootin "
    "reach like prefer wish run".split()
)
_TAP: Final = frozenset("tap hose faucet mains".split())
_POURED: Final = frozenset("poured put added pour tipped chucked".split())
_SPOONED: Final = frozenset("ml cl tsp tbsp cup fl_oz drop g".split())
_ENOUGH = 4
_FAINT = 1.0  # [mS/cm]: "water .2" is what comes from the tap
_TIMES: Final = frozenset("min mins minute minutes h hr hrs hour hours am pm sec seconds".split())
_OTHER_THINGS: Final = frozenset(
    "days day weeks week months bottles bottle leaves leaf true towers people kids plants ports levels "
    "parts times degrees years year old tall o'clock heads plugs percent % th st nd rd".split()
)
_TANKS: Final = frozenset("tank reservoir tanks size holds full first the on my a in of".split())
_PRONOUNS: Final = frozenset("the this that porch kitchen other which".split())
_BEFORE_FULL: Final = frozenset(
    "is its it's it tank tank's tanks now the a my at to about all complete completely totally right half "
    "quarter quarters third thirds and n tower still level filled when fully , . - : ;".split()
)
_NO_SALT: Final = re.compile(r"\b(r\.?o\.?|reverse osmosis|distilled|rain ?water|rain)\b", re.I)
_NOT_THAT: Final = re.compile(
    r"\b(?:not|no|without|stopped)\b(?: \w+)? (?:rain|ro|r\.o|reverse|distilled)", re.IGNORECASE
)
_FULL_RATE: Final = re.compile(r"\bfull(?: label)? (?:rate|strength)\b", re.IGNORECASE)
_MISSED: Final = re.compile(r"\b(?:no|without|forgot|missed|none of|but not)(?: the)? (\w+)\b")

Items = Sequence[Quantity | Word]


@dataclass(frozen=True, slots=True)
class Spans:
    """What a sentence says, as typed. left_over: what has no place among the options."""

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
    left_over: tuple[str, ...] = field(default=())

    def read(self) -> str:
        """What was read, for the echo."""
        said = [getattr(self, f.name) for f in fields(self) if f.name != "left_over"]
        return ", ".join(text for text in said if text)


def spans_of(text: str, book: Book) -> Spans:
    """Every option that `text` names, and the numbers that are none."""
    items = scan(text)
    named = tuple(t.name for t in towers_in(text, book))
    tower, stray_towers = (named[0], ()) if len(named) == 1 else (None, named)
    poured, taken = _parts(text, items, book)
    spans = Spans(tower=tower, poured=poured, left_over=stray_towers)
    level = _level(text)
    if level is not None and _poured_in(items, level):
        # "put 2.5 gal in": that is water added; how full it is now may be said besides.
        blank = text[: level[0]] + " " * (level[1] - level[0]) + text[level[1] :]
        level = _level(blank)
    if level is not None:
        spans = replace(spans, level=text[level[0] : level[1]])
        spans = _left(spans, _before_full(text, items, level, book))
        taken = [*taken, level]
    for at, item in enumerate(items):
        if len(spans.left_over) >= _ENOUGH:
            break  # it will be asked about anyway
        if isinstance(item, Quantity) and not _overlaps(item, taken):
            spans = _placed(spans, text, items, at, book)
    if spans.strength is None and _FULL_RATE.search(text):
        spans = replace(spans, strength="full")
    if spans.tap is None and _NO_SALT.search(text) and not _NOT_THAT.search(text):
        spans = replace(spans, tap="0")
    return _same_unit(spans)


def _poured_in(items: Items, level: tuple[int, int]) -> bool:
    """A volume right behind "put", "poured", "added"."""
    at = next((n for n, item in enumerate(items) if item.start >= level[0]), 0)
    first = items[at] if at < len(items) else None
    is_volume = isinstance(first, Quantity) and first.kind == "volume"
    return is_volume and bool(_POURED & set(_before(items, at, reach=2)))


def _left(spans: Spans, rest: str | None) -> Spans:
    return spans if rest is None else replace(spans, left_over=(*spans.left_over, rest))


def _overlaps(item: Quantity, taken: Sequence[tuple[int, int]]) -> bool:
    return any(item.start < end and item.end > start for start, end in taken)


def _placed(spans: Spans, text: str, items: Items, at: int, book: Book) -> Spans:
    """`spans` with the quantity at `at` in its place, or among what is left over."""
    item = items[at]
    assert isinstance(item, Quantity)
    typed = text[_start(items, at) : item.end]
    if _harmless(items, at, typed):
        return spans
    name = _role(items, at, book)
    if name is None and spans.level is not None and _bare_reading(items, at, typed):
        name = "ec"
    if name == "tap" and spans.tap == "0" and item.number == 0:
        return spans  # RO water, and its zero
    if name is None or getattr(spans, name) is not None:
        known = _known(item, spans, items, book)
        return spans if known else _left(spans, typed)
    return replace(spans, **{name: typed})  # type: ignore[arg-type]  # a role is a text field


def _counts(items: Items, at: int) -> bool:
    """ "3 bottles", "5 12 litre buckets": so many of something that is no reading."""
    nearest = items[at + 1] if at + 1 < len(items) else None
    if isinstance(nearest, Quantity):
        return nearest.kind == "volume" and "buckets" in _words_after(items, at + 1)
    if not isinstance(nearest, Word) or not nearest.text.isalpha():
        return False
    before = _before(items, at, reach=2)
    if _METER & set(before) or _TARGET & set(before) or _TAP & set(before) or _POURED & set(before):
        return False
    return len(nearest.text) > _SHORT and nearest.text not in _NO_NOUNS


_SHORT = 3
_NO_NOUNS: Final = frozenset(
    "want wants tank with then what from into full half left down below above reads meter topping more "
    "that when which need needs water plain gone under over should would each apiece both level".split()
)


def _known(item: Quantity, spans: Spans, items: Items, book: Book) -> bool:
    """The tank's own depth or size told once more, or an amount that has its place already."""
    tanks = [t for t in book.towers if spans.tower in (None, t.name)]
    if item.kind == "length":
        if item.unit == "finger":
            return False
        depth = to_si(item.number, item.unit)
        return any(
            t.full_depth_cm and abs(depth - t.full_depth_cm) <= ALIKE * t.full_depth_cm
            for t in tanks
        )
    others = (i.unit for i in items if isinstance(i, Quantity) and i.kind == "volume")
    habit = {"us": "gal"}.get(book.member.units, "l")
    unit = item.unit or next((u for u in others if u not in _SPOONED), habit)
    if spans.level and item.kind == "number" and re.search(r"in\b|inch|cm", spans.level):
        length = "cm" if "cm" in spans.level else "in"
        depth = to_si(item.number, length)
        if any(t.full_depth_cm and abs(depth - t.full_depth_cm) <= ALIKE * depth for t in tanks):
            return True
    if item.kind == "number" or (item.kind == "volume" and item.unit not in _SPOONED):
        same = item.kind == "volume" and any(
            told is not None and f"{item.number:g}" in told for told in (spans.added, spans.volume)
        )
        return same or bool(of_size(f"{item.number:g} {unit.replace('_', ' ')}", tanks))
    return False


def _harmless(items: Items, at: int, typed: str) -> bool:
    """ "the kitchen one", "pump off for 5 min": numbers that no amount depends on."""
    item = items[at]
    assert isinstance(item, Quantity)
    after = _words_after(items, at)
    if item.kind == "number" and after[:1] and after[0] in _TIMES | _OTHER_THINGS:
        return True
    if item.kind == "temperature" or re.match(r"(?:st|nd|rd|th)\b", "".join(after[:1])):
        return True
    if item.kind == "number" and float(item.number).is_integer() and _counts(items, at):
        return True
    before = items[at - 1] if at else None
    return typed.lower() == "one" and isinstance(before, Word | Quantity)


def _bare_reading(items: Items, at: int, typed: str) -> bool:
    """ "a finger above a quarter, 2.1": beside a level, a lone number as a meter shows it."""
    item = items[at]
    assert isinstance(item, Quantity)
    if item.kind != "number" or not re.fullmatch(r"\d?[.,]\d{1,2}", typed):
        return False
    if _words_after(items, at)[:1] == ["ph"]:
        return False
    after = items[at + 1] if at + 1 < len(items) else None
    return not isinstance(after, Quantity)


def _same_unit(spans: Spans) -> Spans:
    """ "cf 27, should be 17": the second number is in the unit of the first."""
    unit = re.search(r"cf|ppm", spans.ec or "", re.IGNORECASE)
    if unit and spans.target and re.fullmatch(r"[0-9.,]+", spans.target):
        return replace(spans, target=f"{spans.target} {unit[0]}")
    return spans


def _level(text: str) -> tuple[int, int] | None:
    """Where a level stands, read with stand-in measures: only its place is wanted here."""
    try:
        found = find_level(text, measures=STAND_IN)
    except CalcError:
        return None
    if found is None or found.unit in _SPOONED:
        return None
    return found.start, found.end


def _before_full(text: str, items: Items, level: tuple[int, int], book: Book) -> str | None:
    """ "not full", "hlaf full": a word of unknown meaning before "full" may turn it around."""
    if text[level[0] : level[1]].casefold() != "full":
        return None
    at = next(i for i, item in enumerate(items) if item.start == level[0])
    before = items[at - 1] if at else None
    if not isinstance(before, Word) or before.text in _BEFORE_FULL:
        return None
    names = {word for tower in book.towers for word in tower.name.casefold().split()}
    return None if before.text in names else f"{before.text} full"


def _before(items: Items, at: int, reach: int = 3) -> list[str]:
    """The words just before an item, back to the last number or comma."""
    words: list[str] = []
    for item in reversed(items[max(0, at - reach) : at]):
        if isinstance(item, Quantity) or item.text in (",", ".", ";"):
            break
        words.append(item.text.removesuffix("'s"))
    return words


def _words_after(items: Items, at: int, reach: int = 3) -> list[str]:
    """The words just behind an item, up to the next number or comma."""
    words: list[str] = []
    for item in items[at + 1 : at + 1 + reach]:
        if isinstance(item, Quantity) or item.text in (",", ".", ";"):
            break
        words.append(item.text)
    return words


def _role(items: Items, at: int, book: Book) -> str | None:
    """Which option a quantity is, by its unit and the words around it."""
    item = items[at]
    assert isinstance(item, Quantity)
    before, after = _before(items, at), _words_after(items, at, reach=5)
    if item.kind == "rate":
        return "rate"
    if item.kind in ("fraction", "number") and after[:1] and after[0] in (
        "strength", "label", "dose", "rate",
    ):  # fmt: skip
        return "strength"
    if item.kind == "volume" or (item.kind == "mass" and item.unit == "g"):
        return _volume_role(item, before, after, book)
    if item.kind in ("ec", "number", "fraction"):
        if _TARGET & set(_before(items, at, reach=4)):
            return "target"
        if (
            _TAP & set(before)
            or (_TAP & set(after[:3]) and "for" in after[:2])
            or ("water" in before[:2] and item.number < _FAINT)
        ):
            return "tap"
        if item.kind == "ec" or _METER & set(before) or after[:1] == ["ec"]:
            return "ec"
    return None


def _volume_role(item: Quantity, before: list[str], after: list[str], book: Book) -> str | None:
    """Water poured in, or the tank: never what was poured out of a bottle of feed."""
    near = {*before[:2], *after[:2]}
    if "out" in near or (item.unit in _SPOONED and near & _feed_words(book)):
        return None
    if item.kind == "mass" and any(p.dry for feed in book.feeds for p in feed.parts):
        return None
    poured = _POURED & set(before) or {"plain", "already"} & set(after)
    return "added" if poured else "volume"


def _feed_words(book: Book) -> set[str]:
    """What a spoonful may be of, when it is no water."""
    bottles = {p.name.casefold() for feed in book.feeds for p in feed.parts}
    return bottles | {"each", "both", "bottle", "feed", "nutrient", "nutrients"}


def _start(items: Items, at: int) -> int:
    """Where a quantity starts, a unit said in front of it ("cf 21") included."""
    before = items[at - 1] if at else None
    if isinstance(before, Word) and before.text in ("cf", "ppm", "tds"):
        return before.start
    return items[at].start


def _parts(text: str, items: Items, book: Book) -> tuple[str | None, list[tuple[int, int]]]:
    """ "120 of A but only 75 of B" -> "A 120, B 75", and where those numbers stand."""
    names = {p.name.casefold(): p.name for feed in book.feeds for p in feed.parts}
    found: dict[str, str] = {}
    taken: list[tuple[int, int]] = []
    name_first = _name_stands_first(items, names)
    for at, item in enumerate(items):
        if not isinstance(item, Quantity) or item.kind not in ("number", "volume", "mass"):
            continue
        name = _part_beside(items, at, names, name_first=name_first)
        if name is None:
            continue
        if name in found:
            return None, []
        found[name] = text[item.start : item.end]
        taken.append((item.start, item.end))
    missed = _MISSED.search(text.casefold())
    if missed and missed[1] in names and found:
        found.setdefault(names[missed[1]], "0")
    if len(found) < 2:
        return None, []
    return ", ".join(f"{name} {amount}" for name, amount in found.items()), taken


def _name_stands_first(items: Items, names: dict[str, str]) -> bool:
    """ "A 140, B 78" against "140 of A, 78 of B": the first of the two says which."""
    for item in items:
        if isinstance(item, Quantity) and item.kind in ("number", "volume", "mass"):
            return False
        if isinstance(item, Word) and item.text in names:
            return True
    return False


def _part_beside(items: Items, at: int, names: dict[str, str], *, name_first: bool) -> str | None:
    """The part whose amount the number at `at` is."""
    skipped = ("of", "the", "part", "ml", "in", "to")
    near = _before(items, at) if name_first else _words_after(items, at, reach=4)
    near = [word for word in near if word not in skipped]
    reach = near[:3] if name_first else near[:1]
    return next((names[word] for word in reach if word in names), None)
