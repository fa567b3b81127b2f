"""The spans of a sentence about feeding that are options, as typed; and what found no place.

A number that could be two things, or a word that turns the level around, is handed on with the
rest: an amount worked out from half a sentence is a wrong amount.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, fields, replace
from typing import Final

from bot.records.book import Book
from bot.records.facts import Tower
from bot.understanding.naming import STAND_IN, of_size
from bot.understanding.sentence import Mention, Numbers, Sentence
from calc.errors import CalcError
from calc.units import Quantity, Word, find_level

_SPOONED: Final = frozenset("ml cl tsp tbsp cup fl_oz drop g".split())
_POURED: Final = frozenset(
    "poured put added pour tipped chucked emptied threw dumped sloshed splashed".split()
)
# Which option a role of the learned ones is, and what kinds of number it may be.
_OPTIONS: Final = {
    "ec": ("ec", frozenset(("ec", "number", "fraction"))),
    "target": ("target", frozenset(("ec", "number", "fraction"))),
    "tap": ("tap", frozenset(("ec", "number", "fraction"))),
    "tank": ("volume", frozenset(("volume", "number", "mass"))),
    "added": ("added", frozenset(("volume", "number"))),
    "strength": ("strength", frozenset(("fraction", "number"))),
    "rate": ("rate", frozenset(("rate",))),
}
_BEFORE_FULL: Final = frozenset(
    "is its it's it tank tank's tanks now the a my at to about all complete completely totally right half "
    "quarter quarters third thirds and n tower still level filled when fully til until from , . - : ;".split()
)
_NO_SALT: Final = re.compile(r"\b(r\.?o\.?|reverse osmosis|distilled|rain ?water|rain)\b", re.I)
_NOT_THAT: Final = re.compile(
    r"\b(?:not|no|without|stopped)\b(?: \w+)? (?:rain|ro|r\.o|reverse|distilled)", re.IGNORECASE
)
_FULL_RATE: Final = re.compile(
    r"\bfull(?: label)?[ -](?:rate|strength|power|dose)\b", re.IGNORECASE
)
_MISSED: Final = re.compile(
    r"\b(?:no|without|forgot|missed|none of|but not|skipped)(?: the| any)? (\w+)\b"
)
_MOST_EC, _LEAST_PPM = 5.0, 60.0
_DEEP: Final = re.compile(r"\b(deep|depth|dipstick|stands? at|of water|wet|high|reads?)\b")


_FILLED: Final = frozenset(("topup_poured", "overstrong"))
_TO_THE_LINE: Final = re.compile(
    r"\b(?:to|at|up to) the (?:full )?(?:line|top|mark|brim)\b|\bfill\w* (?:complete\w*|right up|up|it)\b|"
    r"\btopped (?:it )?(?:up|off|rn|now)\b|\bfull\b"
)


def _length(s: Sentence, one: Mention, level: str) -> str:
    """A depth as typed; a bare number in the unit of the level."""
    unit = re.search(r"\b(in|inch\w*|cm|centimet\w+|mm)\b", level.casefold())
    return one.text if one.kind == "length" or unit is None else f"{one.text} {unit[0]}"


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
    depth: str | None = None
    left_over: tuple[str, ...] = field(default=())

    def read(self) -> str:
        """What was read, for the echo."""
        said = [getattr(self, f.name) for f in fields(self) if f.name != "left_over"]
        return ", ".join(text for text in said if text)


def spans_of(s: Sentence, kind: str = "topup_meter") -> Spans:
    """Every option that the sentence names where `kind` is asked, and what is none."""
    numbers = s.numbers(kind)
    named = s.towers_named
    spans = Spans(tower=named[0].name if len(named) == 1 else None)
    poured, taken = _parts(s, numbers)
    spans = replace(spans, poured=poured, rate=_rates_by_part(s))
    level = _level(s, numbers)
    if level is not None:
        spans = replace(spans, level=s.text[level[0] : level[1]])
        taken = [*taken, level]
    for mention, role in numbers.roles:
        if not _within(mention, taken):
            spans = _placed(spans, s, mention, role)
    if spans.level is None:
        spans = replace(spans, level=_told_level(s, numbers))
    if spans.level is None and kind in _FILLED and _TO_THE_LINE.search(s.low):
        spans = replace(spans, level="full")
    depth = numbers.one("depth")
    if depth is not None and spans.level is not None:
        spans = replace(spans, depth=_length(s, depth, spans.level))
    if kind == "topup_poured" and spans.added is None:
        spans = _poured_water(spans, numbers)
    if spans.strength is None and _FULL_RATE.search(s.text):
        spans = replace(spans, strength="full")
    if spans.tap is None and _NO_SALT.search(s.text) and not _NOT_THAT.search(s.text):
        spans = replace(spans, tap="0")
    odd = [m.text for m in s.mentions if m.kind == "fraction" and m.number > 1]
    if spans.level is not None and not re.search(r"\d", spans.level):  # "68 cm nudre the full line"
        odd += [
            m.text for m in numbers.all("level") if m.kind == "length" and not _within(m, taken)
        ]
    again = _another_level(s, spans.level)
    odd += [again] if again else []
    unused = [
        m.text
        for m in numbers.all("poured")
        if not _within(m, taken) and _by_words(m) == "none" and m.kind != "rate"
    ]
    spans = replace(spans, left_over=(*spans.left_over, *odd, *unused))
    return _scaled(_same_unit(spans), numbers)


def _within(mention: Mention, taken: list[tuple[int, int]]) -> bool:
    return any(mention.start < end and mention.end > start for start, end in taken)


def _placed(spans: Spans, s: Sentence, mention: Mention, role: str) -> Spans:
    """`spans` with one number in its place."""
    if mention.kind == "rate":
        role = "rate"
    elif mention.kind in ("number", "ec") and (said := _by_words(mention)) != "none":
        role = said
    option, kinds = _OPTIONS.get(role, ("", frozenset()))
    if mention.kind not in kinds or (option == "volume" and mention.unit in _SPOONED - {"g"}):
        return spans
    typed = _typed(s, mention)
    if option in ("volume", "added") and mention.kind == "number":
        typed = s.water(mention) or typed
        if option == "volume" and not (of_size(typed, s.book.towers) or _of_tank(mention)):
            return spans  # a bare number, of whatever
    told = getattr(spans, option)
    if told is None:
        return replace(spans, **{option: typed})  # type: ignore[arg-type]  # an option is a text
    if option == "target" and spans.ec is None:
        aim, now = (typed, told) if _by_words(mention) == "target" else (told, typed)
        return replace(spans, target=aim, ec=now)
    if option == "volume" and of_size(told, _tanks(spans, s.book)):
        return replace(spans, volume=typed)  # another than the record's: the text wins
    if option == "volume" and of_size(typed, _tanks(spans, s.book)):
        return spans
    if told.casefold() == typed.casefold() or option in ("strength", "tap"):
        return spans
    return replace(spans, left_over=(*spans.left_over, typed))


def _by_words(mention: Mention) -> str:
    """What the word right in front of a meter's number says it is."""
    near = mention.before[:2]
    return next((role for word in near for role, words in _SAYS.items() if word in words), "none")


