"""Sheets: to read at arm's length, on a phone, on a tank's lid or in a helper's hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from bot.pictures.palette import (
    AXIS,
    BALL,
    BAND,
    BOTTLE,
    CAP,
    GRID,
    INK,
    LABEL,
    PAPER,
    RULE,
    SOFT,
    TICK_BOX,
    ZEBRA,
    Fill,
)
from bot.pictures.paper import LEADING, MARGIN, WIDTH, Align, Paper
from bot.records.drawings import Sheet

_TITLE, _TEXT, _DAY, _FOOT = 20.0, 13.0, 13.0, 10.0
_WHOLE = WIDTH - 2 * MARGIN
_LARGEST, _SMALLEST = 20.0, 10.0  # of a table's letters
_MANY_ROWS: Final = {30: 12.0, 22: 14.0, 16: 18.0}  # from so many rows on, no larger than this
_ROW = 1.75  # a row's height, in sizes of its letters
_BETWEEN_COLUMNS = 12.0
_INSET = 6.0  # from a table's edge to its first letter
_HAIR = 0.01  # a cell as wide as its column is not wrapped for a rounding


def draw_sheet(sheet: Sheet) -> Paper:
    """The sheet on a paper of its own."""
    paper = Paper()
    y = paper.paragraph((MARGIN, MARGIN), sheet.title, _WHOLE, size=_TITLE, bold=True)
    paper.stroke([(MARGIN, y + 2), (WIDTH - MARGIN, y + 2)], RULE)
    y += 8
    if sheet.intro:
        y = paper.paragraph((MARGIN, y), sheet.intro, _WHOLE, size=_TEXT) + 8
    y = _draw_bottles(paper, sheet.bottles, y)
    y = _draw_steps(paper, sheet.steps, y)
    y = _draw_days(paper, sheet.days, y)
    y = _draw_table(paper, sheet, y)
    for text in sheet.foot:
        y = paper.paragraph((MARGIN, y + 4), text, _WHOLE, size=_FOOT, color=SOFT)
    paper.height = y + MARGIN
    return paper


def _draw_bottles(paper: Paper, bottles: Sequence[tuple[str, str]], top: float) -> float:
    """One or two in a row: the bottle, beside it how much of it."""
    across = 1 if len(bottles) == 1 else 2
    wide = _WHOLE / across
    for first in range(0, len(bottles), across):
        low = top
        for number, (name, amount) in enumerate(bottles[first : first + across]):
            x = MARGIN + number * wide
            low = max(low, _draw_bottle(paper, (x, top), name, amount, wide))
        top = low + 12
    return top


def _draw_bottle(
    paper: Paper, at: tuple[float, float], name: str, amount: str, width: float
) -> float:
    x, top = at
    paper.box((x + 17, top), 18, 9, CAP)
    paper.box((x + 20, top + 9), 12, 6, BOTTLE)
    paper.round_box((x, top + 14), 52, 66, 8, BOTTLE)
    paper.box((x, top + 32), 52, 32, LABEL)
    beside, room = x + 62, width - 70
    if paper.width(name, size=20, bold=True) <= 46:
        paper.text((x + 26, top + 55.5), name, size=20, bold=True, align="center")
        y = top + 34
    else:
        y = paper.paragraph((beside, top + 14), name, room, size=_TEXT)
    y = paper.paragraph((beside, y), amount, room, size=20, bold=True)
    return max(y, top + 80)


def _draw_steps(paper: Paper, steps: Sequence[str], top: float) -> float:
    for number, step in enumerate(steps, start=1):
        middle = top + LEADING * _TEXT / 2
        paper.dot((MARGIN + 10, middle + 0.5), 10, BALL)
        size = 12 if number < 100 else 9
        paper.text((MARGIN + 10, middle + 0.5 + size * 0.36), str(number), size=size, color=PAPER,
                   bold=True, align="center")  # fmt: skip
        y = paper.paragraph((MARGIN + 28, top), step, _WHOLE - 28, size=_TEXT)
        top = max(y, top + 22) + 5
    return top + 5 if steps else top


def _draw_days(paper: Paper, days: Sequence[tuple[str, str]], top: float) -> float:
    """A row a day, with a box to tick where there is something to do."""
    if not days:
        return top
    named = max(paper.width(day, size=_DAY, bold=True) for day, _ in days)
    name_wide = min(named, 0.4 * _WHOLE)
    x = MARGIN + 24
    for day, doing in days:
        paper.stroke([(MARGIN, top), (WIDTH - MARGIN, top)], GRID)
        if doing:
            paper.box((MARGIN + 2, top + 6), 14, 14, TICK_BOX)
        color = INK if doing else SOFT
        low = paper.paragraph(
            (x, top + 4), day, name_wide, size=_DAY, bold=bool(doing), color=color
        )
        beside = x + name_wide + 10
        y = paper.paragraph(
            (beside, top + 4), doing or "–", WIDTH - MARGIN - beside, size=_DAY, color=color
        )
        top = max(low, y) + 5
    paper.stroke([(MARGIN, top), (WIDTH - MARGIN, top)], GRID)
    return top + 10


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """How a table is set: the size of its letters, and each column's width and side."""

    size: float
    widths: list[float]
    sides: list[Align]
    between: float


