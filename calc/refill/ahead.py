"""From what is believed of a tank to the days until it reaches a mark."""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np

from calc.refill.thirst import Bed, Floats, bed_thirst_l_per_d
from calc.refill.watching import DRIFT, DRIFT_BARE, LOG_THIRST, SWING, Belief

HORIZON_D = 60
_PATHS = 400


def days_until_mark_d(
    *, belief_any: Belief, bed_any: Bed, mark_l: float, tank_l: float
) -> tuple[float, float, float]:
    """Days from the belief's own moment until the level is down to a mark, if nobody fills.

    400 paths of level, drifting thirst and daily swing, always the same ones.

    Parameters
    ----------
    belief_any : Belief
        [L] and [d].
    bed_any : Bed
        [L/d] and [d].
    mark_l : float
        [L].
    tank_l : float
        [L].

    Returns
    -------
    (early, likely, late)
        the 10 %, 50 % and 90 % points, [d], 60 at the most

    Raises
    ------
    Nothing
        At or below the mark it is 0.

    Notes
    -----
    Fitted here; the interval covers about 80 %.

    References
    ----------
    Monte Carlo first passage; the paths are a fixed, stratified sample.

    Examples
    --------
    >>> import numpy as np
    >>> from calc.refill.watching import Look, before_any, looked
    >>> none = np.array([])
    >>> bed = Bed(norms_l_per_d=none, grown_d=none, planted_d=none, ended_d=none,
    ...           loss_l_per_d=2.0)
    >>> belief = before_any(tank_l=40.0, bed_any=bed)
    >>> for day in range(0, 8, 2):
    ...     look = Look(at_d=float(day), level_l=40.0 - 2 * day, off_l=0.5)
    ...     belief = looked(belief_any=belief, look_any=look, bed_any=bed, tank_l=40.0)
    >>> early, likely, late = days_until_mark_d(
    ...     belief_any=belief, bed_any=bed, mark_l=20.0, tank_l=40.0)
    >>> 3.6 < likely < 4.4 and early < 4 < late
    True
    """
    unit, first, swings, drifts = _draws()
    total = np.cumsum(belief_any.weights)
    aim = unit * total[-1]
    at = np.clip(np.searchsorted(total, aim), 0, LOG_THIRST.size - 1)
    inside = (aim - np.where(at > 0, total[at - 1], 0.0)) / np.maximum(
        belief_any.weights[at], 1e-12
    )
    thirst = LOG_THIRST[at] + (inside - 0.5) * (LOG_THIRST[1] - LOG_THIRST[0])
    level = belief_any.levels_l[at] + np.sqrt(belief_any.variances_l2[at]) * first
    level = np.clip(level, 0.02 * tank_l, 1.02 * tank_l)
    days: Floats = (belief_any.at_d or 0.0) + np.arange(HORIZON_D, dtype=np.float64) + 0.5
    drift = DRIFT_BARE if belief_any.bare else DRIFT
    use = np.exp(thirst[:, None] + np.cumsum(drifts, axis=1) * drift)
    use *= bed_thirst_l_per_d(bed_any=bed_any, days_d=days) * np.maximum(0.1, 1 + SWING * swings)
    times = _first_passage(level, use, mark_l)
    early, likely, late = np.quantile(times, [0.1, 0.5, 0.9])
    return float(early), float(likely), float(late)


def _first_passage(level: Floats, use: Floats, mark_l: float) -> Floats:
    """When each path comes to the mark, within its day by its use of that day."""
    left = np.concatenate([level[:, None], level[:, None] - np.cumsum(use, axis=1)], axis=1)
    passed = left[:, 1:] <= mark_l
    day = np.where(passed.any(axis=1), passed.argmax(axis=1), HORIZON_D - 1)
    rows = np.arange(level.size)
    within = (left[rows, day] - mark_l) / np.maximum(use[rows, day], 1e-9)
    times = np.where(passed.any(axis=1), day + np.clip(within, 0.0, 1.0), float(HORIZON_D))
    found: Floats = np.where(level <= mark_l, 0.0, times)
    return found


@cache
def _draws() -> tuple[Floats, Floats, Floats, Floats]:
    """Even steps for the thirst, normal ones for the level, for swings and for drifts."""
    random = np.random.default_rng(5)
    unit = (np.arange(_PATHS) + 0.5) / _PATHS
    normal = NormalDist()
    first = random.permutation(np.array([normal.inv_cdf(float(one)) for one in unit]))
    return (
        unit,
        first,
        random.standard_normal((_PATHS, HORIZON_D)),
        random.standard_normal((_PATHS, HORIZON_D)),
    )
