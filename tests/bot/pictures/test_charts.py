"""What a chart shows, measured in its pixels: each line at its value, apart without colour."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from bot.pictures import draw, palette
from bot.pictures.charts import draw_chart
from bot.records.drawings import Bar, Chart, Panel, Ruled
from tests.bot.pictures.drawings import LEVEL, READINGS, TANK, USE, day, names

FULL, REFILL, PUMP = TANK.ruled


def pixels(chart: Chart) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(draw(chart))).convert("RGB")).astype(int)


def like(picture: np.ndarray, color: str) -> np.ndarray:
    meant = [int(color[n : n + 2], 16) for n in (1, 3, 5)]
    return (np.abs(picture - meant) <= 3).all(axis=2)


def rows_of(picture: np.ndarray, color: str, least: int) -> np.ndarray:
    """Which rows have at least so many pixels of a colour."""
    return np.flatnonzero(like(picture, color).sum(axis=1) >= least)


def middles(rows: np.ndarray) -> list[float]:
    return [float(run.mean()) for run in np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)]


def alone(*ruled: Ruled) -> Chart:
    panel = Panel(unit="gal", floor=0.0, ruled=ruled)
    return replace(LEVEL, panels=(panel,), now=None, key=(), foot="", title="")


def test_each_ruled_line_is_at_its_value() -> None:
    """Full 16, refill 8, floor 0: three lines as far apart; the pump line at 3 of 16."""
    full, refill, floor = middles(rows_of(pixels(alone(FULL, REFILL, PUMP)), palette.SOFT, 500))
    (pump,) = middles(rows_of(pixels(alone(FULL, REFILL, PUMP)), palette.ALARM, 400))
    assert refill - full == pytest.approx(floor - refill, abs=1.5)
    assert (floor - pump) / (floor - full) == pytest.approx(3 / 16, abs=0.004)
    at = {t.get_text(): 3 * t.get_position()[1] for t in draw_chart(alone(FULL)).figure.texts}
    assert (at["0"] - at["15"]) / 15 == pytest.approx((floor - full) / 16, rel=0.004)


def test_the_pump_line_is_dashed_and_thicker_than_the_others() -> None:
    picture = pixels(alone(FULL, REFILL, PUMP))
    alarm, soft = like(picture, palette.ALARM), like(picture, palette.SOFT)
    pump = alarm[round(middles(rows_of(picture, palette.ALARM, 400))[0])]
    full = soft[round(middles(rows_of(picture, palette.SOFT, 500))[0])]
    assert np.count_nonzero(np.diff(pump.astype(int)) == 1) > 15
    assert np.count_nonzero(np.diff(full.astype(int)) == 1) == 1
    one_of_three = len(rows_of(picture, palette.SOFT, 500)) / 3
    assert len(rows_of(picture, palette.ALARM, 400)) > 1.5 * one_of_three


def test_labels_stand_beside_their_lines_and_apart_when_lines_are_near() -> None:
    near = alone(Ruled(at=16, label="full"), Ruled(at=15.9, label="brim"), PUMP)
    placed = {t.get_text(): t.get_position()[1] for t in draw_chart(near).figure.texts}
    assert placed["full"] + 12 < placed["brim"] < placed["pump line 3"]
    wide = {t.get_text(): t.get_position()[1] for t in draw_chart(alone(FULL, PUMP)).figure.texts}
    assert wide["full line 16"] < wide["pump line 3"]


def test_the_band_is_where_the_forecast_says() -> None:
    """It opens from a point to 16 - 8 = 8 gal wide, around the likely line."""
    picture = pixels(LEVEL)
    inside = like(picture, palette.BETWEEN.color)
    inside[round(picture.shape[0] * 0.8) :] = False  # the key
    heights = inside.sum(axis=0)
    columns = np.flatnonzero(heights > 3)
    assert heights[columns[len(columns) // 10]] < heights[columns[-10]] / 3
    now = like(picture, palette.INK)[:, columns[0] - 40 : columns[0] + 1].sum(axis=0).max()
    assert now > 200  # a dotted line right down the panel, where the band begins


def test_an_empty_forecast_has_no_band() -> None:
    bare = replace(LEVEL, panels=(replace(TANK, ahead=()),), key=())
    assert like(pixels(LEVEL), palette.BETWEEN.color).sum() > 5000
    assert like(pixels(bare), palette.BETWEEN.color).sum() == 0


def test_a_guess_is_hollow() -> None:
    one = replace(LEVEL, now=None, key=(), ticks=(), foot="")
    read = replace(one, panels=(Panel(unit="gal", dots=((day(0), 5.0),)),))
    guessed = replace(one, panels=(Panel(unit="gal", guessed=((day(0), 5.0),)),))
    inked = [like(pixels(chart), palette.WATER).sum() for chart in (read, guessed)]
    assert inked[0] > 250
    assert 60 < inked[1] < inked[0] * 0.7


def test_a_bar_is_as_high_as_its_value_and_a_hot_one_is_hatched() -> None:
    bars = (
        Bar(begins=day(0), ends=day(1), value=1.0),
        Bar(begins=day(1), ends=day(2), value=2.0),
        Bar(begins=day(2), ends=day(3), value=2.0, hot=True),
    )
    picture = pixels(replace(USE, panels=(Panel(unit="gal", bars=bars),), key=()))
    water = like(picture, palette.WATER)
    heights = sorted({int(h) for h in water.sum(axis=0) if h > 50})
    assert max(heights) / min(heights) == pytest.approx(2.0, rel=0.03)
    hot = like(picture, palette.HOT)
    row = hot[:, hot.any(axis=0)][round(np.flatnonzero(hot.any(axis=1)).mean())]
    assert np.count_nonzero(np.diff(row.astype(int)) == 1) >= 3  # stripes, not a plain fill


def test_the_stripe_lies_between_its_values() -> None:
    panel = replace(READINGS.panels[0], path=(), dots=((day(0), 1.2), (day(1), 2.1)))
    picture = pixels(replace(READINGS, panels=(panel,), ticks=()))
    edges = middles(rows_of(picture, palette.TARGET, 500))
    assert len(edges) == 2
    dots = np.flatnonzero(like(picture, palette.WATER).any(axis=1))
    low, high = middles(dots)[-1], middles(dots)[0]
    assert (low - edges[1]) / (low - high) == pytest.approx((1.5 - 1.2) / 0.9, abs=0.01)
    assert (low - edges[0]) / (low - high) == pytest.approx((1.8 - 1.2) / 0.9, abs=0.01)


def test_day_names_are_thinned_evenly_until_they_fit() -> None:
    shown = [t.get_text() for t in draw_chart(replace(LEVEL, ticks=names(11))).figure.texts]
    stood = [n for n, (_, name) in enumerate(names(11)) if name in shown]
    assert len(stood) >= 4
    assert stood == list(range(0, stood[-1] + 1, stood[1]))


def test_every_text_of_a_chart_is_there() -> None:
    shown = " ".join(t.get_text() for t in draw_chart(LEVEL).figure.texts)
    for text in (LEVEL.title, "now", LEVEL.foot, "gal", *(text for _, text in LEVEL.key)):
        assert text in shown
    assert "pump line 3" in shown
    assert [t.get_text() for t in draw_chart(USE).figure.texts].count("2.4") == 3
