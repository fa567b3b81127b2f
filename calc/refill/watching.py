"""What is believed of a tank: its level, and how many times as thirsty it is as its bed should be.

A filter over a grid of thirsts, each with a level of its own (mean and variance). Between readings
the level falls and the thirst drifts; a reading either fits, or tells of a fill that nobody logged,
of water that was lost, or of a misread. The constants were fitted on the demo's physics
(`python -m tests.forecast`); none of them has a source elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from calc.refill.thirst import Bed, Floats, bed_thirst_l_per_d

_GRID = 49
LOG_THIRST: Floats = np.linspace(np.log(1 / 6), np.log(6.0), _GRID)
_THIRST: Floats = np.exp(LOG_THIRST)
# How far the first guess is off, with plants known and without [log]; drift a day [log].
_FIRST_OFF, _FIRST_OFF_BARE = 0.5, 0.9
DRIFT, DRIFT_BARE = 0.042, 0.06
SWING = 0.28  # of a day's use, from day to day
_UNLOGGED, _LOST, _MISREAD = 0.10, 0.006, 0.02  # of all readings
_POURED_OFF = 0.06  # of what is said to have been poured
_DREGS = 0.04  # of the tank: no plant reaches them
_LEAK_LEAST = 0.15  # of the tank below what was expected
_LEAK_SURE = 0.075
_STEP = 0.02  # kernels of drift are kept for such steps


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A line of the log. at_d : [d]; level_l : what was read, [L], None where nothing was; off_l :
    how far such a reading is off (one standard deviation), [L]; added_l : poured in before it was
    read, [L]; fresh : emptied and filled anew; found : somebody looked into that level: "leak", or
    "thirst" where nothing leaked."""

    at_d: float
    level_l: float | None = None
    off_l: float = 0.0
    added_l: float = 0.0
    fresh: bool = False
    found: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """weights : of each thirst of the grid; levels_l, variances_l2 : of the level with it, [L] and
    [L2]; at_d : as of, [d] (None: before anything was read); looks_n : readings so far;
    leak_fraction : how likely the last reading tells of water lost; bare : nothing is known of the
    plants."""

    weights: Floats
    levels_l: Floats
    variances_l2: Floats
    at_d: float | None
    looks_n: int
    leak_fraction: float
    bare: bool

    @property
    def leaks(self) -> bool:
        """Whether the last reading tells of water lost."""
        return self.leak_fraction > _LEAK_SURE


def before_any(*, tank_l: float, bed_any: Bed) -> Belief:
    """What is believed of a tank that nobody has read yet.

    Parameters
    ----------
    tank_l : float
        [L], above 0.
    bed_any : Bed
        Its plants, [L/d] and [d].

    Returns
    -------
    Belief
        three quarters full, give or take

    Raises
    ------
    Nothing
        Every tank has such a belief.

    Notes
    -----
    Fitted here.

    References
    ----------
    None: a first guess.

    Examples
    --------
    >>> import numpy as np
    >>> none = np.array([])
    >>> bed = Bed(norms_l_per_d=none, grown_d=none, planted_d=none, ended_d=none,
    ...           loss_l_per_d=2.0)
    >>> before_any(tank_l=40.0, bed_any=bed).levels_l[0].item()
    30.0
    """
    bare = bed_any.norms_l_per_d.size == 0
    weights = np.exp(-0.5 * (LOG_THIRST / (_FIRST_OFF_BARE if bare else _FIRST_OFF)) ** 2)
    return Belief(
        weights=weights / weights.sum(),
        levels_l=np.full(_GRID, 0.75 * tank_l),
        variances_l2=np.full(_GRID, (0.3 * tank_l) ** 2),
        at_d=None,
        looks_n=0,
        leak_fraction=0.0,
        bare=bare,
    )


