"""Every sentence a person can be shown, by name.

`{values}` are filled in by `render` only. One file an area; a name is `area.what`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from bot.words import (
    answers,
    buttons,
    care,
    coach,
    commands,
    forms,
    logbook,
    newcomer,
    operator,
    people,
    pictures,
    plants,
    questions,
    refusals,
    reminders,
    screen,
    spells,
    towers,
)  # fmt: skip

_AREAS = (
    answers, buttons, care, coach, commands, forms, logbook, newcomer, operator, people, pictures, plants, questions,
    refusals, reminders, screen, spells, towers,
)  # fmt: skip


@cache
def _all() -> Mapping[str, str]:
    merged: dict[str, str] = {}
    for area in _AREAS:
        merged.update(area.SENTENCES)
    return MappingProxyType(merged)


def sentence(name: str) -> str:
    """The sentence called `name`.

    Raises
    ------
    KeyError
        No such sentence: a bug, caught by the house tests.
    """
    return _all()[name]


def names() -> frozenset[str]:
    """All the names there are."""
    return frozenset(_all())
