"""A sheet of paper as wide as a phone, measured in points from its top left corner.

All text stands as typed, in the font that comes with the library: a letter that it lacks is a box.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from io import BytesIO
from itertools import count
from pathlib import Path
from typing import Final, Literal

import matplotlib
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.ft2font import FT2Font, LoadFlags
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, FancyBboxPatch, Polygon, Rectangle
from matplotlib.transforms import Affine2D
from PIL import Image

from bot.pictures.palette import INK, PAPER, Fill, Stroke

# An operator's own settings of the library must not reach the members' pictures.
matplotlib.rcdefaults()

WIDTH: Final = 360.0
MARGIN: Final = 14.0
LEADING: Final = 1.3  # from line to line, in sizes of the letters
_PIXELS_PER_POINT: Final = 3.0
_POINTS_PER_INCH: Final = 72.0
_MEASURED_AT: Final = 100.0
_COLORS = 128  # few paints and their soft edges: a third of the bytes of true colour
_MOST_LINES = 10  # of one text
_BOX: Final = "□"

Point = tuple[float, float]
Align = Literal["left", "center", "right"]


class _Face:
    """One cut of the font: which letters it has, and how wide they are."""

    def __init__(self, file: str) -> None:
        path = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / file
        self.path = path
        self._font = FT2Font(path)
        self._font.set_size(_MEASURED_AT, _POINTS_PER_INCH)
        self._advances: dict[str, float] = {}

    def shown(self, letter: str) -> str:
        """The letter, a box in its place, or nothing where nothing was to be seen."""
        category = unicodedata.category(letter)
        if category in ("Cc", "Cf"):  # controls and joiners
            return ""
        if self._font.get_char_index(ord(letter)):
            return letter
        return "" if category.startswith("M") else _BOX  # a mark upon a letter

    def advance(self, letter: str) -> float:
        """How far a letter of size 1 reaches to the next."""
        if letter not in self._advances:
            glyph = self._font.load_char(ord(letter), flags=LoadFlags.NO_HINTING)
            self._advances[letter] = glyph.linearHoriAdvance / 65536 / _MEASURED_AT
        return self._advances[letter]


class Paper:
    """What is drawn later lies on top of what was drawn before. Set `height` before `png`."""

    def __init__(self) -> None:
        self.height = WIDTH
        dpi = _PIXELS_PER_POINT * _POINTS_PER_INCH
        self.figure = Figure(dpi=dpi, facecolor=PAPER)
        self._faces = {False: _Face("DejaVuSans.ttf"), True: _Face("DejaVuSans-Bold.ttf")}
        self._points = Affine2D()
        self._order = count(1)

    def png(self) -> bytes:
        """All that was drawn."""
        across, down = (round(points * _PIXELS_PER_POINT) for points in (WIDTH, self.height))
        dpi = _PIXELS_PER_POINT * _POINTS_PER_INCH
        self.figure.set_size_inches(across / dpi, down / dpi)
        self._points.clear().scale(_PIXELS_PER_POINT, -_PIXELS_PER_POINT).translate(0, down)
        FigureCanvasAgg(self.figure)
        pixels, out = BytesIO(), BytesIO()
        self.figure.savefig(pixels, format="rgba")
        picture = Image.frombytes("RGBA", (across, down), pixels.getvalue()).convert("RGB")
        few = picture.quantize(_COLORS, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        few.save(out, "PNG")
        return out.getvalue()

    def width(self, text: str, *, size: float, bold: bool = False) -> float:
        """How wide a text is on one line."""
        face = self._faces[bold]
        return size * sum(face.advance(letter) for letter in self._legible(text, bold))

    def wrapped(self, text: str, width: float, *, size: float, bold: bool = False) -> list[str]:
        """A text in lines of this width; a longer word is cut, a very long text ends in dots."""
        lines = self._lines(text, width, size, bold)
        if len(lines) > _MOST_LINES:
            lines = [*lines[: _MOST_LINES - 1], f"{lines[_MOST_LINES - 1][:-2]}…"]
        return lines

    def _lines(self, text: str, width: float, size: float, bold: bool) -> list[str]:
        lines: list[str] = []
        for paragraph in text.splitlines():
            line = ""
            for word in paragraph.split():
                longer = f"{line} {word}" if line else word
                if self.width(longer, size=size, bold=bold) <= width:
                    line = longer
                    continue
                if line:
                    lines.append(line)
                *cut, line = self._cut(word, width / size, bold)
                lines += cut
            if line:
                lines.append(line)
        return lines

    def _cut(self, word: str, width: float, bold: bool) -> list[str]:
        face = self._faces[bold]
        pieces, used = [""], 0.0
        for letter in self._legible(word, bold):
            step = face.advance(letter)
            if pieces[-1] and used + step > width:
                pieces.append("")
                used = 0.0
            pieces[-1] += letter
            used += step
        return pieces

    def _legible(self, text: str, bold: bool) -> str:
        return "".join(map(self._faces[bold].shown, text))

    def text(
        self, at: Point, text: str, *, size: float, color: str = INK, bold: bool = False,
        align: Align = "left",
    ) -> None:  # fmt: skip
        """One line of text that stands on the point."""
        written = self.figure.text(
            *at, self._legible(text, bold), transform=self._points, color=color,
            fontproperties=FontProperties(fname=self._faces[bold].path, size=size),
            horizontalalignment=align, verticalalignment="baseline", parse_math=False,
        )  # fmt: skip
        written.set_zorder(next(self._order))

    def lines(
        self, at: Point, lines: Sequence[str], *, size: float, color: str = INK,
        bold: bool = False, align: Align = "left",
    ) -> float:  # fmt: skip
        """Lines of text that hang from the point; how far down they reach."""
        x, top = at
        for number, line in enumerate(lines):
            base = top + (number * LEADING + 1.0) * size
            self.text((x, base), line, size=size, color=color, bold=bold, align=align)
        return top + len(lines) * LEADING * size

    def paragraph(
        self, at: Point, text: str, width: float, *, size: float, color: str = INK,
        bold: bool = False,
    ) -> float:  # fmt: skip
        """A text wrapped to this width that hangs from the point; how far down it reaches."""
        lines = self.wrapped(text, width, size=size, bold=bold)
        return self.lines(at, lines, size=size, color=color, bold=bold)

    def stroke(self, points: Sequence[Point], stroke: Stroke) -> None:
        """A line through the points."""
        dashed = (0.0, tuple(part / stroke.width for part in stroke.dashes))
        self._add(
            Line2D(
                [x for x, _ in points], [y for _, y in points], color=stroke.color,
                linewidth=stroke.width, linestyle=dashed if stroke.dashes else "solid",
                dash_capstyle="butt", solid_capstyle="round", solid_joinstyle="round",
            )
        )  # fmt: skip

    def area(self, corners: Sequence[Point], fill: Fill) -> None:
        """What lies within the corners."""
        self._fill(Polygon(list(corners), closed=True), fill)

    def box(self, corner: Point, width: float, height: float, fill: Fill) -> None:
        """A rectangle below and right of its corner."""
        self._fill(Rectangle(corner, width, height), fill)

    def round_box(
        self, corner: Point, width: float, height: float, radius: float, fill: Fill
    ) -> None:
        """A rectangle with round corners below and right of its corner."""
        style = f"round,pad=0,rounding_size={radius}"
        self._fill(FancyBboxPatch(corner, width, height, boxstyle=style), fill)

    def dot(self, middle: Point, radius: float, fill: Fill) -> None:
        """A disc."""
        self._fill(Circle(middle, radius), fill)

    def _fill(self, patch: Polygon | Rectangle | FancyBboxPatch | Circle, fill: Fill) -> None:
        patch.set(facecolor=fill.color, edgecolor=fill.edge, linewidth=fill.width)
        if fill.hatch:
            patch.set_hatch(fill.hatch)
            patch.set_hatch_linewidth(1.6)
        self._add(patch)

    def _add(self, artist: Artist) -> None:
        artist.set_transform(self._points)
        artist.set_zorder(next(self._order))
        self.figure.add_artist(artist)
