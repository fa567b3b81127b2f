"""What an answer wants written; `storage.apply` does it in one transaction or not at all."""

from __future__ import annotations

from dataclasses import dataclass

from bot.records.facts import Tower


@dataclass(frozen=True, slots=True, kw_only=True)
class AddTower:
    """A new tower, kept by the person who asked."""

    tower: Tower


@dataclass(frozen=True, slots=True, kw_only=True)
class EditTower:
    """The tower with `tower.id`, as it is to be from now on."""

    tower: Tower


@dataclass(frozen=True, slots=True, kw_only=True)
class SetMember:
    """One of the person's own settings."""

    setting: str
    value: str | int


Change = AddTower | EditTower | SetMember
