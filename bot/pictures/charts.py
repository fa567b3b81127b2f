"""Charts: one to three panels, one above the other, over the same days."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from typing import Final

from bot.pictures.key import DOT, draw_key
from bot.pictures.palette import (
    AXIS,
    BAR,
    BETWEEN,
    BETWEEN_EDGE,
    GRID,
    GUESSED,
    HOT_BAR,
    INK,
    LIKELY,
    NOW,
    PATH,
    READ,
    RULED,
    RULED_ALARM,
    SOFT,
    TARGET_EDGE,
    TARGETED,
    Stroke,
)
from bot.pictures.paper import LEADING, MARGIN, WIDTH, Paper, Point
from bot.pictures.scales import Scale, axis_of, reach_of, span_of
from bot.records.drawings import Ahead, Bar, Chart, Panel, Ruled

_TITLE, _UNIT, _SMALL, _FOOT = 17.0, 12.0, 10.0, 10.0
_HEIGHTS: Final = {1: 290.0, 2: 165.0}
_LOWEST = 125.0
_BETWEEN_PANELS = 16.0
_WHOLE = WIDTH - 2 * MARGIN
_LABELS_WIDTH = 72.0
_LEADER = 10.0  # from a panel's edge to a label
_INSET = 5.0  # from a panel's edge to the first and last dot
_BAR_GAP = 0.1
_FEW_DOTS = 40  # more are drawn smaller


@dataclass(frozen=True, slots=True, kw_only=True)
class _Label:
    """The name of a line or a stripe, beside the panel at its value."""

    at: float
    lines: list[str]
    stroke: Stroke

    @property
    def height(self) -> float:
        return len(self.lines) * LEADING * _SMALL


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Where a panel lies."""

    x: Scale
    y: Scale

    def point(self, moment: datetime, value: float) -> Point:
        return self.x.at(moment.timestamp()), self.y.at(value)


def draw_chart(chart: Chart) -> Paper:
    """The chart on a paper of its own."""
    paper = Paper()
    y = paper.paragraph((MARGIN, MARGIN), chart.title, _WHOLE, size=_TITLE, bold=True) + 6
    days = _days(paper, chart)
    top = 0.0
    for number, panel in enumerate(chart.panels):
        y = paper.paragraph((MARGIN, y), panel.unit, _WHOLE, size=_UNIT, bold=True) + 5
        if number == 0:
            y += LEADING * _SMALL if chart.now else 0.0
            top = y
        y = _draw_panel(paper, chart, panel, days, y) + _BETWEEN_PANELS
    y -= _BETWEEN_PANELS
    if chart.now:
        _draw_now(paper, days.at(chart.now[0].timestamp()), chart.now[1], (top, y))
    y = _draw_day_names(paper, chart, days, y + 4)
    y = draw_key(paper, chart.key, y + 9)
    y = paper.paragraph((MARGIN, y + 8), chart.foot, _WHOLE, size=_FOOT, color=SOFT)
    paper.height = y + MARGIN
    return paper


def _draw_panel(paper: Paper, chart: Chart, panel: Panel, days: Scale, top: float) -> float:
    labels = _labels(paper, panel)
    named = sum(label.height for label in labels)
    bottom = top + max(_HEIGHTS.get(len(chart.panels), _LOWEST), named)
    low, high = reach_of(panel)
    frame = _Frame(x=days, y=Scale(low=low, high=high, start=bottom, end=top))
    _draw_ground(paper, panel, frame, chart)
    _draw_readings(paper, panel, frame)
    _draw_labels(paper, labels, frame)
    return bottom


def _days(paper: Paper, chart: Chart) -> Scale:
    """From moments to the right: between the values on the left and the labels on the right."""
    values = [text for panel in chart.panels for _, text in axis_of(panel)]
    left = MARGIN + 6 + max((paper.width(text, size=_SMALL) for text in values), default=0.0)
    labels = [
        paper.width(line, size=_SMALL, bold=True)
        for panel in chart.panels
        for label in _labels(paper, panel)
        for line in label.lines
    ]
    right = WIDTH - MARGIN - (max(labels) + _LEADER if labels else 0.0)
    begins, ends = span_of(chart)
    return Scale(low=begins, high=ends, start=left + _INSET, end=right - _INSET)


def _labels(paper: Paper, panel: Panel) -> list[_Label]:
    named = [(ruled.at, ruled.label, _stroke(ruled)) for ruled in panel.ruled]
    if panel.stripe:
        middle = (panel.stripe.low + panel.stripe.high) / 2
        named.append((middle, panel.stripe.label, TARGET_EDGE))
    named.sort(key=lambda one: one[0], reverse=True)
    return [
        _Label(
            at=at, stroke=stroke, lines=paper.wrapped(text, _LABELS_WIDTH, size=_SMALL, bold=True)
        )
        for at, text, stroke in named
    ]


