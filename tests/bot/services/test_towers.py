"""Tower records: M1, and what is refused before anything is stored."""

from __future__ import annotations

import pytest

from bot.records.changes import AddTower, EditTower
from bot.records.questions import Question, TowerAdd, TowerEdit, TowerShow
from bot.services import answer
from tests.bot.books import GAL, INCH, KITCHEN, PORCH, book, no_towers


def test_a_tank_alone_makes_a_tower_and_guesses_are_named() -> None:
    found = answer(TowerAdd(name="balcony", tank="12 gal"), no_towers())
    (change,) = found.changes
    assert isinstance(change, AddTower)
    assert change.tower.tank_l == pytest.approx(12 * GAL)
    assert change.tower.feed == "Saltmarsh two-part"
    assert "tower.guess_marks" in [line.word for line in found.check]


def test_every_fact_is_read_with_its_unit() -> None:
    question = TowerAdd(
        name="back porch",
        tank="16 gal",
        depth="14 in",
        place="outdoor",
        strength="half",
        target="1.7",
        tap="0.4",
        pump_line="3.5 gal",
        timer="15 on 45 off",
    )
    (change,) = answer(question, no_towers()).changes
    assert isinstance(change, AddTower)
    tower = change.tower
    assert tower.full_depth_cm == pytest.approx(14 * INCH)
    assert tower.pump_min_l == pytest.approx(3.5 * GAL)
    assert (tower.place, tower.strength, tower.target_ec, tower.water_ec) == (
        "outdoor",
        0.5,
        1.7,
        0.4,
    )
    assert (tower.timer_on_min, tower.timer_off_min) == (15, 45)


def test_an_edit_leaves_the_rest_alone() -> None:
    (change,) = answer(TowerEdit(tower="kitchen", tank="15 gal"), book()).changes
    assert isinstance(change, EditTower)
    assert change.tower_id == KITCHEN.id
    facts = dict(change.facts)
    assert facts["tank_l"] == pytest.approx(15 * GAL)
    assert set(facts) == {"tank_l", "set_on"}


BAD: list[tuple[Question, str]] = [
    (TowerAdd(name="kitchen", tank="10 gal"), "no.tower_taken"),
    (TowerAdd(name="@everyone **x**", tank="10 gal"), "no.tower_name"),
    (TowerAdd(name="x" * 33, tank="10 gal"), "no.tower_name"),
    (TowerAdd(name="shed", tank="big"), "ask.unreadable_volume"),
    (TowerAdd(name="shed", tank="1e309 l"), "ask.unreadable_volume"),
    (TowerAdd(name="shed", tank="10 gal", depth="14 gal"), "ask.unreadable_depth"),
    (TowerAdd(name="shed", tank="10 gal", place="roof"), "no.place"),
    (TowerAdd(name="shed", tank="10 gal", timer="often"), "ask.unreadable_timer"),
    (TowerAdd(name="shed", tank="10 gal", pump_line="12 gal"), "ask.pump_line"),
    (TowerEdit(tower="kitchen", tank="3 gal"), "ask.pump_line"),
    (TowerAdd(name="shed", tank="0.001 l"), "ask.volume_impossible"),
    (TowerAdd(name="shed", tank="10 gal", timer="15 on"), "ask.unreadable_timer"),
    (TowerAdd(name="shed", tank="10 gal", feed="magic"), "ask.feed_unknown"),
    (TowerEdit(tower="kitchen"), "no.nothing_to_edit"),
    (TowerEdit(tower="attic", tank="10 gal"), "ask.tower_unknown"),
]


@pytest.mark.parametrize(("question", "word"), BAD, ids=[w for _, w in BAD])
def test_bad_input_stores_nothing(question: Question, word: str) -> None:
    found = answer(question, book())
    assert (found.outcome, found.do[0].word, found.changes) == ("clarify", word, ())


def test_twenty_towers_are_enough() -> None:
    many = book(*[KITCHEN.__class__(name=f"t{i}", tank_l=10.0, id=i) for i in range(20)])
    assert answer(TowerAdd(name="one more", tank="10 gal"), many).do[0].word == "no.tower_limit"


def test_showing_asks_which_of_two() -> None:
    found = answer(TowerShow(), book(KITCHEN, PORCH))
    assert found.outcome == "clarify"
    assert [o.question for o in found.offers] == [
        TowerShow(tower="kitchen"),
        TowerShow(tower="porch"),
    ]
    assert answer(TowerShow(), no_towers()).do[0].word == "start.tank_then"
