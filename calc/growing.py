"""From seed to plate: germination, how much to sow, ports, warmth summed, who can share a tank."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from calc.errors import Impossible, OutOfRange, within

_COLUMN_C = 5.0
_POINT_HALF = 0.3  # a range of one point counts as so much either way: common practice


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """Where two crops meet: the ends and the gap in their own unit; verdict "good", "compromise"
    or "separate"."""

    low: float
    high: float
    gap: float
    verdict: str


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


def ports_for_heads_n(*, heads_per_week_n: float, port_d: float) -> int:
    """Ports that a harvest of whole heads fills.

    heads a week x weeks in port, rounded up

    Parameters
    ----------
    heads_per_week_n : float
        [1/week], 0.1 to 1,000.
    port_d : float
        From moving in to harvest, [d], 1 to 365.

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
    At a steady pace.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> ports_for_heads_n(heads_per_week_n=5, port_d=35)
    25
    """
    within(name="heads", value=heads_per_week_n, low=0.1, high=1000, unit="a week")
    within(name="days in port", value=port_d, low=1, high=365, unit="d")
    return math.ceil(round(heads_per_week_n * port_d / 7, 9))


def ports_for_cutting_n(*, bunches_per_week_n: float, cuts_per_week_n: float) -> int:
    """Ports that a harvest of cut bunches fills.

    bunches a week / cuts of a plant a week, rounded up

    Parameters
    ----------
    bunches_per_week_n : float
        [1/week], 0.1 to 1,000.
    cuts_per_week_n : float
        Bunches that one plant gives a week, [1/week], 0.05 to 7.

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
    Cut again every one to two weeks is common practice.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> ports_for_cutting_n(bunches_per_week_n=3, cuts_per_week_n=0.5)
    6
    """
    within(name="bunches", value=bunches_per_week_n, low=0.1, high=1000, unit="a week")
    within(name="cuts", value=cuts_per_week_n, low=0.05, high=7, unit="a week")
    return math.ceil(round(bunches_per_week_n / cuts_per_week_n, 9))


def port_days_d(*, seed_to_harvest_d: float, seedling_d: float) -> float:
    """Days in the port.

    seed to harvest - age of the seedling

    Parameters
    ----------
    seed_to_harvest_d : float
        [d], 1 to 400.
    seedling_d : float
        Age when moved in, [d], 0 to `seed_to_harvest_d`.

    Returns
    -------
    float
        [d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Autumn takes one to two weeks more (from memory).

    References
    ----------
    Rutgers lettuce production (12 d nursery, 36 d in all); Kratky, Acta Hort. 843:65, 2009.

    Examples
    --------
    >>> port_days_d(seed_to_harvest_d=36, seedling_d=12)
    24
    """
    within(name="days to harvest", value=seed_to_harvest_d, low=1, high=400, unit="d")
    within(name="seedling days", value=seedling_d, low=0, high=seed_to_harvest_d, unit="d")
    return seed_to_harvest_d - seedling_d


def sowing_interval_d(*, window_d: float, batches_n: int) -> float:
    """Days between sowings.

    window / batches

    Parameters
    ----------
    window_d : float
        Days that one sowing can be picked, [d], 1 to 365.
    batches_n : int
        Sowings at once in the tower, [-], 1 to 52.

    Returns
    -------
    float
        [d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    For an even harvest.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> sowing_interval_d(window_d=28, batches_n=4)
    7.0
    """
    within(name="window", value=window_d, low=1, high=365, unit="d")
    within(name="batches", value=batches_n, low=1, high=52, unit="")
    return window_d / batches_n


def spacing_cm(*, plants_per_m2_n: float) -> float:
    """Distance between plants of a density, on a square grid.

    100 / sqrt(n)

    Parameters
    ----------
    plants_per_m2_n : float
        [1/m2], 0.1 to 10,000.

    Returns
    -------
    float
        [cm]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    For trays of seedlings; a tower's ports are where they are.

    References
    ----------
    Rutgers lettuce production (81 per m2).

    Examples
    --------
    >>> round(spacing_cm(plants_per_m2_n=81), 2)
    11.11
    """
    within(name="density", value=plants_per_m2_n, low=0.1, high=10_000, unit="per m2")
    return float(100 / plants_per_m2_n**0.5)


def degree_days(*, t_max_c: float, t_min_c: float, base_c: float, upper_c: float) -> float:
    """Warmth that counts in a day.

    min(max((Tmax + Tmin)/2 - base, 0), upper - base)

    Parameters
    ----------
    t_max_c : float
        [C], -30 to 60, at least `t_min_c`.
    t_min_c : float
        [C], -40 to 60.
    base_c : float
        Below it the crop stands still, [C], -5 to 20.
    upper_c : float
        Above it no faster, [C], above `base_c`, to 45.

    Returns
    -------
    float
        [C d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Thresholds of field crops; towers are faster.

    References
    ----------
    Paredes et al., Agric. Water Manage. 319:109758, 2025.

    Examples
    --------
    >>> degree_days(t_max_c=24, t_min_c=12, base_c=4, upper_c=28)
    14.0
    """
    within(name="temperature", value=t_min_c, low=-40, high=60, unit="C")
    within(name="temperature", value=t_max_c, low=t_min_c, high=60, unit="C")
    within(name="base", value=base_c, low=-5, high=20, unit="C")
    within(name="upper", value=upper_c, low=base_c, high=45, unit="C")
    return min(max((t_max_c + t_min_c) / 2 - base_c, 0.0), upper_c - base_c)


def days_for_degree_days(
    *, total_c_d: float, t_mean_c: float, base_c: float, upper_c: float
) -> float:
    """Days until a sum of warmth is reached.

    total / degree days of a mean day

    Parameters
    ----------
    total_c_d : float
        [C d], 1 to 10,000.
    t_mean_c : float
        Of the days to come, [C], -10 to 50.
    base_c : float
        [C], -5 to 20.
    upper_c : float
        [C], above `base_c`, to 45.

    Returns
    -------
    float
        [d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "too_cold": at that warmth the crop stands still.

    Notes
    -----
    Field sums; calibrate by one's own harvests.

    References
    ----------
    As `degree_days`.

    Examples
    --------
    >>> round(days_for_degree_days(total_c_d=2065, t_mean_c=22, base_c=7, upper_c=28), 1)
    137.7
    """
    within(name="degree days", value=total_c_d, low=1, high=10_000, unit="C d")
    each = degree_days(t_max_c=t_mean_c, t_min_c=t_mean_c, base_c=base_c, upper_c=upper_c)
    if each <= 0:
        raise Impossible(reason="too_cold")
    return total_c_d / each


def shared_range(
    *,
    first_low_any: float,
    first_high_any: float,
    second_low_any: float,
    second_high_any: float,
    gap_allowed_any: float,
) -> Shared:
    """Whether two crops can live in one tank, by one reading.

    low = max of lows, high = min of highs, gap = max(0, low - high)

    Parameters
    ----------
    first_low_any : float
        Least of the first crop, [any unit].
    first_high_any : float
        Most of the first crop, [any unit].
    second_low_any : float
        Least of the second, [any unit].
    second_high_any : float
        Most of the second, [any unit].
    gap_allowed_any : float
        Still a compromise, [the same unit], 0 at least.

    Returns
    -------
    Shared
        where they meet, [Shared]

    Raises
    ------
    Impossible
        "bands": a range that ends before it begins.

    Notes
    -----
    Working ranges, common practice, no source. A range of one point counts as 0.3 either way.

    References
    ----------
    Common practice, no source; a gap of 0.5 in pH or EC is still shared.

    Examples
    --------
    >>> shared_range(first_low_any=2, first_high_any=3.5, second_low_any=1.2, second_high_any=1.8,
    ...     gap_allowed_any=0.5).verdict
    'compromise'
    """
    first, second = (
        (low - _POINT_HALF, high + _POINT_HALF) if low == high else (low, high)
        for low, high in ((first_low_any, first_high_any), (second_low_any, second_high_any))
    )
    if first[0] > first[1] or second[0] > second[1]:
        raise Impossible(reason="bands")
    low, high = max(first[0], second[0]), min(first[1], second[1])
    gap = max(0.0, low - high)
    kind = "good" if gap == 0 else "compromise" if gap <= gap_allowed_any + 1e-9 else "separate"
    return Shared(low=low, high=high, gap=gap, verdict=kind)
