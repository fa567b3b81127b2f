"""Round values at the axis, and what a panel reaches over."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.pictures.scales import Scale, axis_of, reach_of, round_values, span_of
from bot.records.drawings import Chart, Panel
from tests.bot.pictures.drawings import LEVEL, TANK, USE, day


@pytest.mark.parametrize(
    ("low", "high", "written"),
    [
        (0, 17, ["0", "5", "10", "15"]),
        (1.46, 2.01, ["1.6", "1.8", "2.0"]),
        (5.55, 6.42, ["5.6", "5.8", "6.0", "6.2", "6.4"]),
        (-3, 2, ["−3", "−2", "−1", "0", "1", "2"]),
        (0, 48_000, ["0", "10000", "20000", "30000", "40000"]),
        (0.01, 0.045, ["0.01", "0.02", "0.03", "0.04"]),
    ],
)
def test_round_values(low: float, high: float, written: list[str]) -> None:
    assert [text for _, text in round_values(low, high)] == written


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6))
def test_round_values_are_few_within_and_written_as_they_are(low: float, length: float) -> None:
    values = round_values(low, low + length)
    assert 2 <= len(values) <= 6
    for value, text in values:
        assert low - 1e-9 * length <= value <= low + length * (1 + 1e-9)
        assert float(text.replace("−", "-")) == pytest.approx(value, abs=1e-6)


def test_a_tank_is_shown_down_to_its_floor_and_bars_from_nothing() -> None:
    assert reach_of(TANK)[0] == 0
    assert reach_of(USE.panels[0])[0] == 0
    assert reach_of(replace(TANK, floor=None))[0] > 0
    assert reach_of(TANK)[1] > 16


def test_a_panel_without_a_reading_has_no_axis() -> None:
    assert axis_of(Panel(unit="pH")) == []
    assert axis_of(Panel(unit="pH", dots=((day(0), 6.0),)))


def test_a_chart_spans_what_it_shows_not_where_names_stand() -> None:
    assert span_of(LEVEL) == (day(0).timestamp(), day(10).timestamp())
    alone = Chart(title="", panels=(Panel(unit="pH", dots=((day(1), 6.0),)),), ticks=(), alt="")
    assert span_of(alone) == (day(0.5).timestamp(), day(1.5).timestamp())


def test_a_scale_is_straight() -> None:
    scale = Scale(low=2, high=4, start=100, end=0)
    assert [scale.at(value) for value in (2, 3, 4)] == [100, 50, 0]
