"""Money and supplies: what a head costs, shares exact to the cent, how long a bottle lasts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calc.errors import Impossible, within


def cost_per_head(*, running_costs_any: Sequence[float], heads_n: int) -> float:
    """What a head has cost to grow, the tower apart.

    sum of running costs / heads

    Parameters
    ----------
    running_costs_any : sequence of float, shape (n,)
        Each, [any currency], 0 to 1,000,000.
    heads_n : int
        [-], 1 to 100,000.

    Returns
    -------
    float
        [the same currency]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Feed, seed and power; the tower's price is shown apart.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> round(cost_per_head(running_costs_any=[22.40, 9.00, 6.40], heads_n=35), 2)
    1.08
    """
    for cost in running_costs_any:
        within(name="cost", value=cost, low=0, high=1_000_000, unit="")
    within(name="heads", value=heads_n, low=1, high=100_000, unit="")
    return sum(running_costs_any) / heads_n


def shares_minor(*, total_minor_n: int, shares_n: Sequence[int]) -> tuple[int, ...]:
    """A bill divided by shares, to the last coin.

    each floor(total x share / shares); coins left go to the largest remainders, first come

    Parameters
    ----------
    total_minor_n : int
        To be shared, [smallest coins, as cents], 0 to 10^12.
    shares_n : sequence of int, shape (n,)
        Shares of each, [-], each 0 to 10,000, at least one above 0.

    Returns
    -------
    tuple[int, ...]
        [smallest coins], their sum is the total

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "no_shares": nobody has one.

    Notes
    -----
    Whole coins throughout: nothing is lost to rounding, nobody pays two coins more than another.

    References
    ----------
    Method of largest remainders (Hamilton); arithmetic.

    Examples
    --------
    >>> shares_minor(total_minor_n=14850, shares_n=[2, 9])
    (2700, 12150)
    """
    within(name="total", value=total_minor_n, low=0, high=10**12, unit="")
    for share in shares_n:
        within(name="shares", value=share, low=0, high=10_000, unit="")
    every = sum(shares_n)
    if every == 0:
        raise Impossible(reason="no_shares")
    owed = [total_minor_n * share // every for share in shares_n]
    rest = total_minor_n - sum(owed)
    order = sorted(range(len(owed)), key=lambda i: (-(total_minor_n * shares_n[i] % every), i))
    for place in order[:rest]:
        owed[place] += 1
    return tuple(owed)


def with_spare_n(*, people_n: int, each_n: int, spare_fraction: float) -> int:
    """Things to have ready for a group.

    people x each x (1 + spare), rounded up

    Parameters
    ----------
    people_n : int
        [-], 1 to 10,000.
    each_n : int
        Plugs, seeds or pots a head, [-], 1 to 1,000.
    spare_fraction : float
        [-], 0 to 2.

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
    Seeds: per plug as many as its crop takes.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> with_spare_n(people_n=27, each_n=9, spare_fraction=0.15)
    280
    """
    within(name="people", value=people_n, low=1, high=10_000, unit="")
    within(name="each", value=each_n, low=1, high=1000, unit="")
    within(name="spare", value=spare_fraction, low=0, high=2, unit="")
    # 27 x 9 x 1.15 is 279.45 whatever its nearest binary number.
    return math.ceil(round(people_n * each_n * (1 + spare_fraction), 6))


def uses_left_n(*, left_amount: float, planned_amount: float, use_amount: float) -> int:
    """How many more uses a bottle holds.

    floor((left - planned) / each use)

    Parameters
    ----------
    left_amount : float
        In the bottle or bag, [mL], [g] or [pieces], 0 to 1,000,000.
    planned_amount : float
        Kept for what is planned, as a full change, [the same unit], 0 to 1,000,000.
    use_amount : float
        Each time, [the same unit], above 0, to 1,000,000.

    Returns
    -------
    int
        [-], whole, rounded down

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Count top-ups and full changes.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> uses_left_n(left_amount=900, planned_amount=128, use_amount=48)
    16
    """
    within(name="left", value=left_amount, low=0, high=1_000_000, unit="")
    within(name="planned", value=planned_amount, low=0, high=1_000_000, unit="")
    within(name="use", value=use_amount, low=1e-06, high=1_000_000, unit="")
    return max(0, math.floor(round((left_amount - planned_amount) / use_amount, 9)))