def _draw_ground(paper: Paper, panel: Panel, frame: _Frame, chart: Chart) -> None:
    """All that lies under the readings: the target, the grid, what is expected."""
    left, right = frame.x.start - _INSET, frame.x.end + _INSET
    bottom, top = frame.y.start, frame.y.end
    target = (
        [frame.y.at(end) for end in (panel.stripe.low, panel.stripe.high)] if panel.stripe else []
    )
    if target:
        paper.box((left, target[1]), right - left, target[0] - target[1], TARGETED)
    for value, text in axis_of(panel):
        y = frame.y.at(value)
        paper.stroke([(left, y), (right, y)], GRID)
        paper.text((left - 5, y + _SMALL * 0.36), text, size=_SMALL, color=SOFT, align="right")
    for moment, _ in () if panel.bars else chart.ticks:
        x = frame.x.at(moment.timestamp())
        if left <= x <= right:
            paper.stroke([(x, top), (x, bottom)], GRID)
    _draw_ahead(paper, panel.ahead, frame)
    # The pump line is seen through the days ahead: there it matters most.
    across = [(bottom, AXIS), *((y, TARGET_EDGE) for y in target)]
    across += [(frame.y.at(ruled.at), _stroke(ruled)) for ruled in panel.ruled]
    for y, stroke in across:
        paper.stroke([(left, y), (right, y)], stroke)


def _stroke(ruled: Ruled) -> Stroke:
    return RULED_ALARM if ruled.alarm else RULED


def _draw_readings(paper: Paper, panel: Panel, frame: _Frame) -> None:
    _draw_bars(paper, panel.bars, frame)
    if panel.path:
        paper.stroke([frame.point(*one) for one in panel.path], PATH)
    radius = DOT if len(panel.dots) + len(panel.guessed) <= _FEW_DOTS else DOT / 2
    for dots, fill in ((panel.guessed, GUESSED), (panel.dots, READ)):
        for one in dots:
            paper.dot(frame.point(*one), radius, fill)


def _draw_bars(paper: Paper, bars: tuple[Bar, ...], frame: _Frame) -> None:
    ground = frame.y.at(0.0)
    for bar in bars:
        left, right = frame.x.at(bar.begins.timestamp()), frame.x.at(bar.ends.timestamp())
        gap = _BAR_GAP * (right - left)
        top = frame.y.at(bar.value)
        fill = HOT_BAR if bar.hot else BAR
        paper.box((left + gap, top), right - left - 2 * gap, ground - top, fill)
        if paper.width(bar.label, size=_SMALL) <= right - left:
            paper.text(
                ((left + right) / 2, min(ground, top) - 4), bar.label, size=_SMALL, align="center"
            )


def _draw_ahead(paper: Paper, ahead: tuple[Ahead, ...], frame: _Frame) -> None:
    lows = [frame.point(one.at, one.low) for one in ahead]
    highs = [frame.point(one.at, one.high) for one in ahead]
    likely = [frame.point(one.at, one.likely) for one in ahead]
    if len(ahead) > 1:
        paper.area([*lows, *reversed(highs)], BETWEEN)
        paper.stroke(lows, BETWEEN_EDGE)
        paper.stroke(highs, BETWEEN_EDGE)
        paper.stroke(likely, LIKELY)
    elif ahead:
        paper.stroke([*lows, *highs], BETWEEN_EDGE)
        ((x, y),) = likely
        paper.stroke([(x - 5, y), (x + 5, y)], PATH)


def _draw_labels(paper: Paper, labels: list[_Label], frame: _Frame) -> None:
    """Each at its line; those too near each other are moved apart, with a leader to each."""
    edge = frame.x.end + _INSET
    for label, top in zip(labels, _spread(labels, frame.y), strict=True):
        leader = [(edge, frame.y.at(label.at)), (edge + _LEADER - 3, top + label.height / 2)]
        paper.stroke(leader, replace(label.stroke, dashes=(), width=1.2))
        alarm = label.stroke is RULED_ALARM
        color = label.stroke.color if alarm else INK
        paper.lines((edge + _LEADER, top), label.lines, size=_SMALL, bold=alarm, color=color)


def _spread(labels: list[_Label], y: Scale) -> list[float]:
    """The tops of labels that are sorted downwards, none upon another."""
    tops: list[float] = []
    free = y.end
    for label in labels:
        free = max(free, y.at(label.at) - label.height / 2)
        tops.append(free)
        free += label.height
    below = y.start + _SMALL
    for number in reversed(range(len(tops))):
        below = min(below, tops[number] + labels[number].height) - labels[number].height
        tops[number] = below
    return tops


def _draw_now(paper: Paper, x: float, text: str, ends: Point) -> None:
    paper.stroke([(x, end) for end in ends], NOW)
    half = paper.width(text, size=_SMALL, bold=True) / 2
    middle = min(max(x, MARGIN + half), WIDTH - MARGIN - half)
    paper.text((middle, ends[0] - 3), text, size=_SMALL, bold=True, align="center")


def _draw_day_names(paper: Paper, chart: Chart, days: Scale, top: float) -> float:
    """As many names as stand side by side: each, every second, every third ..."""
    left, right = days.start - _INSET, days.end + _INSET
    named = [
        (days.at(moment.timestamp()), paper.width(text, size=_SMALL) / 2, text)
        for moment, text in sorted(chart.ticks)
        if left <= days.at(moment.timestamp()) <= right
    ]
    every = 1
    while any(
        before[0] + before[1] + 5 > after[0] - after[1]
        for before, after in pairwise(named[::every])
    ):
        every += 1
    for x, half, text in named[::every]:
        middle = min(max(x, MARGIN + half), WIDTH - MARGIN - half)
        paper.lines((middle, top), [text], size=_SMALL, color=SOFT, align="center")
    return top + LEADING * _SMALL