_SAYS: Final = {
    "target": frozenset("want wants target aim should goal".split()),
    "tap": frozenset("tap mains hose".split()),
    "ec": frozenset("ec meter reads reading pen".split()),
}


def _of_tank(mention: Mention) -> bool:
    near = {*mention.before[:3], *mention.after[:2]}
    return not near.isdisjoint(("tank", "tower", "holds", "full", "res", "reservoir", "fill"))


def _poured_water(spans: Spans, numbers: Numbers) -> Spans:
    """Where water went in, a volume that is not the tank is that water."""
    tanks = _tanks(spans, numbers.sentence.book)
    for mention, role in numbers.roles:
        water = mention.kind == "volume" and mention.unit not in _SPOONED - {"cup"}
        if water and role in ("none", "tank", "level") and not of_size(mention.text, tanks):
            volume = None if spans.volume == mention.text else spans.volume
            level = None if spans.level and mention.text in spans.level else spans.level
            return replace(spans, added=mention.text, volume=volume, level=level or "full")
    return spans


def _tanks(spans: Spans, book: Book) -> list[Tower]:
    return [t for t in book.towers if spans.tower in (None, t.name)]


def _typed(s: Sentence, mention: Mention) -> str:
    """A number as typed, with a unit said in front of it ("cf 21")."""
    front = re.search(r"\b(?:cf|ppm|tds)[ :=]*$", s.low[: mention.start])
    behind = mention.kind == "number" and mention.number > _MOST_EC and re.search(r"\bcf\b", s.low)
    if behind and not front and mention.number < _LEAST_PPM:
        return f"CF {mention.text}"
    return s.text[front.start() if front else mention.start : mention.end]


