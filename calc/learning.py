"""What a tank's own readings tell of it: the shape of its sides, what its feed adds."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from calc.errors import Impossible, within

LEAST_FILLS = 3
_SANE_FRACTION = 0.25  # a fill further off than this is a slip of a reading
_STEP_FRACTION = 0.10
GAIN_BOUNDS = (1 - _SANE_FRACTION, 1 + _SANE_FRACTION)  # of the label's gain


def level_from_marks(*, depth_cm: float, marks_any: Sequence[tuple[float, float]]) -> float:
    """Water in a tank of any shape from its depth, by marks made with a jug.

    level = L1 + (L2 - L1) x (depth - d1) / (d2 - d1) between the two marks beside it, the empty
    bottom being the first

    Parameters
    ----------
    depth_cm : float
        Depth of the water, [cm], 0 to the highest mark.
    marks_any : sequence of (float, float)
        What stood in it at a depth, [L] and [cm], rising together.

    Returns
    -------
    float
        [L]

    Raises
    ------
    OutOfRange
        A depth below 0 or above the highest mark.
    Impossible
        "marks_cross": no marks, or more water at less depth.

    Notes
    -----
    Straight between marks, so never more water at less depth; marks every quarter of the tank are
    enough for 2 % of it where sides lean evenly.

    References
    ----------
    Linear interpolation.

    Examples
    --------
    >>> round(level_from_marks(depth_cm=20.0, marks_any=[(10.0, 10.0), (30.0, 25.0)]), 2)
    23.33
    """
    if not marks_any or not _rising(marks_any):
        raise Impossible(reason="marks_cross")
    within(name="depth", value=depth_cm, low=0, high=marks_any[-1][1], unit="cm")
    for (below_l, below_cm), (above_l, above_cm) in pairwise([(0.0, 0.0), *marks_any]):
        if depth_cm <= above_cm:
            share = (depth_cm - below_cm) / (above_cm - below_cm)
            return below_l + (above_l - below_l) * share
    return marks_any[-1][0]


def _rising(marks: Sequence[tuple[float, float]]) -> bool:
    """Each mark holds more at more depth than the one below it, the bottom included."""
    return all(
        low_l < high_l and low_cm < high_cm
        for (low_l, low_cm), (high_l, high_cm) in pairwise([(0.0, 0.0), *marks])
    )


def gain_after_fills(
    *, gain_ms_per_cm: float, label_ms_per_cm: float, seen_ms_per_cm: Sequence[float]
) -> tuple[float, int]:
    """A feed's EC gain moved towards what a tank's fills have shown.

    gain = gain x (1 + clip(median / gain - 1, -0.1, 0.1)), over fills within a quarter of the
    label's gain, and never further from it

    Parameters
    ----------
    gain_ms_per_cm : float
        What label strength adds, as believed so far, [mS/cm], 0.05 to 10.
    label_ms_per_cm : float
        What its label says, [mS/cm], 0.05 to 10.
    seen_ms_per_cm : sequence of float
        What label strength would have added by each fill, [mS/cm].

    Returns
    -------
    (float, int)
        [mS/cm], and how many fills stand behind it; 0 where they are too few to move it

    Raises
    ------
    OutOfRange
        A gain outside its range.

    Notes
    -----
    Three fills at least, one that is a quarter off is left out, 10 % at a time: common
    practice, no source. The median is not moved by one bad reading.

    References
    ----------
    Median; common practice, no source, for the limits.

    Examples
    --------
    >>> gain, fills = gain_after_fills(
    ...     gain_ms_per_cm=1.5, label_ms_per_cm=1.5, seen_ms_per_cm=[1.56, 1.59, 9.0, 1.53])
    >>> round(gain, 2), fills
    (1.56, 3)
    """
    within(name="EC gain", value=gain_ms_per_cm, low=0.05, high=10, unit="mS/cm")
    within(name="EC gain", value=label_ms_per_cm, low=0.05, high=10, unit="mS/cm")
    sane = [s for s in seen_ms_per_cm if abs(s / label_ms_per_cm - 1) <= _SANE_FRACTION]
    if len(sane) < LEAST_FILLS:
        return gain_ms_per_cm, 0
    off = median(sane) / gain_ms_per_cm - 1
    moved = gain_ms_per_cm * (1 + min(max(off, -_STEP_FRACTION), _STEP_FRACTION))
    low, high = (label_ms_per_cm * bound for bound in GAIN_BOUNDS)
    return min(max(moved, low), high), len(sane)