def waited(*, belief_any: Belief, until_d: float, bed_any: Bed, tank_l: float) -> Belief:
    """What is believed later, when nothing was read meanwhile.

    level falls by thirst x bed's use, its variance grows by (0.28 x use a day)^2 a day; the thirst
    drifts by 4.2 % a square root of a day, 6 % where no plants are known.

    Parameters
    ----------
    belief_any : Belief
        [L] and [d].
    until_d : float
        [d].
    bed_any : Bed
        [L/d] and [d].
    tank_l : float
        [L].

    Returns
    -------
    Belief
        as of `until_d`; the same where that is not later

    Raises
    ------
    Nothing
        Any time may pass.

    Notes
    -----
    Fitted here.

    References
    ----------
    Mixture Kalman filter (Chen & Liu 2000) with moments matched on a grid of thirsts.

    Examples
    --------
    >>> import numpy as np
    >>> none = np.array([])
    >>> bed = Bed(norms_l_per_d=none, grown_d=none, planted_d=none, ended_d=none,
    ...           loss_l_per_d=2.0)
    >>> first = looked(belief_any=before_any(tank_l=40.0, bed_any=bed), bed_any=bed, tank_l=40.0,
    ...                look_any=Look(at_d=0.0, level_l=40.0, off_l=1.0))
    >>> later = waited(belief_any=first, until_d=4.0, bed_any=bed, tank_l=40.0)
    >>> 28 < float((later.weights * later.levels_l).sum()) < 33
    True
    """
    at = belief_any.at_d
    if at is None or until_d <= at:
        return belief_any
    days = until_d - at
    parts = max(1, int(np.ceil(days)))
    moments = at + (np.arange(parts) + 0.5) * days / parts
    daily = float(bed_thirst_l_per_d(bed_any=bed_any, days_d=moments).mean())
    floor = _DREGS * tank_l
    level = belief_any.levels_l - _THIRST * daily * days
    variance = belief_any.variances_l2 + (SWING * _THIRST * daily) ** 2 * days
    variance = np.where(level < floor, np.minimum(variance, (0.1 * tank_l) ** 2), variance)
    level = np.maximum(level, floor)
    drift = (DRIFT_BARE if belief_any.bare else DRIFT) * np.sqrt(days)
    weights = belief_any.weights
    spread = _kernel(round(float(drift) / _STEP))
    if spread is not None:
        old, weights = weights, spread @ weights
        mean = (spread @ (old * level)) / weights
        variance = (spread @ (old * (variance + level**2))) / weights - mean**2
        level = mean
    return Belief(
        weights=weights,
        levels_l=level,
        variances_l2=np.maximum(variance, 1e-6),
        at_d=until_d,
        looks_n=belief_any.looks_n,
        leak_fraction=belief_any.leak_fraction,
        bare=belief_any.bare,
    )


def looked(*, belief_any: Belief, look_any: Look, bed_any: Bed, tank_l: float) -> Belief:
    """What is believed after a line of the log.

    Parameters
    ----------
    belief_any : Belief
        [L] and [d].
    look_any : Look
        [L] and [d].
    bed_any : Bed
        [L/d] and [d].
    tank_l : float
        [L].

    Returns
    -------
    Belief
        as of the look; a look from before is taken as of now

    Raises
    ------
    Nothing
        Any level is taken; what does not fit is likely a fill, a leak or a misread.

    Notes
    -----
    Fitted here.

    References
    ----------
    Mixture Kalman filter (Chen & Liu 2000) with moments matched on a grid of thirsts.

    Examples
    --------
    >>> import numpy as np
    >>> none = np.array([])
    >>> bed = Bed(norms_l_per_d=none, grown_d=none, planted_d=none, ended_d=none,
    ...           loss_l_per_d=2.0)
    >>> belief = before_any(tank_l=40.0, bed_any=bed)
    >>> for day, level in enumerate([40.0, 38.0, 36.0, 34.0, 18.0]):
    ...     look = Look(at_d=float(day), level_l=level, off_l=1.0)
    ...     belief = looked(belief_any=belief, look_any=look, bed_any=bed, tank_l=40.0)
    >>> belief.leaks
    True
    """
    look = look_any
    found = waited(belief_any=belief_any, until_d=look.at_d, bed_any=bed_any, tank_l=tank_l)
    level, variance = found.levels_l, found.variances_l2
    at = look.at_d if found.at_d is None else max(found.at_d, look.at_d)
    if look.fresh:
        full = tank_l if look.level_l is None else look.level_l
        return _told(found, np.full(_GRID, full), np.full(_GRID, (0.03 * tank_l) ** 2), at)
    if look.added_l:
        level = np.minimum(level + look.added_l, 1.02 * tank_l)
        variance = variance + (_POURED_OFF * look.added_l) ** 2
    if look.level_l is None:
        return Belief(
            weights=found.weights, levels_l=level, variances_l2=variance, at_d=at,
            looks_n=found.looks_n, leak_fraction=found.leak_fraction, bare=found.bare,
        )  # fmt: skip
    return _read(found, level, variance, look, tank_l, at)