def _draw_table(paper: Paper, sheet: Sheet, top: float) -> float:
    """As large as all columns fit; a table too wide for the smallest letters wraps its cells."""
    rows = [row for row in (sheet.head, *sheet.rows) if row]
    if not rows:
        return top
    count = max(map(len, rows))
    table = [(*row, *[""] * (count - len(row))) for row in rows]
    columns = _fitted(paper, table, bool(sheet.head))
    for number, row in enumerate(table):
        head = number == 0 and bool(sheet.head)
        ground = BAND if head else ZEBRA if number % 2 == 0 else None
        top = _draw_row(paper, columns, row, top, ground)
    paper.stroke([(MARGIN, top), (WIDTH - MARGIN, top)], AXIS)
    return top + 8


def _draw_row(
    paper: Paper, columns: _Columns, row: Sequence[str], top: float, ground: Fill | None
) -> float:
    size, head = columns.size, ground is BAND
    bold = [head or place == 0 for place in range(len(row))]
    cells = [
        paper.wrapped(cell, width + _HAIR, size=size, bold=strong)
        for cell, width, strong in zip(row, columns.widths, bold, strict=True)
    ]
    height = size * (_ROW + LEADING * (max(1, *map(len, cells)) - 1))
    if ground:
        paper.box((MARGIN, top), _WHOLE, height, ground)
    x, y = MARGIN + _INSET, top + size * (_ROW - LEADING) / 2
    for cell, width, side, strong in zip(cells, columns.widths, columns.sides, bold, strict=True):
        at = (x if side == "left" else x + width, y)
        color = PAPER if head else INK
        paper.lines(at, cell, size=size, bold=strong, color=color, align=side)
        x += width + columns.between
    return top + height


def _fitted(paper: Paper, table: Sequence[Sequence[str]], headed: bool) -> _Columns:
    """The largest letters at which all columns stand side by side.

    A head may break between its words, a cell not.
    """
    heads = [cell.split() for cell in table[0]] if headed else [[] for _ in table[0]]
    columns = list(zip(*table[headed:], strict=True)) or [() for _ in table[0]]
    at_one = [
        max(
            *(paper.width(word, size=1.0, bold=True) for word in (*head, "")),
            *(paper.width(cell, size=1.0, bold=place == 0) for cell in column),
            0.0,
        )
        for place, (head, column) in enumerate(zip(heads, columns, strict=True))
    ]
    gaps = max(1, len(at_one) - 1)
    room = _WHOLE - 2 * _INSET - gaps * _BETWEEN_COLUMNS
    most = next((size for rows, size in _MANY_ROWS.items() if len(table) >= rows), _LARGEST)
    size = max(_SMALLEST, min(most, room / max(sum(at_one), 1.0) // 0.5 * 0.5))
    widths = _shared([width * size for width in at_one], room)
    between = _BETWEEN_COLUMNS + (room - sum(widths)) / gaps
    return _Columns(size=size, widths=widths, sides=[*map(_side, columns)], between=between)


def _shared(wishes: list[float], room: float) -> list[float]:
    """Narrow columns get what they wish; the wide ones share what is left."""
    widths = [0.0] * len(wishes)
    left = len(wishes)
    for wish, place in sorted((wish, place) for place, wish in enumerate(wishes)):
        widths[place] = min(wish, room / left)
        room -= widths[place]
        left -= 1
    return widths


def _side(column: Sequence[str]) -> Align:
    """Figures stand under each other to the right."""
    figures = all(not cell or cell[0].isdigit() or cell[0] in "−-+½¼¾<~" for cell in column)
    return "right" if figures else "left"
