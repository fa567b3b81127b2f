"""What each number of a sentence is: the tank, the reading, the target, the days away ...

A number is what its signs speak most for, among what numbers may be in that family of questions;
what was found for the numbers before it is a sign as well (Collins 2002, "Discriminative training
methods for hidden Markov models", with the numbers taken one after the other).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Final

from bot.understanding.learned import learned
from bot.understanding.signs import Item, signs_at
from calc.units import Quantity

NONE: Final = "none"  # a number of the story
_FAMILIES: Final = {
    kind: family
    for family, kinds in {
        "feeding": "topup_no_meter topup_meter topup_depth topup_fingers topup_poured overstrong "
        "which_tower first_fill seedling_strength many_towers newcomer",
        "ph": "ph_unknown ph_jug_test",
        "light": "light_dli move_indoors",
        "lasting": "vacation refill_forecast",
    }.items()
    for kind in kinds.split()
}


def family_of(kind: str) -> str:
    """Kinds of questions whose numbers are alike."""
    return _FAMILIES.get(kind, kind)


def context(found: Sequence[str], family: str, signs: Sequence[str]) -> list[str]:
    """The signs of a number, with the family and with what came before it."""
    return [
        *signs,
        f"in {family}",
        *(f"in {family} {sign}" for sign in signs[:3]),
        f"then {found[-1] if found else '^'}",
        *(f"had {role}" for role in dict.fromkeys(found)),
    ]


def roles_of(items: Sequence[Item], tokens: Sequence[str | None], kind: str) -> list[str]:
    """The role of each number, in order."""
    model, family, weights = learned(), family_of(kind), _weights()
    among = model.roles.get(family, ())
    place = [-1] * len(model.names)
    for at, role in enumerate(among):
        place[role] = at
    found: list[str] = []
    for at, item in enumerate(items):
        if not isinstance(item, Quantity):
            continue
        speaks = [0] * len(among)
        for sign in context(found, family, signs_at(items, tokens, at)):
            for role, weight in weights.get(sign, ()):
                here = place[role]
                if here >= 0:
                    speaks[here] += weight
        best = speaks.index(max(speaks)) if speaks else None
        found.append(NONE if best is None else model.names[among[best]])
    return found


@cache
def _weights() -> dict[str, tuple[tuple[int, int], ...]]:
    """For each sign the roles that it speaks for or against."""
    return {
        sign: tuple(zip(flat[::2], flat[1::2], strict=True))
        for sign, flat in learned().weights.items()
    }
