"""What a tank teaches: worked examples of the acceptance list (D1, D2), and laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import Impossible, OutOfRange
from calc.learning import gain_after_fills, level_from_marks
from calc.topup import level_from_depth

GAL, INCH = 3.785411784, 2.54
# D2: the porch by the jug, 2.5 / 5 / 7.5 / 10 gal at 3.3 / 6.2 / 8.7 / 11 in.
PORCH = tuple(
    (g * GAL, i * INCH) for g, i in ((2.5, 3.3), (5, 6.2), (7.5, 8.7), (10, 11))
)  # fmt: skip


def test_seven_inches_in_a_tank_that_widens_upwards() -> None:
    found = level_from_marks(depth_cm=7 * INCH, marks_any=PORCH)
    assert round(found / GAL, 1) == 5.8
    straight = level_from_depth(depth_cm=7 * INCH, full_depth_cm=11 * INCH, tank_l=10 * GAL)
    assert round(straight / GAL, 1) == 6.4


def test_marks_of_a_straight_tank_say_what_straight_sides_say() -> None:
    marks = [(10.0, 10.0), (20.0, 20.0), (40.0, 40.0)]
    for depth in (0.0, 3.0, 10.0, 33.3, 40.0):
        assert level_from_marks(depth_cm=depth, marks_any=marks) == pytest.approx(depth)


steps = st.lists(
    st.tuples(st.floats(0.1, 50), st.floats(0.1, 50)), min_size=1, max_size=8
)  # fmt: skip


@given(steps, st.floats(0, 1), st.floats(0, 1))
def test_deeper_is_never_less_water(
    added: list[tuple[float, float]], one: float, other: float
) -> None:
    marks, litres, cm = [], 0.0, 0.0
    for more_l, more_cm in added:
        litres, cm = litres + more_l, cm + more_cm
        marks.append((litres, cm))
    low, high = sorted((one * cm, other * cm))
    below, above = (level_from_marks(depth_cm=d, marks_any=marks) for d in (low, high))
    assert 0 <= below <= above <= litres


@pytest.mark.parametrize(
    "marks", [[], [(5.0, 5.0), (4.0, 6.0)], [(5.0, 5.0), (6.0, 5.0)], [(0, 0)]]
)
def test_marks_that_cross_are_refused(marks: list[tuple[float, float]]) -> None:
    with pytest.raises(Impossible):
        level_from_marks(depth_cm=0.0, marks_any=marks)


def test_above_the_highest_mark_nothing_is_guessed() -> None:
    with pytest.raises(OutOfRange):
        level_from_marks(depth_cm=12 * INCH, marks_any=PORCH)


def test_three_fills_move_the_gain_by_a_tenth_at_most() -> None:
    # D1: 0.221, 0.229, 0.235 per mL/gal, not 0.20: median 0.229, moves 10 % to 0.22.
    gain, fills = gain_after_fills(
        gain_ms_per_cm=0.20, label_ms_per_cm=0.20, seen_ms_per_cm=[0.221, 0.229, 0.235]
    )
    assert (round(gain, 4), fills) == (0.22, 3)


def test_two_fills_and_slips_move_nothing() -> None:
    assert gain_after_fills(gain_ms_per_cm=1.6, label_ms_per_cm=1.6, seen_ms_per_cm=[1.7, 1.7]) == (
        1.6,
        0,
    )
    assert gain_after_fills(
        gain_ms_per_cm=1.6, label_ms_per_cm=1.6, seen_ms_per_cm=[1.7, 1.7, 2.2, 0.9]
    ) == (1.6, 0)


@given(st.lists(st.floats(0.1, 9), max_size=9), st.floats(0.5, 5))
def test_no_step_is_over_a_tenth_whatever_was_read(seen: list[float], gain: float) -> None:
    found, _ = gain_after_fills(gain_ms_per_cm=gain, label_ms_per_cm=gain, seen_ms_per_cm=seen)
    assert 0.9 * gain - 1e-9 <= found <= 1.1 * gain + 1e-9


def test_lesson_after_lesson_stays_within_a_quarter_of_the_label() -> None:
    gain = 1.6
    for _ in range(20):
        seen = [gain * 1.2] * 3
        gain, _ = gain_after_fills(gain_ms_per_cm=gain, label_ms_per_cm=1.6, seen_ms_per_cm=seen)
    assert gain <= 1.25 * 1.6
