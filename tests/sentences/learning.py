"""Learning from the example sentences, for `bot/understanding/learned.json`.

phrases/<kind>.txt holds a sentence a line, as somebody typed it, with what each number is:

    half full {16g:tank}, ec {1.9:ec}, want {1.6:target}, tap is {.3:tap}

A number without a mark is one of the story. Lines with # are remarks.
"""

from __future__ import annotations

import json
import random
import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from bot.records.book import Book
from bot.records.facts import Member
from bot.understanding.learned import FILE, SCALE
from bot.understanding.numbers import in_digits
from bot.understanding.roles import NONE, context, family_of
from bot.understanding.sentence import Sentence
from bot.understanding.signs import Item, new_words, signs_at, signs_of, tokens_of
from bot.understanding.speech import in_full
from calc.units import Quantity, Word

PHRASES = Path(__file__).parent / "phrases"
TARGET = Path(__file__).parents[2] / "bot" / "understanding" / FILE
_MARK = re.compile(r"\{([^{}]*?):([a-z_]+)\}")
_HERE = "\u0001"
_ROUNDS = 8
_LEAST = 0.2
_NOBODY = Book(now=datetime(2026, 1, 1, tzinfo=UTC), member=Member())


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """One sentence: the kind of its question, what it shows, and each number's signs and role."""

    kind: str
    tokens: list[str | None]
    signs: set[str]
    numbers: list[tuple[list[str], str]]


def examples() -> Iterator[Example]:
    """All of them, by file and line."""
    for file in sorted(PHRASES.glob("*.txt")):
        for row in file.read_text(encoding="utf-8").splitlines():
            if row.strip() and not row.startswith("#"):
                yield example(file.stem, row)


def example(kind: str, row: str) -> Example:
    """One line of a file."""
    roles = [m[2] for m in _MARK.finditer(row)]
    plain = Sentence(in_full(in_digits(_MARK.sub(r"\1", row))), _NOBODY)
    items, marked = _aligned(in_full(in_digits(_MARK.sub(rf"\1 {_HERE} ", row))), roles)
    tokens = tokens_of(items, _NOBODY)
    return Example(
        kind=kind,
        tokens=plain.tokens,
        signs=signs_of(plain.tokens, level=plain.level is not None),
        numbers=[
            (signs_at(items, tokens, at), marked[at] or NONE)
            for at, item in enumerate(items)
            if isinstance(item, Quantity)
        ],
    )


def _aligned(text: str, roles: list[str]) -> tuple[list[Item], list[str | None]]:
    """The items of a sentence, and which role stands behind which of them."""
    items: list[Item] = []
    marked: list[str | None] = []
    left = iter(roles)
    for item in Sentence(text, _NOBODY).items:
        if not (isinstance(item, Word) and item.text == _HERE):
            items.append(item)
            marked.append(None)
            continue
        role = next(left)
        for at in range(len(items) - 1, -1, -1):
            if isinstance(items[at], Quantity) and marked[at] is None:
                marked[at] = NONE if role == "wrong" else role
                break
    return items, marked


def learn(some: list[Example]) -> dict[str, object]:
    """What `learned.json` holds."""
    shown: Counter[str] = Counter()
    every: defaultdict[str, Counter[str]] = defaultdict(Counter)
    often = Counter(token for one in some for token in set(one.tokens) if token)
    known = {token for token, count in often.items() if count > 1}
    for one in some:
        shows = one.signs | new_words(one.tokens, known)
        shown[one.kind] += len(shows)
        for sign in shows:
            every[sign][one.kind] += 1
    # A pair of words met once tells next to nothing, and there are more of them than of all else.
    signs = {s: c for s, c in every.items() if " " not in s or s[0] == "#" or c.total() > 1}
    kinds = sorted(shown)
    roles, weights = _weights(some)
    names = sorted({role for of_family in roles.values() for role in of_family})
    return {
        "kinds": {kind: shown[kind] for kind in kinds},
        "signs": {s: _flat(signs[s], kinds) for s in sorted(signs)},
        "names": names,
        "roles": {family: [names.index(r) for r in roles[family]] for family in sorted(roles)},
        "weights": {s: _flat(weights[s], names) for s in sorted(weights) if weights[s]},
    }


def _flat(told: dict[str, int], names: list[str]) -> list[int]:
    return [n for name in sorted(told) for n in (names.index(name), told[name])]


def _weights(some: list[Example]) -> tuple[dict[str, list[str]], dict[str, dict[str, int]]]:
    """An averaged perceptron over the numbers of each sentence, one after the other."""
    allowed: defaultdict[str, set[str]] = defaultdict(set)
    for one in some:
        for _, role in one.numbers:
            allowed[family_of(one.kind)].add(role)
    roles = {family: sorted(found) for family, found in allowed.items()}
    now: defaultdict[str, defaultdict[str, float]] = defaultdict(lambda: defaultdict(float))
    late: defaultdict[str, defaultdict[str, float]] = defaultdict(lambda: defaultdict(float))
    step = 0
    order, dice = list(some), random.Random(1)
    for turn in range(_ROUNDS):
        dice.shuffle(order)
        for one in order:
            family, had = family_of(one.kind), list[str]()
            for at_number, role in one.numbers:
                step += 1
                shows = context(had, family, at_number)
                speaks: Counter[str] = Counter()
                for sign in shows:
                    if sign in now:
                        speaks.update(now[sign])
                guess = max(roles[family], key=lambda r: speaks[r])
                if guess != role:
                    for sign in shows:
                        for which, by in ((role, 1.0), (guess, -1.0)):
                            now[sign][which] += by
                            late[sign][which] += by * step
                had.append(guess if turn > 1 else role)
    return roles, {
        sign: {
            role: round(SCALE * mean)
            for role, weight in of_sign.items()
            if abs(mean := weight - late[sign][role] / step) >= _LEAST
        }
        for sign, of_sign in now.items()
    }


def written(some: list[Example] | None = None) -> str:
    """The file's text."""
    found = learn(list(examples()) if some is None else some)
    rows = ",\n".join(
        f"{json.dumps(key)}: {_rows(value)}" if key in ("signs", "weights") else
        f"{json.dumps(key)}: {json.dumps(value)}"
        for key, value in found.items()
    )  # fmt: skip
    return "{" + rows + "}\n"


def _rows(table: object) -> str:
    """A sign a line, so that a change can be read."""
    assert isinstance(table, dict)
    lines = (f"{json.dumps(s, ensure_ascii=False)}: {json.dumps(flat, separators=(',', ':'))}"
             for s, flat in table.items())  # fmt: skip
    return "{\n" + ",\n".join(lines) + "}"
