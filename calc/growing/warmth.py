"""Warmth summed over days."""

from __future__ import annotations

from calc.errors import Impossible, within


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
