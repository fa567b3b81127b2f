"""What a bed of plants drinks, day by day, as its plants grow up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SEEDLING_FRACTION = 0.2  # of a grown plant's thirst: common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """The plants of a tower.

    norms_l_per_d : of each plant when grown, [L/d]; grown_d : days in the port until it is, [d];
    planted_d, ended_d : the days it moved in and was taken, counted like every other day, [d]
    (ended infinite while it grows); loss_l_per_d : what an open tower loses beside them, [L/d].
    """

    norms_l_per_d: Floats
    grown_d: Floats
    planted_d: Floats
    ended_d: Floats
    loss_l_per_d: float


def bed_thirst_l_per_d(*, bed_any: Bed, days_d: Floats) -> Floats:
    """What a bed drinks on each of some days, in ordinary weather.

    use = loss + sum(norm x (0.2 + 0.8 x min(1, age / grown))), a plant that is not there nothing

    Parameters
    ----------
    bed_any : Bed
        The plants, [L/d] and [d].
    days_d : array
        Days, counted like the bed's own, [d].

    Returns
    -------
    array
        One for each day, [L/d]

    Raises
    ------
    Nothing
        Days before any planting drink the loss alone.

    Notes
    -----
    A seedling drinks a fifth of a grown plant: common practice, no source. Weather, cuts and the
    grower's own plants are left to whoever compares it with readings.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> import numpy as np
    >>> bed = Bed(norms_l_per_d=np.array([0.2, 0.2]), grown_d=np.array([40.0, 40.0]),
    ...           planted_d=np.array([0.0, 100.0]), ended_d=np.array([150.0, np.inf]),
    ...           loss_l_per_d=0.1)
    >>> days = np.array([0.0, 20.0, 140.0, 200.0])
    >>> bed_thirst_l_per_d(bed_any=bed, days_d=days).round(3).tolist()
    [0.14, 0.22, 0.5, 0.3]
    """
    days = np.asarray(days_d, dtype=np.float64)
    if bed_any.norms_l_per_d.size == 0:
        return np.full(days.shape, bed_any.loss_l_per_d)
    age = (days[:, None] - bed_any.planted_d) / bed_any.grown_d
    share = SEEDLING_FRACTION + (1 - SEEDLING_FRACTION) * np.clip(age, 0.0, 1.0)
    there = (age >= 0) & (days[:, None] < bed_any.ended_d)
    found: Floats = np.where(there, share, 0.0) @ bed_any.norms_l_per_d + bed_any.loss_l_per_d
    return found
