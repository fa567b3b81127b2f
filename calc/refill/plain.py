"""How fast a tank empties and when it reaches a mark, at the plain rate of the last readings."""

from __future__ import annotations

from calc.errors import Impossible, within


def daily_use_l(*, start_l: float, end_l: float, added_l: float, days_d: float) -> float:
    """Plain rate of use between two readings.

    use = (start - end + added) / days

    Parameters
    ----------
    start_l : float
        Level at the first reading, [L], 0 to 10,000.
    end_l : float
        Level at the last reading, [L], 0 to 10,000.
    added_l : float
        Top-ups between the two, [L], 0 to 100,000.
    days_d : float
        Time between them, [d], 0.01 to 3,650.

    Returns
    -------
    float
        [L/d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "level_rose": more in the tank than was logged: rain, or a fill nobody logged.

    Notes
    -----
    Never fitted to a level that rose.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> daily_use_l(start_l=40, end_l=31, added_l=0, days_d=3)
    3.0
    """
    within(name="level", value=start_l, low=0, high=10_000, unit="L")
    within(name="level", value=end_l, low=0, high=10_000, unit="L")
    within(name="water added", value=added_l, low=0, high=100_000, unit="L")
    within(name="days", value=days_d, low=0.01, high=3650, unit="d")
    used_l = start_l - end_l + added_l
    if used_l < 0:
        raise Impossible(reason="level_rose")
    return used_l / days_d


def days_to_mark(*, level_l: float, mark_l: float, use_l_per_d: float) -> float:
    """Days until the level reaches a mark.

    days = (level - mark) / use

    Parameters
    ----------
    level_l : float
        [L], 0 to 10,000.
    mark_l : float
        [L], 0 to 10,000.
    use_l_per_d : float
        [L/d], above 0, to 1,000.

    Returns
    -------
    float
        [d], 0 when the level is at or below the mark

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Give people a range: use swings by 20 % and more.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> days_to_mark(level_l=34, mark_l=20, use_l_per_d=3.5)
    4.0
    """
    within(name="level", value=level_l, low=0, high=10_000, unit="L")
    within(name="mark", value=mark_l, low=0, high=10_000, unit="L")
    within(name="use", value=use_l_per_d, low=0.001, high=1000, unit="L/d")
    return max(0.0, level_l - mark_l) / use_l_per_d


def water_to_line_l(*, tank_l: float, level_l: float) -> float:
    """Water that brings the tank back to its line.

    water = tank - level

    Parameters
    ----------
    tank_l : float
        Volume at the full line, [L], 0.01 to 10,000.
    level_l : float
        [L], 0 to `tank_l`.

    Returns
    -------
    float
        [L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Read and fill with the pump off and the tower drained back.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> water_to_line_l(tank_l=40, level_l=22)
    18
    """
    within(name="tank", value=tank_l, low=0.01, high=10_000, unit="L")
    within(name="level", value=level_l, low=0, high=tank_l, unit="L")
    return tank_l - level_l
