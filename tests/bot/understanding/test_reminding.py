"""Reminders in sentences."""

from __future__ import annotations

import pytest

from bot.records.questions import NotMine, Remind, Reminders
from bot.understanding import hear
from tests.bot.books import KITCHEN, PORCH, book

BOOK = book(KITCHEN, PORCH)


@pytest.mark.parametrize(
    ("text", "about", "when", "tower"),
    [
        ("nudge me sat evening about the filter", "the filter", "sat evening", None),
        ("remind me to rinse the filter every 2nd sunday at 7:30 pm", "rinse the filter",
         "every 2nd sunday at 7:30 pm", None),
        ("remind me tomorrow at 6 pm to check the kitchen", "check the kitchen",
         "tomorrow at 6 pm", "kitchen"),
        ("can you remind me in 2 hours to look at the pump", "look at the pump",
         "in 2 hours", None),
        ("Remind me every 3 days to read the level of the porch!", "read the level of the porch",
         "every 3 days", "porch"),
        ("please remind me at 8 am that the shop opens", "the shop opens", "at 8 am", None),
        ("remind me on the last day of the month to clean the pen", "clean the pen",
         "on the last day of the month", None),
        ("set a reminder for friday 6 pm to trim roots", "trim roots", "friday 6 pm", None),
        ("ping me at 19:00 to switch the lamp off", "switch the lamp off", "at 19:00", None),
        ("remind me to order feed on 15 december", "order feed", "on 15 december", None),
        ("remind me about the filter", "the filter", None, None),
        ("remind me", None, None, None),
    ],
)  # fmt: skip
def test_what_and_when(text: str, about: str | None, when: str | None, tower: str | None) -> None:
    assert hear(text, BOOK) == Remind(about=about, when=when, tower=tower)


@pytest.mark.parametrize("text", ["my reminders", "stop reminding me", "list reminders"])
def test_a_look_at_ones_own(text: str) -> None:
    assert hear(text, BOOK) == Reminders()


def test_danger_outranks_a_reminder() -> None:
    found = hear("remind me tomorrow to mix bleach and vinegar", BOOK)
    assert found == NotMine(about="bleach_mix")
