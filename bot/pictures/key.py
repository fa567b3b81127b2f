"""What each mark of a chart means, under it."""

from __future__ import annotations

from typing import Final

from bot.pictures.palette import BAR, BETWEEN, BETWEEN_EDGE, GUESSED, HOT_BAR, LIKELY, PATH, READ
from bot.pictures.paper import LEADING, MARGIN, WIDTH, Paper, Point
from bot.records.drawings import Mark

DOT: Final = 3.4  # its radius
_SMALL = 10.0
_SWATCH = 21.0
_SWATCHES: Final = {"dot": 2 * DOT, "guessed": 2 * DOT, "bar": 14.0, "hot": 14.0}
_GAP = 5.0  # from a swatch to its text


def draw_key(paper: Paper, key: tuple[tuple[Mark, str], ...], top: float) -> float:
    """What each mark means, as many side by side as there is room for."""
    x, y, row = MARGIN, top, LEADING * _SMALL
    for mark, text in key:
        swatch = _SWATCHES.get(mark, _SWATCH)
        lines = paper.wrapped(text, WIDTH - 2 * MARGIN - swatch - _GAP, size=_SMALL)
        width = swatch + _GAP + max((paper.width(line, size=_SMALL) for line in lines), default=0.0)
        if x > MARGIN and x + width > WIDTH - MARGIN:
            x, y = MARGIN, y + row + 3
        _draw_mark(paper, mark, (x, y + row / 2), swatch)
        low = paper.lines((x + swatch + _GAP, y), lines, size=_SMALL)
        y = max(y, low - row)
        x += width + 14
    return y + row if key else top


def _draw_mark(paper: Paper, mark: Mark, at: Point, width: float) -> None:
    x, y = at
    ends = (x, x + width)
    match mark:
        case "path" | "likely":
            paper.stroke([(end, y) for end in ends], PATH if mark == "path" else LIKELY)
        case "dot" | "guessed":
            paper.dot((x + width / 2, y), DOT, READ if mark == "dot" else GUESSED)
        case "between":
            paper.box((x, y - 5), width, 10, BETWEEN)
            for edge in (y - 5, y + 5):
                paper.stroke([(end, edge) for end in ends], BETWEEN_EDGE)
        case "bar" | "hot":
            paper.box((x, y - 5), width, 10, BAR if mark == "bar" else HOT_BAR)