def thirst_of(*, belief_any: Belief) -> float:
    """How many times as thirsty as its bed a tank most likely is: the middle of what is believed.

    thirst = exp(median of the log thirsts by their weights)

    Parameters
    ----------
    belief_any : Belief
        Weights of the grid of thirsts, no unit.

    Returns
    -------
    float
        1 where it drinks as its bed should

    Raises
    ------
    Nothing
        Every belief has a middle.

    Notes
    -----
    The middle, as first passages are counted from it too.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> import numpy as np
    >>> none = np.array([])
    >>> bed = Bed(norms_l_per_d=none, grown_d=none, planted_d=none, ended_d=none,
    ...           loss_l_per_d=2.0)
    >>> round(thirst_of(belief_any=before_any(tank_l=40.0, bed_any=bed)), 2)
    1.0
    """
    total = np.cumsum(belief_any.weights)
    return float(np.exp(np.interp(0.5 * total[-1], total - belief_any.weights / 2, LOG_THIRST)))


def _told(found: Belief, level: Floats, variance: Floats, at: float) -> Belief:
    return Belief(
        weights=found.weights, levels_l=level, variances_l2=variance, at_d=at,
        looks_n=found.looks_n + 1, leak_fraction=0.0, bare=found.bare,
    )  # fmt: skip


def _looked_into(found: Belief, level: Floats, total: Floats, look: Look, at: float) -> Belief:
    """Whoever looked has read the level again: it is what it is. Of a leak it tells no thirst; else
    half of what it tells counts, as nobody drinks a tank in an hour."""
    read = look.level_l or 0.0
    told = np.full(_GRID, read), np.full(_GRID, max(look.off_l**2, 1e-6))
    if look.found == "leak":
        return _told(found, *told, at)
    fits = found.weights * np.exp(-0.5 * (read - level) ** 2 / total) / np.sqrt(total) + 1e-300
    weights = 0.5 * fits / fits.sum() + 0.5 * found.weights
    return _told(replace(found, weights=weights), *told, at)


def _read(
    found: Belief, level: Floats, variance: Floats, look: Look, tank_l: float, at: float
) -> Belief:
    """A reading weighed four ways: it fits, a fill was not logged, water was lost, a misread."""
    read = look.level_l or 0.0
    off = look.off_l**2
    total = variance + off
    first = found.looks_n == 0
    if look.found:
        return _looked_into(found, level, total, look, at)
    fits = np.exp(-0.5 * (read - level) ** 2 / total) / np.sqrt(2 * np.pi * total)
    rose = np.where(read > level, 0.9 / np.maximum(tank_l - level, 0.15 * tank_l), 0.0)
    fell = np.where(read < level, 1.0 / np.maximum(level, 0.1 * tank_l), 0.0)
    as_told = found.weights * (1 - _UNLOGGED - _LOST - _MISREAD) * fits
    # After a pour that was logged a second one is unlikely; before any reading nothing is known.
    filled = found.weights * rose * (0.0 if first else _UNLOGGED * (0.1 if look.added_l else 1.0))
    lost = found.weights * fell * (0.0 if first else _LOST)
    misread = found.weights * (_MISREAD / tank_l)
    weights = as_told + filled + lost + misread + 1e-300
    gain = variance / total
    fitted = level + gain * (read - level)
    moved = filled + lost
    mean = (as_told * fitted + moved * read + misread * level) / weights
    second = (
        as_told * (variance * (1 - gain) + fitted**2)
        + moved * (off + read**2)
        + misread * (variance + level**2)
    ) / weights
    expected = float((found.weights * level).sum())
    below = float((lost + np.where(read < level, misread, 0.0)).sum() / weights.sum())
    looks_like = expected - read > _LEAK_LEAST * tank_l and not look.added_l
    return Belief(
        weights=weights / weights.sum(),
        levels_l=mean,
        variances_l2=np.maximum(second - mean**2, 1e-6),
        at_d=at,
        looks_n=found.looks_n + 1,
        leak_fraction=below if looks_like else 0.0,
        bare=found.bare,
    )


@cache
def _kernel(steps: int) -> Floats | None:
    """How weight moves along the grid while the thirst drifts; None: not at all."""
    if steps <= 0:
        return None
    apart = (LOG_THIRST[:, None] - LOG_THIRST[None, :]) / (steps * _STEP)
    spread: Floats = np.exp(-0.5 * apart**2)
    spread /= spread.sum(axis=0)
    return spread
