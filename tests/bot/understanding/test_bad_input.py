"""What is no sentence: a short kind line, no amount, nothing written."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bot.records.book import Book
from bot.records.facts import Community
from bot.render import plain
from bot.services import answer
from bot.understanding import hear
from tests.bot.books import KITCHEN, book

_SHORT = 220


def member() -> Book:
    """One whose questions may go to a coach's list."""
    return replace(
        book(KITCHEN), community=Community(id=1, name="Saltmarsh Growers"), coach="Wenna"
    )


@pytest.mark.parametrize(
    "text",
    [
        "",
        " \n\t ",
        "🍅🌱💧",
        "👍",
        "вода на половине, сколько удобрения",
        "タンクは半分です",
        "ما مقدار الماء",
        "x" * 4000,
        "zq " * 1333,
        "@everyone @here <@123456789012345678>",
        "**_~~||`` ```",
        "[click](https://example.invalid) <#42> <@&7>",
        "\u202eflah si knat",
        "\x00\x01\x02",
        "'; DROP TABLE entry; --",
        "{} {0} {tower} %s %(x)d",
    ],
)
def test_what_is_no_sentence_gets_a_short_line_and_leaves_nothing(text: str) -> None:
    given = answer(hear(text, member()), member())
    said = plain(given, member())
    assert given.outcome in ("refer", "clarify")
    assert 0 < len(said) <= _SHORT
    assert given.amounts == () and given.changes == ()
    assert "@" not in said and "http" not in said and "DROP" not in said


def test_four_thousand_letters_of_a_question_are_read_to_their_two_thousandth() -> None:
    long = "tank's at half, no meter. " + "and then the neighbours came by to look. " * 100
    given = answer(hear(long, member()), member())
    assert given.outcome in ("answer", "clarify", "refer")
    assert given.changes == ()
