"""Pump and lamp: what a timer does, what a dial can do, light each way, energy and cost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bot.records.questions import Lamp, Timer, TowerEdit
from bot.render import plain
from bot.services import answer
from tests.bot.books import KITCHEN, PORCH, book, no_towers


def amounts(question: Timer | Lamp) -> dict[str, float]:
    return {a.name: a.value for a in answer(question, book()).amounts}


@pytest.mark.parametrize(
    ("timer", "hours", "runs"),
    [
        ("1 h on 1 h off", 12.0, 12.0),
        ("15 on 15 off", 12.0, 48.0),  # FEATURES S10
        ("8/12 digital", 9.6, 72.0),
        ("15 on 45 off", 6.0, 24.0),
        ("15 on 30 off", 8.0, 32.0),
    ],
)
def test_hours_and_runs_a_day(timer: str, hours: float, runs: float) -> None:
    found = amounts(Timer(timer=timer))
    assert found["run_h_per_day"] == pytest.approx(hours)
    assert found["cycles"] == pytest.approx(runs)


def test_what_a_dial_can_really_be_set_to() -> None:
    text = plain(answer(Timer(timer="8 on 40 off", dial="dial_15"), book()), book())
    assert "nearest is 15 min on, 45 min off, 6 h a day" in text
    text = plain(answer(Timer(timer="8 on 40 off", dial="dial_30"), book()), book())
    assert "nearest is 30 min on, 30 min off, 12 h a day" in text
    for timer, dial in (("15/45", "dial_15"), ("8/40", "digital")):
        assert "cannot do that" not in plain(answer(Timer(timer=timer, dial=dial), book()), book())


def test_energy_cost_and_turnover() -> None:
    asked = Timer(timer="15 on 45 off", watts="20", price="0.30", flow="400 l")
    found = amounts(asked)
    assert found["kwh_day"] == pytest.approx(0.12)  # 20 W for 6 h
    assert found["cost"] == pytest.approx(1.08)  # 30 days at 0.30
    text = plain(answer(asked, book()), book())
    assert "$1.08" in text
    assert "40 times a day" in text  # 400 L/h for 6 h through 60.6 L


def test_the_towers_own_timer_is_used_and_a_new_one_can_be_kept() -> None:
    timed = replace(KITCHEN, timer_on_min=15.0, timer_off_min=15.0, timer_kind="dial")
    assert answer(Timer(), book(timed)).offers == ()
    found = answer(Timer(timer="15/45"), book(timed))
    assert found.offers[0].question == TowerEdit(tower="kitchen", timer="15 on 45 off dial 15")
    changed = answer(found.offers[0].question, book(timed))
    assert changed.outcome == "answer" and changed.changes
    # what a dial cannot do is never stored, and a digital timer stays one
    odd = answer(Timer(timer="8/40"), book(timed)).offers[0].question
    assert odd == TowerEdit(tower="kitchen", timer="15 on 45 off dial 15")
    free = answer(Timer(timer="8/12 digital"), book(timed)).offers[0].question
    assert free == TowerEdit(tower="kitchen", timer="8 on 12 off digital")


def test_a_flow_has_a_time() -> None:
    for flow, times in (("12 l/min", 71), ("720 l/h", 71), ("190 gal an hour", 71)):
        text = plain(answer(Timer(timer="15/45", flow=flow), book()), book())
        assert f"{times} times a day" in text
    assert answer(Timer(timer="15/45", flow="12 l/fortnight"), book()).outcome == "clarify"


@pytest.mark.parametrize(
    "question",
    [
        Timer(), Timer(timer="on"), Timer(timer="15 h on"), Timer(timer="0 on 0 off"),
        Timer(timer="15/15", watts="-3"), Timer(timer="15/15", price="much"),
        Lamp(), Lamp(ppfd="bright"), Lamp(ppfd="0"), Lamp(ppfd="280", hours="25"),
        Lamp(ppfd="280", dli="nan"), Lamp(ppfd="1e309", hours="3"), Lamp(hours="14"),
    ],
)  # fmt: skip
def test_bad_input_is_one_question(question: Timer | Lamp) -> None:
    found = answer(question, book())
    assert found.outcome == "clarify"
    assert plain(found, book()).count("?") == 1


def test_light_each_way() -> None:
    """Definition; FEATURES S10: PPFD 280, DLI 16: 15.9 h. Purdue HO-238-W: 500 for 12 h is 21.6."""
    assert amounts(Lamp(ppfd="280", dli="16"))["light_h"] == pytest.approx(15.87, abs=0.01)
    assert amounts(Lamp(ppfd="500", hours="12"))["dli"] == pytest.approx(21.6)
    assert amounts(Lamp(hours="16", dli="17"))["ppfd_needed"] == pytest.approx(295.1, abs=0.1)
    text = plain(answer(Lamp(ppfd="280"), book()), book())
    assert text.startswith("11.9 h to 16.9 h a day: a DLI of 12 to 17")


def test_a_light_too_weak_for_any_timer() -> None:
    text = plain(answer(Lamp(ppfd="50", dli="16"), book()), book())
    assert "more than 24 h" in text


def test_arithmetic_that_the_text_settles_needs_no_tower() -> None:
    for question in (Timer(timer="15/45"), Lamp(ppfd="280", dli="16")):
        assert answer(question, no_towers()).outcome == "answer"
        assert answer(question, book(KITCHEN, PORCH)).outcome == "answer"