def _told_level(s: Sentence, numbers: Numbers) -> str | None:
    """A level that only the whole sentence tells: "now inside is 52", "wet to 13 inches of 15"."""
    found = numbers.one("level")
    if found is None:
        return None
    if found.kind == "length":
        under = found.precedes(("below", "under", "down", "off", "short"), 2)
        deep = not under and (numbers.one("depth") is not None or _DEEP.search(s.low) is not None)
        return f"{found.text} {'deep' if deep else 'below full'}"
    if found.kind == "volume" and found.unit not in _SPOONED:
        return f"{found.text} left"
    if found.kind == "number" and not found.unit and found.number > 1:
        return f"{s.water(found)} left"
    if found.kind in ("fraction", "number"):
        return found.text
    return None


def _same_unit(spans: Spans) -> Spans:
    """ "cf 27, should be 17": the other numbers of a meter are in the unit of the first."""
    unit = re.search(r"cf|ppm|[uµμ]s\b", spans.ec or "", re.IGNORECASE)
    if unit is None:
        return spans
    bare = {n: t for n in ("target", "tap") if (t := getattr(spans, n)) is not None
            and re.fullmatch(r"[0-9.,]+", t) and not _strong(t)}  # fmt: skip
    return replace(spans, **{n: f"{t} {unit[0]}" for n, t in bare.items()})  # type: ignore[arg-type]  # texts


def _strong(text: str) -> bool:
    """ "1.6": EC already, whatever the meter shows."""
    return re.fullmatch(r"\d?[.,]\d+", text) is not None


def _scaled(spans: Spans, numbers: Numbers) -> Spans:
    """ "the 500 scale ... 1650 ppm, I want 900 and tap is 200": all on that scale."""
    scale = numbers.one("scale")
    told = f"{scale.number:g}" if scale else None
    told = told or next((m[1] for t in (spans.ec, spans.target, spans.tap) if t
                         and (m := re.search(r"\b(500|640|700) scale", t))), None)  # fmt: skip
    if told is None:
        return spans
    found = {}
    for name in ("ec", "target", "tap"):
        text = getattr(spans, name)
        if text and "scale" not in text and re.match(r"(?:ppm |tds )?\d{3,}", text):
            figure = re.search(r"\d+", text)
            found[name] = f"{figure[0] if figure else text} ppm on the {told} scale"
    return replace(spans, **found)  # type: ignore[arg-type]  # texts


_NO_LEVELS: Final = frozenset("tank before use goal pump_line".split())
_CUES: Final = frozenset("at down missing short".split())  # in front of it they make it a level


def _level(s: Sentence, numbers: Numbers) -> tuple[int, int] | None:
    """Where a level stands: not one that is denied, nor a number that is something else."""
    others = [
        m
        for m, role in numbers.roles
        if (role in _NO_LEVELS and m.kind == "volume" and not _cued(m))
        or (role == "depth" and m.kind == "length")
    ]
    text = s.text
    for other in others:
        text = text[: other.start] + " " * (other.end - other.start) + text[other.end :]
    for _ in range(3):
        items = s.items if text is s.text else None
        try:
            found = find_level(text, measures=STAND_IN, items=items)
        except CalcError:
            return None
        if found is None or found.unit in _SPOONED - {"cup"}:
            return None
        here = found.start, found.end
        if not _poured_in(s, here) and not _denied(s, here):
            return here
        text = text[: here[0]] + " " * (here[1] - here[0]) + text[here[1] :]
    return None


def _another_level(s: Sentence, level: str | None) -> str | None:
    """ "full, and it's also down a third": two levels that are not one."""
    if level is None or level.casefold() != "full":
        return None
    found = re.search(
        r"\b(?:down|missing) (?:by )?(?:a |one )?(?:half|third|quarter|fifth)|"
        r"\b(?:half|third|quarter) (?:down|gone|empty|missing)",
        s.low,
    )
    return found[0] if found else None


def _cued(mention: Mention) -> bool:
    """ "at 6 gal", "down 4 gal", "4 gal left": a level, whatever else it looks like."""
    return mention.follows(_CUES, 2) or mention.precedes(_CUES | {"left"}, 1)


def _poured_in(s: Sentence, level: tuple[int, int]) -> bool:
    """ "put 2.5 gal in": that is water added; how full it is now may be said besides."""
    first = next((m for m in s.mentions if m.start >= level[0]), None)
    return first is not None and first.kind == "volume" and first.follows(_POURED, 2)


