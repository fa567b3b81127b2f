"""What an answer wants written; `storage.apply` does it in one transaction or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from bot.records.facts import Tower

MOST_TOWERS = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class AddTower:
    """A new tower, kept by the person who asked."""

    tower: Tower


@dataclass(frozen=True, slots=True, kw_only=True)
class EditTower:
    """New values for the named facts of one tower; its other facts are left alone."""

    tower_id: int
    name: str
    facts: tuple[tuple[str, str | float | date | None], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetMember:
    """One of the person's own settings."""

    setting: str
    value: str | int


Change = AddTower | EditTower | SetMember
