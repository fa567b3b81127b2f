"""How many ports, for how long, and how far apart."""

from __future__ import annotations

import math

from calc.errors import within


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