def _denied(s: Sentence, level: tuple[int, int]) -> bool:
    """ "isn't full", "not full": a word of unknown meaning before "full" may turn it around."""
    if s.text[level[0] : level[1]].casefold() != "full":
        return False
    at = next((i for i, item in enumerate(s.items) if item.start == level[0]), 0)
    before = s.items[at - 1] if at else None
    if not isinstance(before, Word) or before.text in _BEFORE_FULL:
        return False
    names = {word for tower in s.book.towers for word in tower.name.casefold().split()}
    return before.text not in names


def _parts(s: Sentence, numbers: Numbers) -> tuple[str | None, list[tuple[int, int]]]:
    """ "120 of A but only 75 of B" -> "A 120, B 75", and where those numbers stand."""
    names = {p.name.casefold(): p.name for feed in s.book.feeds for p in feed.parts}
    places = [
        (at, names[i.text])
        for at, i in enumerate(s.items)
        if isinstance(i, Word) and _names_part(s, at, names)
    ]
    amounts = [
        at
        for at, (item, role) in enumerate(_with_roles(s, numbers))
        if isinstance(item, Quantity)
        and item.kind in ("number", "volume", "mass")
        and (role in ("poured", "left", "dose") or (role == "none" and item.unit in _OF_PARTS))
    ]
    if not places or not amounts:
        return None, []
    first = places[0][0] < amounts[0]  # "A 140, B 78" against "140 of A, 78 of B"
    found: dict[str, str] = {}
    taken: list[tuple[int, int]] = []
    for at in amounts:
        name = _beside(at, places, amounts, name_first=first)
        if name is None:
            continue
        item = s.items[at]
        if name in found:
            return None, []
        found[name] = s.text[item.start : item.end]
        taken.append((item.start, item.end))
    missed = _MISSED.search(s.low)
    if missed and missed[1] in names and found:
        found.setdefault(names[missed[1]], "0")
    if len(found) < 2:
        return None, []
    return ", ".join(f"{name} {amount}" for name, amount in found.items()), taken


_OF_PARTS: Final = _SPOONED | {""}


def _with_roles(s: Sentence, numbers: Numbers) -> list[tuple[Quantity | Word, str]]:
    """Each item, a number with its role."""
    roles = iter(role for _, role in numbers.roles)
    return [(item, next(roles) if isinstance(item, Quantity) else "") for item in s.items]


def _names_part(s: Sentence, at: int, names: dict[str, str]) -> bool:
    """A part of the feed; "a" only where it is written large or stands like a name."""
    item = s.items[at]
    if isinstance(item, Quantity) or item.text not in names:
        return False
    if item.text != "a":
        return True
    before = s.items[at - 1] if at else None
    behind = s.items[at + 1] if at + 1 < len(s.items) else None
    like_a_name = isinstance(before, Word) and before.text in ("of", "part", "bottle", "and", "&")
    ends = not isinstance(behind, Word) or not behind.text.isalpha()
    return s.text[item.start] == "A" or like_a_name or ends


def _beside(
    at: int, places: list[tuple[int, str]], amounts: list[int], *, name_first: bool
) -> str | None:
    """The part whose amount stands at `at`: the nearest name on its side, no amount between."""
    before = max((p for p in amounts if p < at), default=-1)
    after = min((p for p in amounts if p > at), default=1_000_000)
    front = [(at - p, name) for p, name in places if before < p < at]
    behind = [(p - at, name) for p, name in places if at < p < after]
    mine, other = (front, behind) if name_first else (behind, front)
    near = [one for one in mine if one[0] <= _NEAR] or [one for one in other if one[0] <= _NEAR]
    return min(near)[1] if near else None


_NEAR = 9


def _rates_by_part(s: Sentence) -> str | None:
    """ "3 mL a litre of base and 1.5 of calcium" -> "base 3, calcium 1.5 ml/l"."""
    names = {p.name.casefold() for feed in s.book.feeds for p in feed.parts}
    rates = [m for m in s.mentions if m.kind == "rate"]
    if not rates or not names:
        return None
    named = {}
    for m in s.mentions:
        found = re.match(r" ?(?:ml )?(?:of )?(?:the |part )?(\w+)", s.low[m.end :])
        if found and found[1] in names and m.start >= rates[0].start:
            named[found[1]] = f"{m.number:g}"
    if len(named) < 2:
        return None
    return ", ".join(f"{name} {number}" for name, number in named.items()) + f" {rates[0].unit}"
