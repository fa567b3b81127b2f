"""Which crops can stand on one tank."""

from __future__ import annotations

from dataclasses import dataclass

from calc.errors import Impossible

_POINT_HALF = 0.3  # a range of one point counts as so much either way: common practice


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """Where two crops meet: the ends and the gap in their own unit; verdict "good", "compromise"
    or "separate"."""

    low: float
    high: float
    gap: float
    verdict: str


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
