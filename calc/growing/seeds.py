"""What comes up by warmth, and how many seeds to sow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from calc.errors import Impossible, OutOfRange, within

_COLUMN_C = 5.0


def between_columns(*, columns_any: Sequence[tuple[float, float]], temperature_c: float) -> float:
    """A value of a table by temperature, on a straight line between neighbouring columns.

    v = v1 + (v2 - v1) (T - T1) / (T2 - T1)

    Parameters
    ----------
    columns_any : sequence of (float, float), shape (n, 2)
        Temperature [C] and value [any unit], rising, 5 C apart.
    temperature_c : float
        [C], inside the table.

    Returns
    -------
    float
        [the table's unit]

    Raises
    ------
    OutOfRange
        A temperature outside the table.
    Impossible
        "left_out": the table has a gap there.

    Notes
    -----
    Never across a cell that was left out, never beyond the ends.

    References
    ----------
    Harrington & Minges 1954, in Knott's Handbook 1997: days to emergence and per cent of normal
    seedlings by 5 C.

    Examples
    --------
    >>> round(between_columns(columns_any=[(20, 52), (25, 28)], temperature_c=22), 1)
    42.4
    """
    for (t1, v1), (t2, v2) in pairwise(columns_any):
        if t1 <= temperature_c <= t2:
            if temperature_c in (t1, t2):
                return v1 if temperature_c == t1 else v2
            if t2 - t1 > _COLUMN_C:
                raise Impossible(reason="left_out")
            return v1 + (v2 - v1) * (temperature_c - t1) / (t2 - t1)
    if len(columns_any) == 1 and columns_any[0][0] == temperature_c:
        return columns_any[0][1]
    ends = [t for t, _ in columns_any] or [0.0]
    raise OutOfRange(name="warmth", value=temperature_c, low=min(ends), high=max(ends), unit="C")


def seeds_to_sow_n(
    *, plants_n: float, germination_fraction: float, survival_fraction: float
) -> int:
    """Seeds for so many plants.

    plants / (germination x survival), rounded up

    Parameters
    ----------
    plants_n : float
        Wanted, [-], 0.1 to 10,000.
    germination_fraction : float
        That come up at that warmth, [-], 0.01 to 1.
    survival_fraction : float
        Of these that live to be moved in, [-], 0.01 to 1.

    Returns
    -------
    int
        [-], whole, rounded up

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    One's own seed test outranks the table.

    References
    ----------
    Arithmetic; shares of Harrington & Minges 1954.

    Examples
    --------
    >>> seeds_to_sow_n(plants_n=5, germination_fraction=0.7, survival_fraction=1.0)
    8
    """
    within(name="plants", value=plants_n, low=0.1, high=10_000, unit="")
    within(name="germination", value=germination_fraction, low=0.01, high=1, unit="of the seeds")
    within(name="survival", value=survival_fraction, low=0.01, high=1, unit="of the seedlings")
    return math.ceil(round(plants_n / (germination_fraction * survival_fraction), 9))
