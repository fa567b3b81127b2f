"""What was learned from the example sentences: which words speak for which kind of question, and
which signs for what a number is. Written by `python -m tests.sentences learn`.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

FILE = "learned.json"
SCALE = 100  # weights are kept as whole hundredths

Flat = tuple[int, ...]  # the number of a kind or role, and what belongs to it, one after the other


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """kinds: of questions; shown: how many signs the examples of each showed; signs: for each sign
    how often each kind showed it. names: of what numbers may be; roles: which of them in each family
    of questions; weights: how much each sign of a number speaks for each.
    """

    kinds: tuple[str, ...]
    shown: tuple[int, ...]
    signs: dict[str, Flat]
    names: tuple[str, ...]
    roles: dict[str, Flat]
    weights: dict[str, Flat]


@cache
def learned() -> Learned:
    """As it stands in the package, read once."""
    data = json.loads(files(__package__).joinpath(FILE).read_text(encoding="utf-8"))
    return Learned(
        kinds=tuple(data["kinds"]),
        shown=tuple(data["kinds"].values()),
        signs={sign: tuple(flat) for sign, flat in data["signs"].items()},
        names=tuple(data["names"]),
        roles={family: tuple(some) for family, some in data["roles"].items()},
        weights={sign: tuple(flat) for sign, flat in data["weights"].items()},
    )
