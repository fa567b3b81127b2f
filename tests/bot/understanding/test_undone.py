"""Sentences that a hostile reader tried: nothing of them may be written down or poured."""

from __future__ import annotations

import pytest

from bot.records.questions import Dose, Harvest, Leak, Log, NotMine, Outage, Stock, TopUp
from bot.understanding import hear
from tests.bot.books import KITCHEN, book

NOT_DONE = (
    "havent added 8 gal and 44 ml each",
    "put in 8 gal and 44 ml each tomorrow",
    "poured 44 ml each and 8 gal into the sink",
    "never changed the tank, ec 1.9",
    "not a full change, added 8 gal",
    "tap: ec 0.4, ph 7.6",
    "calibration fluid ec 1.41, ph 7.0",
    "target ec 1.9, ph 6.1",
    "i need 300 ml of A",
    "tom has 300 ml of A left",
    "my friend harvested 3 heads of lettuce",
)
NO_AMOUNT = (
    "half 1.9 how much pyrethrin",
    "how much limescale remover for 16 gal",
    "half 1.9 but dont add feed",
    "half 1.9, filled to the line with water already",
    "yesterday half, today quarter, 1.9",
    "down to 3 inches, 1.9",
    "needs 5 gal 1.9",
    "half 5",
    "half 19 uS",
    "A is at 300 ml",
    "the tank is leaking half 1.9 what to add",
    "guess 6 drops, no test done, tank full",
    "did not add 5 gal",
)


@pytest.mark.parametrize("text", NOT_DONE)
def test_writes_nothing_that_did_not_happen(text: str) -> None:
    assert not isinstance(hear(text, book(KITCHEN)), Log | Stock | Harvest)


@pytest.mark.parametrize("text", NO_AMOUNT)
def test_gives_no_amount_where_a_word_turns_it_around(text: str) -> None:
    assert not isinstance(hear(text, book(KITCHEN)), TopUp | Dose)


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("my kid drank 50 ml of A", "medical"),
        ("how much A to gargle", "medical"),
        ("half 1.9, theres smoke from the plug", "electric"),
        ("im getting zapped when i touch the water, half 1.9", "electric"),
        ("how much bl3ach for 16 gal", "chemicals"),
        ("how much h2o2 for 16 gal", "chemicals"),
    ],
)
def test_knows_what_hurts(text: str, about: str) -> None:
    heard = hear(text, book(KITCHEN))
    assert isinstance(heard, NotMine)
    assert heard.about == about


def test_still_writes_what_did_happen() -> None:
    assert hear("added 8 gal and 44 ml each", book(KITCHEN)) == Log(
        added="8 gal", poured="44 ml each"
    )
    assert hear("changed the water today, ec 1.9", book(KITCHEN)) == Log(ec="1.9", change="yes")


@pytest.mark.parametrize(
    "text",
    ["leak at the porch, level is at half", "tank is leaking, at half, ec 1.9, how much",
     "the tank cracked, half left, what now"],
)  # fmt: skip
def test_a_leak_with_a_level_gets_its_steps_and_no_amount(text: str) -> None:
    assert isinstance(hear(text, book(KITCHEN)), Leak)


@pytest.mark.parametrize(
    "text",
    ["lights out in the whole house", "lower levels dry", "the pump is off for 10 hours",
     "lights are out in the whole street, tower stopped"],
)  # fmt: skip
def test_dry_roots_in_other_words(text: str) -> None:
    assert isinstance(hear(text, book(KITCHEN)), Outage)


@pytest.mark.parametrize("text", ["pump off for 45 min every hour", "lamp lights out at 10 pm"])
def test_what_only_sounds_like_it_is_not(text: str) -> None:
    assert not isinstance(hear(text, book(KITCHEN)), Outage)
