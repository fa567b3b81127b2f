"""A sentence taken apart: its words, and each number with its unit and the words around it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from bot.records.book import Book
from bot.records.facts import Tower
from bot.understanding.learned import learned
from bot.understanding.naming import STAND_IN, of_size, towers_in
from bot.understanding.roles import roles_of
from bot.understanding.signs import tokens_of
from calc.errors import CalcError
from calc.units import Quantity, Word, find_level, scan

_REACH = 4
_PLACES: Final = (
    ("indoor", r"\b(?:indoors?|inside)\b(?! tower)|\bindoor (?:one|tower)\b"),
    ("outdoor", r"\b(?:outdoors?|outside)\b(?! temp)"),
)
_STOPS: Final = frozenset(",.;:!?()")
LIQUIDS: Final = frozenset("gal us_gal uk_gal l ml cl dl qt pt cup jug".split())
_A_DAY: Final = frozenset("day daily days d".split())
DAYS: Final = {
    name: number
    for number, names in enumerate(
        ("mon monday", "tue tues tuesday", "wed weds wednesday", "thu thur thurs thursday",
         "fri friday", "sat saturday", "sun sunday")
    )
    for name in names.split()
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Mention:
    """A quantity where it stands; before and after: the words around it, nearest first."""

    text: str
    kind: str
    unit: str
    number: float
    start: int
    end: int
    before: tuple[str, ...]
    after: tuple[str, ...]

    def follows(self, words: Iterable[str], reach: int = _REACH) -> bool:
        """One of `words` stands close in front of it."""
        return not set(words).isdisjoint(self.before[:reach])

    def precedes(self, words: Iterable[str], reach: int = 1) -> bool:
        """One of `words` stands close behind it."""
        return not set(words).isdisjoint(self.after[:reach])


class Sentence:
    """`text` as typed (slips mended) with what can be read in it without knowing what is asked."""

    def __init__(self, text: str, book: Book) -> None:
        self.text = text
        self.low = text.casefold()
        self.book = book
        self.items = scan(text)
        self._numbers: dict[str, Numbers] = {}

    def __contains__(self, pattern: str) -> bool:
        return re.search(pattern, self.low) is not None

    def found(self, pattern: str) -> str | None:
        """What `pattern` (its first group, if it has one) matches, as typed."""
        match = re.search(pattern, self.low)
        if match is None:
            return None
        group = 1 if match.re.groups else 0
        return self.text[match.start(group) : match.end(group)] if match[group] else None

    @cached_property
    def tokens(self) -> list[str | None]:
        """A token for each item, as examples are learned from."""
        return tokens_of(self.items, self.book)

    @property
    def knows(self) -> bool:
        """One word at least that an example had; not only numbers."""
        known = learned().signs
        return any(t is not None and t in known for t in self.tokens if t and t[0] not in "<#")

    def numbers(self, kind: str) -> Numbers:
        """What each number is, where `kind` is asked."""
        if kind not in self._numbers:
            self._numbers[kind] = Numbers(self, roles_of(self.items, self.tokens, kind))
        return self._numbers[kind]

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word."""
        return frozenset(i.text for i in self.items if isinstance(i, Word))

    @cached_property
    def mentions(self) -> tuple[Mention, ...]:
        """Every number, in order."""
        return tuple(
            self._mention(at) for at, item in enumerate(self.items) if isinstance(item, Quantity)
        )

    def _mention(self, at: int) -> Mention:
        item = self.items[at]
        assert isinstance(item, Quantity)
        return Mention(
            text=self.text[item.start : item.end],
            kind=item.kind,
            unit=item.unit,
            number=item.number,
            start=item.start,
            end=item.end,
            before=_around(reversed(self.items[max(0, at - _REACH) : at])),
            after=_around(self.items[at + 1 : at + 1 + _REACH]),
        )

    @cached_property
    def tower(self) -> Tower | None:
        """The one tower that is named, in full or by a word that only it has."""
        named = self.towers_named
        return named[0] if len(named) == 1 else None

    @cached_property
    def towers_named(self) -> tuple[Tower, ...]:
        """Every tower that is named; "no, the porch one" leaves only what comes after."""
        low = _NOT_THAT_ONE.sub(" ", self.low)
        turn = re.search(r"\b(?:no wait|wait no|no,|sorry|i mean|actually|scratch that)\b", low)
        later = self._towers_in(low[turn.end() :]) if turn else ()
        return later or self._towers_in(low)

    def _towers_in(self, low: str) -> tuple[Tower, ...]:
        return towers_in(low, self.book) or self._described(low)

    def _described(self, low: str) -> tuple[Tower, ...]:
        """ "the small one", "the one inside", "the pepper tower", "the ten gallon one"."""
        towers = self.book.towers
        if len(towers) < 2:
            return ()
        sizes = sorted(towers, key=lambda t: t.tank_l)
        if re.search(r"\bthe (?:small|smaller|little|tiny|smallest) (?:one|tower|tank)\b", low):
            return (sizes[0],)
        if re.search(
            r"\bthe (?:big|bigger|large|larger|biggest|largest) (?:one|tower|tank)\b", low
        ):
            return (sizes[-1],)
        for place, rule in _PLACES:
            there = [t for t in towers if (t.place == "outdoor") == (place == "outdoor")]
            if re.search(rule, low) and len(there) == 1:
                return (there[0],)
        crop = re.search(r"\b(\w+?)(?:s|es)? tower\b", low)
        if crop:
            own = {p.tower for p in self.book.plantings if crop[1] in p.crop.casefold()}
            found = [t for t in towers if t.name in own]
            if len(found) == 1:
                return (found[0],)
        size = re.search(r"\bthe (\d+(?:\.\d+)? ?-?(?:gal\w*|l|lit\w+)) (?:one|tower|tank)\b", low)
        found_of = of_size(size[1], towers) if size else ()
        return found_of if len(found_of) == 1 else ()

    @property
    def tower_name(self) -> str | None:
        """The name of the one tower that is meant."""
        return self.tower.name if self.tower else None

    @cached_property
    def level(self) -> tuple[str, int, int] | None:
        """How full, as typed, and where it stands."""
        # Drops in a jar are no water in a tank.
        text, items = self.text, self.items
        if "drop" in self.low:
            text = re.sub(r"\d+(?:\.\d+)? ?drops?\b", lambda m: " " * len(m[0]), text)
            items = scan(text)
        try:
            found = find_level(text, measures=STAND_IN, items=items)
        except CalcError:
            return None
        if found is None:
            return None
        return self.text[found.start : found.end], found.start, found.end

    @property
    def level_text(self) -> str | None:
        """How full, as typed."""
        return self.level[0] if self.level else None

    # ---- quantities by what they are

    @cached_property
    def volumes(self) -> tuple[Mention, ...]:
        """Amounts of water."""
        return tuple(m for m in self.mentions if m.kind == "volume" and m.unit in LIQUIDS)

    @cached_property
    def bare(self) -> tuple[Mention, ...]:
        """Numbers without a unit."""
        return tuple(m for m in self.mentions if m.kind == "number" and not m.unit)

    @cached_property
    def unit(self) -> str | None:
        """The unit that volumes stand in here: of the first one, or of how this person measures."""
        if self.volumes:
            return self.volumes[0].unit.replace("_", " ")
        return {"us": "gal", "uk": "l", "metric": "l"}.get(self.book.member.units)

    def water(self, one: Mention | None) -> str | None:
        """A volume as typed; a bare number in the unit of the others."""
        if one is None:
            return None
        if one.kind == "volume" or (one.kind == "mass" and one.unit == "g"):
            return one.text  # "16g" of water are gallons
        return f"{one.text} {self.unit}"

    def liquids(self) -> tuple[Mention, ...]:
        """Volumes, and bare numbers that nothing else counts."""
        return tuple(
            m
            for m in self.mentions
            if (m.kind == "volume" and m.unit in LIQUIDS)
            or (m.kind == "number" and not m.unit and not m.precedes(_COUNTED))
        )

    def a_day(self) -> str | None:
        """What is drunk a day: "0.9 gal a day", "drinks about 2 a day", "normally like 1 a day"."""
        for one in self.liquids():
            if set(one.after[:3]) & _A_DAY and set(one.after[:2]) & {"a", "per", "each", "/", "every",
                                                                     "daily"}:  # fmt: skip
                return self.water(one)
        for one in self.liquids():
            if one.follows(_USUALLY) and not one.precedes(("away",)):
                return self.water(one)
        return None

    def duration(self, units: str = r"days?|weeks?|wks?|months?|hours?|hrs?|h|d") -> str | None:
        """ "12 days", "two weeks", "a week", "a fortnight"."""
        number = (
            r"\d+(?:[.,]\d+)?(?: and a half)?|a couple(?: of)?|a few|an?|half an?|one|two|three"
        )
        found = next(
            (
                m
                for m in re.finditer(
                    rf"\b({number})[ -](?:full |whole |more )?({units})\b(?!-)", self.low
                )
                if m[1] not in ("a", "an") or not m[2].startswith("day")
            ),
            None,
        )
        if found is None:
            return "14 days" if "fortnight" in self.low else None
        count = {"a couple": "2", "a couple of": "2", "a few": "3"}.get(found[1], found[1])
        return f"{_DIGITS.get(count, count)} {found[2]}"

    def per_cent(self) -> str | None:
        """ "75 %", "75 percent"."""
        return next((m.text for m in self.mentions if m.unit == "percent"), None)


