"""Sentences about the record itself: pictures, weather, marks, a measure of one's own, what if."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bot.records.changes import AddEntry, PassOn
from bot.records.questions import (
    Away,
    Heat,
    Log,
    Notice,
    Picture,
    Question,
    SettingsEdit,
    TopUp,
    TowerEdit,
)
from bot.services import answer
from bot.understanding import hear
from tests.bot.books import GAL, KITCHEN, PORCH, TAMSIN, book

SAID: dict[str, Question] = {
    "show me a picture of my level": Picture(what="level"),
    "can you draw my ec and ph": Picture(what="readings"),
    "chart of the kitchen's water use please": Picture(tower="kitchen", what="use"),
    "lid table for the kitchen please": Picture(tower="kitchen", what="lid"),
    "how has my water use changed": Picture(what="use"),
    "it's going to be 97F outside": Heat(air="97 F"),
    "heat wave coming, 36 C tomorrow": Heat(air="36 C"),
    "my finger is 17 mm": SettingsEdit(finger="17 mm"),
    "my mug holds 340 ml": SettingsEdit(jug="340 ml"),
    "2.5 gal is 3.3 in, 5 gal is 6.2 in": TowerEdit(marks="2.5 gal at 3.3 in; 5 gal at 6.2 in"),
    "helper sheet for 14 days": Away(days="14 days", sheet="yes"),
    "it came to 1.85": Log(ec="1.85"),
    "i calibrated my pen": SettingsEdit(calibrated="today"),
    "done, pen calibrated": SettingsEdit(calibrated="today"),
    "kitchen at half, ec 1.9, only 1 gallon goes in": TopUp(
        tower="kitchen", level="half", ec="1.9", only="1 gallon"
    ),
    "it came to 1.85 not 1.7": Log(ec="1.85", expected="1.7"),
    "what if i only add 4 gal? i have 7 gal at 2.1": TopUp(level="7 gal", ec="2.1", only="4 gal"),
}


@pytest.mark.parametrize("text", SAID)
def test_each_is_heard(text: str) -> None:
    assert hear(text, book(KITCHEN, PORCH)) == SAID[text]


@pytest.mark.parametrize(
    "text",
    [
        "draw me a cat",
        "water is 83F and half full",  # the tank's own warmth, not the day's
        "picture of a sick leaf",
        "my finger is 17 mm and it's 2 fingers down, how much water?",
        "i just added 4 gal, how much feed",
        "pH went to 4.9 not 4.6",
        "pH came to 6.2 not 5.8",
        "the kitchen went to 1.2 not 1.7 because I forgot to feed it, what do I add",
        "there are going to be 40 people, how many plugs each",
        "outside it has 36 ports, how many plugs do I need",
        "I have 30 lettuces outdoors, when do I harvest",
        "it will be 30 days tomorrow since I changed it",
        "how many watts does the pump draw, my tower runs 15 min on",
        "my tower at the community plot is at half, ec 1.9",
        "my cup holds 250 ml of A, tank half full",
        "frost warning for tonight",  # a member's: only a coach gives notice
    ],
)
def test_none_of_these_is_taken_for_one(text: str) -> None:
    found = hear(text, book(KITCHEN, PORCH))
    assert not isinstance(found, Picture | Notice | SettingsEdit | TowerEdit)
    assert not (isinstance(found, Heat) and found.air)
    assert not (isinstance(found, TopUp) and found.only)
    assert not (isinstance(found, Log) and found.expected)


def test_a_coach_gives_notice_in_a_sentence() -> None:
    coach = replace(book(), member=replace(TAMSIN, role="coach"))
    assert hear("heat notice 97F until mon", coach) == Notice(
        about="heat", temp="97 F", until="mon"
    )


def test_what_if_only_four_gallons_go_in() -> None:
    # D6: 7 gal at 2.1, tap 0.4: 11 gal at 1.48; 12 mL each to reach 1.7.
    facts = book()
    found = answer(hear("what if i only add 4 gal? i have 7 gal at 2.1", facts), facts)
    amounts = {a.name: a.value for a in found.amounts}
    assert amounts["ec_after_water"] == pytest.approx(1.48, abs=0.005)
    assert round(amounts["A"]) == 12
    assert amounts["water"] / GAL == pytest.approx(4.0)
    assert not found.offers  # nothing was poured: there is nothing to log


def test_more_than_still_fits_is_asked_about() -> None:
    facts = book()
    found = answer(TopUp(level="7 gal", only="40 gal"), facts)
    assert (found.outcome, found.do[0].word) == ("clarify", "ask.over_line")


def test_a_miss_is_kept_for_the_coach_and_scales_nothing() -> None:
    # D14: stored +0.15.
    facts = book()
    found = answer(hear("it came to 1.85 not 1.7", facts), facts)
    kept, passed = found.changes
    assert isinstance(kept, AddEntry) and isinstance(passed, PassOn)
    assert (kept.entry.ec, kept.entry.note) == (
        1.85,
        "came to 1.85, not 1.70 as I had said (+0.15)",
    )
    assert passed.text == "kitchen: came to 1.85, not 1.70 as I had said (+0.15)"
