"""Doses: acceptance examples M2, M3, M8, M9, worked out by hand beside each."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.records.answer import Answer
from bot.records.facts import PolicyValue
from bot.records.questions import Dose
from bot.services import answer
from tests.bot.books import GAL, KITCHEN, LIBRARY, METRIC_FEED, PORCH, book, no_towers


def amounts(found: Answer) -> dict[str, float]:
    return {a.name: a.value for a in found.amounts}


def words(found: Answer) -> set[str]:
    groups = (found.do, found.expect, found.why, found.check, found.cautions)
    return {line.word for group in groups for line in group}


def test_a_first_fill_says_what_the_meter_will_read() -> None:
    found = answer(Dose(), book())  # 16 gal x 8 mL = 128; 0.4 + 1.6 = 2.0
    assert amounts(found) == pytest.approx({"A": 128, "B": 128, "ec_expected": 2.0})
    assert "expect.miss" in words(found)  # the target 1.7 wants 104 mL


def test_the_rate_that_meets_the_target() -> None:
    found = answer(Dose(target="1.7"), book())  # 1.3 / 1.6 x 128 = 104
    assert amounts(found)["A"] == pytest.approx(104)
    assert amounts(found)["ec_expected"] == pytest.approx(1.7)


def test_a_tiny_seedling_dose_is_for_a_syringe() -> None:
    found = answer(Dose(water="3 L", strength="quarter", rate="2 ml per litre"), no_towers())
    assert amounts(found)["A"] == pytest.approx(1.5)
    assert "check.syringe" in words(found)


def test_seedlings_get_the_coachs_strength() -> None:
    found = answer(Dose(stage="seedling"), book())
    assert amounts(found)["A"] == pytest.approx(64)
    assert "check.strength_seedling" in words(found)
    rule = PolicyValue(value=0.4, set_on=date(2026, 5, 4), by="Wenna")
    coached = answer(Dose(stage="seedling"), book(seedling_strength=rule))
    assert amounts(coached)["A"] == pytest.approx(51.2)
    assert "check.strength_seedling_coach" in words(coached)


def test_the_over_poured_part_sets_the_others() -> None:
    found = answer(Dose(tower="library", poured="A 140, B 78"), book(LIBRARY))
    assert amounts(found)["B"] == pytest.approx(62)
    assert amounts(found)["A"] == 0
    assert amounts(found)["ec_expected"] == pytest.approx(0.4 + 1.5)  # full label rate in 70 L


def test_a_three_to_one_label_is_brought_to_three_to_one() -> None:
    parts = (
        replace(METRIC_FEED.parts[0], ml_per_l=3.0),
        replace(METRIC_FEED.parts[1], ml_per_l=1.0),
    )
    facts = replace(book(LIBRARY), feeds=(replace(METRIC_FEED, parts=parts),))
    found = answer(Dose(poured="A 90, B 50"), facts)  # B sets 50 x 3 = 150 of A
    assert (amounts(found)["A"], amounts(found)["B"]) == (pytest.approx(60), 0)


def test_a_typed_rate_needs_no_record_at_all() -> None:
    nobody = replace(no_towers(), feeds=())
    found = answer(Dose(water="10 gal", rate="2 ml per litre"), nobody)
    assert amounts(found) == {"dose": pytest.approx(2 * 10 * GAL)}


def test_water_named_in_the_text_needs_no_choice_between_towers() -> None:
    found = answer(Dose(water="5 gal"), book(KITCHEN, PORCH))
    assert amounts(found)["A"] == pytest.approx(40)
    which = answer(Dose(), book(KITCHEN, PORCH))
    assert which.outcome == "clarify"
    assert {a.name: round(a.value) for a in which.amounts if a.unit == "mL"} == {
        "kitchen A": 128,
        "kitchen B": 128,
        "porch A": 80,
        "porch B": 80,
    }


BAD = [
    (Dose(water="lots"), "ask.unreadable_volume"),
    (Dose(water="nan l"), "ask.unreadable_volume"),
    (Dose(water="-5 l"), "ask.volume_impossible"),
    (Dose(rate="2 ml"), "ask.unreadable_label rate"),
    (Dose(rate="900 ml per litre"), "ask.rate_impossible"),
    (Dose(strength="strong"), "ask.unreadable_strength"),
    (Dose(feed="magic"), "ask.feed_unknown"),
    (Dose(poured="140"), "ask.unreadable_amounts by part"),
    (Dose(poured="Red 140"), "ask.parts_unknown"),
    (Dose(poured="A 0, B 0"), "ask.unreadable_amounts by part"),
    (Dose(target="17"), "ask.ec_decimal"),
]


@pytest.mark.parametrize(("question", "word"), BAD, ids=[w for _, w in BAD])
def test_bad_input_gets_one_question_and_no_dose(question: Dose, word: str) -> None:
    found = answer(question, book())
    assert (found.outcome, found.do[0].word, found.amounts) == ("clarify", word, ())


def test_without_a_tank_no_amount_is_given() -> None:
    assert answer(Dose(), no_towers()).do[0].word == "start.tank_then"
