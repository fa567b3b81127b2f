"""The colours: enough contrast to read, and apart for every kind of colour vision.

Contrast: W3C, Web Content Accessibility Guidelines (WCAG) 2.2, "contrast ratio" and "relative
luminance"; 4.5 is success criterion 1.4.3 (text), 3 is 1.4.11 (graphics).

Colour vision: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, A Physiologically-based Model for
Simulation of Color Vision Deficiency, IEEE Trans. Visualization and Computer Graphics 15 (2009)
1291-1298: the published matrices of severity 1.0, upon linear RGB, as several open
implementations give them alike. Distance: CIE 1976 L*a*b* (CIE 15), Euclidean.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from bot.pictures import palette

MATRICES = {
    "usual": np.eye(3),
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
         [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
         [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
         [0.004733, 0.691367, 0.303900]]
    ),
}  # fmt: skip
# IEC 61966-2-1 (sRGB): linear RGB to XYZ, its white at (0.9505, 1, 1.089).
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
APART = 18.0  # some eight times what an eye just tells apart (2.3: Mahy and others, 1994)


def linear(color: str) -> np.ndarray:
    coded = np.array([int(color[n : n + 2], 16) for n in (1, 3, 5)]) / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    dark, light = sorted(float(linear(c) @ [0.2126, 0.7152, 0.0722]) for c in (one, other))
    return (light + 0.05) / (dark + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    ratio = TO_XYZ @ np.clip(rgb, 0, 1) / (TO_XYZ @ np.ones(3))
    x, y, z = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def test_contrast_is_computed_as_the_guidelines_say() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.005)  # below 4.5, known so


@pytest.mark.parametrize(
    ("text", "ground"),
    [
        (palette.INK, palette.PAPER),
        (palette.SOFT, palette.PAPER),
        (palette.ALARM, palette.PAPER),
        (palette.INK, palette.ZEBRA.color),
        (palette.INK, palette.LABEL.color),
        (palette.PAPER, palette.BAND.color),
        (palette.PAPER, palette.BALL.color),
    ],
)
def test_text_can_be_read(text: str, ground: str) -> None:
    assert contrast(text, ground) >= 4.5


STROKES = [
    value
    for value in vars(palette).values()
    if isinstance(value, palette.Stroke) and value is not palette.GRID
]
EDGED = [palette.BAR, palette.HOT_BAR, palette.READ, palette.GUESSED, palette.TICK_BOX]


@pytest.mark.parametrize(
    "color", sorted({s.color for s in STROKES} | {f.edge for f in [*EDGED, palette.BOTTLE]})
)
def test_lines_can_be_seen(color: str) -> None:
    assert contrast(color, palette.PAPER) >= 3


def test_the_path_can_be_seen_on_the_stripe_and_in_the_fan() -> None:
    for ground in (palette.BETWEEN, palette.TARGETED):
        assert contrast(palette.WATER, ground.color) >= 3


@pytest.mark.parametrize("vision", MATRICES)
def test_colours_stay_apart(vision: str) -> None:
    colors = (palette.INK, palette.SOFT, palette.WATER, palette.ALARM, palette.TARGET, palette.HOT)
    seen = {color: lab(MATRICES[vision] @ linear(color)) for color in colors}
    for one, other in combinations(colors, 2):
        assert np.linalg.norm(seen[one] - seen[other]) >= APART, (one, other)


def test_colours_that_are_known_to_fall_together_do_so_here() -> None:
    """The measure can fail: a red and a green of one lightness, seen without the second cone."""
    red, green = (lab(MATRICES["deuteranopia"] @ linear(c)) for c in ("#C04040", "#7A7A20"))
    assert np.linalg.norm(red - green) < APART


def test_no_two_strokes_or_fills_differ_by_colour_alone() -> None:
    shapes = [(s.width, s.dashes) for s in (palette.PATH, palette.LIKELY, palette.BETWEEN_EDGE)]
    shapes += [(s.width, s.dashes) for s in (palette.RULED_ALARM, palette.NOW)]
    assert len(set(shapes)) == len(shapes)
    assert palette.RULED.dashes != palette.RULED_ALARM.dashes
    assert palette.HOT_BAR.hatch and not palette.BAR.hatch
    assert palette.GUESSED.color != palette.GUESSED.edge
