"""The colours and strokes of every picture: dark on a light paper, apart for colour-blind eyes.

No meaning is told by colour alone: each stroke has its own dashes or shape, each fill its edge or
hatching. `tests/bot/pictures/test_palette.py` measures contrast and distance.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

PAPER: Final = "#FBFAF5"
INK: Final = "#1C2B33"
SOFT: Final = "#55636B"
WATER: Final = "#3765CA"
ALARM: Final = "#AF0D0D"
TARGET: Final = "#339553"
HOT: Final = "#DA5B11"
FAINT: Final = "#E2DFD4"  # rules and grids, which carry no meaning
_WATER_TINT: Final = "#D3DFF6"
_TARGET_TINT: Final = "#DCEFE1"
_HOT_TINT: Final = "#FBE3D0"
_PAPER_TINT: Final = "#F1EEE4"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A line; width and dashes (on, off, ...) in points."""

    color: str
    width: float
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """An area; hatch: in the library's letters, drawn in the edge's colour."""

    color: str
    edge: str
    width: float = 0.0
    hatch: str = ""


GRID: Final = Stroke(color=FAINT, width=0.7)
AXIS: Final = Stroke(color=SOFT, width=1.0)
NOW: Final = Stroke(color=INK, width=1.2, dashes=(1.5, 2.0))
RULED: Final = Stroke(color=SOFT, width=1.2)
RULED_ALARM: Final = Stroke(color=ALARM, width=2.2, dashes=(7.0, 2.5))
PATH: Final = Stroke(color=WATER, width=2.2)
LIKELY: Final = Stroke(color=WATER, width=2.2, dashes=(4.0, 2.5))
BETWEEN_EDGE: Final = Stroke(color=WATER, width=0.9)
RULE: Final = Stroke(color=INK, width=1.4)
TARGET_EDGE: Final = Stroke(color=TARGET, width=1.2)

BETWEEN: Final = Fill(color=_WATER_TINT, edge=_WATER_TINT)
TARGETED: Final = Fill(color=_TARGET_TINT, edge=_TARGET_TINT)
BAR: Final = Fill(color=WATER, edge=WATER, width=1.0)
HOT_BAR: Final = Fill(color=_HOT_TINT, edge=HOT, width=1.4, hatch="///")
READ: Final = Fill(color=WATER, edge=WATER, width=1.4)
GUESSED: Final = Fill(color=PAPER, edge=WATER, width=1.4)

ZEBRA: Final = Fill(color=_PAPER_TINT, edge=_PAPER_TINT)
BAND: Final = Fill(color=INK, edge=INK)
BALL: Final = Fill(color=WATER, edge=WATER)
TICK_BOX: Final = Fill(color=PAPER, edge=INK, width=1.2)
BOTTLE: Final = Fill(color=_WATER_TINT, edge=INK, width=1.6)
CAP: Final = Fill(color=INK, edge=INK, width=1.0)
LABEL: Final = Fill(color=PAPER, edge=INK, width=1.0)