# "not my own at home", "kitchen is fine": towers that are named to be left out.
_NOT_THAT_ONE: Final = re.compile(
    r"\bnot (?:my own|the|my|in|on|at)(?: \w+){1,3}|\b\w+(?: one)?(?:'s| is)? (?:is )?(?:fine|ok|okay|good|all right)\b"
)


class Numbers:
    """The numbers of a sentence by what they are."""

    def __init__(self, sentence: Sentence, roles: Sequence[str]) -> None:
        self.sentence = sentence
        self.roles = tuple(zip(sentence.mentions, roles, strict=True))

    def all(self, *roles: str) -> tuple[Mention, ...]:
        """Every number that is one of `roles`, in order."""
        return tuple(mention for mention, role in self.roles if role in roles)

    def one(self, *roles: str) -> Mention | None:
        """The first of them."""
        return next(iter(self.all(*roles)), None)

    def text(self, *roles: str) -> str | None:
        """The first of them, as typed."""
        found = self.one(*roles)
        return found.text if found else None

    def water(self, *roles: str) -> str | None:
        """The first of them as a volume: a bare number in the unit of the others."""
        return self.sentence.water(self.one(*roles))


# A weekday's name, as a pattern.
DAY_NAME: Final = "|".join(sorted(DAYS, key=len, reverse=True))


def _around(items: Iterable[Quantity | Word]) -> tuple[str, ...]:
    """Words next to a number, up to the next number or stop."""
    words: list[str] = []
    for item in items:
        if isinstance(item, Quantity) or item.text in _STOPS:
            break
        words.append(item.text)
    return tuple(words)


_DIGITS: Final = {"one": "1", "two": "2", "three": "3"}
_USUALLY: Final = frozenset(
    "normally usually drinks drink drinking uses using normal usual typically average".split()
)
_COUNTED: Final = frozenset(
    """days day weeks week wks wk months month hours hour hrs hr h min mins minute minutes heads head
    plants plugs seeds people ppl members am pm percent ppfd dli umol watts w ports levels in inch
    towers bottles x times fingers degrees deg""".split()
)
