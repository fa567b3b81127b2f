"""The named steps of a tower without plants: one at a time, each on its day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from bot.records.book import Book
from bot.records.facts import Tower
from bot.services.calendar import move_in_window


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """name: "leak_run" | "jug" | "first_fill" | "move_in" | "moved"."""

    name: str
    on: date


def steps(tower: Tower, book: Book) -> tuple[Step, ...]:
    """Leak run and jug once it is here, the first fill the day ahead of the plants."""
    today = book.local(book.now)
    found: list[Step] = []
    if tower.arrives_on is not None:
        found.append(Step(name="leak_run", on=tower.arrives_on))
        found.append(Step(name="jug", on=tower.arrives_on + timedelta(days=1)))
    if tower.sown_on is not None:
        move, last = move_in_window(tower.sown_on, book)
        found.append(Step(name="first_fill", on=move - timedelta(days=1)))
        found.append(Step(name="move_in", on=move))
        if move < today:
            found.append(Step(name="moved", on=max(today, last)))
    ahead = [step for step in found if step.on >= today]
    if not ahead and tower.sown_on is not None:
        ahead.append(Step(name="moved", on=today))
    return tuple(ahead)
