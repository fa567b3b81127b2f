"""Mixing, diluting, draining and replacing. Mass is kept and volumes add."""

from __future__ import annotations

from calc.errors import Impossible, within


def mixed(
    *, first_l: float, first_ec_ms_per_cm: float, second_l: float, second_ec_ms_per_cm: float
) -> float:
    """Reading of two solutions poured together.

    EC = (V1 EC1 + V2 EC2) / (V1 + V2)

    Parameters
    ----------
    first_l : float
        [L], 0 to 10,000.
    first_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.
    second_l : float
        [L], 0 to 10,000.
    second_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.

    Returns
    -------
    float
        [mS/cm at 25 C]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "no_water": both volumes are 0.

    Notes
    -----
    Mass is conserved and volumes add; the error is below 1 % for nutrient solutions. Any
    concentration [mg/L] mixes the same way.

    References
    ----------
    Mass balance.

    Examples
    --------
    >>> mixed(first_l=10, first_ec_ms_per_cm=2.0, second_l=5, second_ec_ms_per_cm=0.5)
    1.5
    """
    within(name="volume", value=first_l, low=0, high=10_000, unit="L")
    within(name="EC", value=first_ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="volume", value=second_l, low=0, high=10_000, unit="L")
    within(name="EC", value=second_ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    total_l = first_l + second_l
    if total_l == 0:
        raise Impossible(reason="no_water")
    return (first_l * first_ec_ms_per_cm + second_l * second_ec_ms_per_cm) / total_l


def water_to_dilute(
    *, volume_l: float, ec_ms_per_cm: float, target_ec_ms_per_cm: float, water_ec_ms_per_cm: float
) -> float:
    """Plain water that brings a solution down to a target.

    Vw = V (EC - target) / (target - water's EC)

    Parameters
    ----------
    volume_l : float
        [L], 0 to 10,000.
    ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.
    target_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to `ec_ms_per_cm`.
    water_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 5, below the target.

    Returns
    -------
    float
        [L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "water_over_target": water at or over the target dilutes nothing.

    Notes
    -----
    The volume grows; `topup.swap_volume` keeps it at the line.

    References
    ----------
    Mass balance.

    Examples
    --------
    >>> water_to_dilute(volume_l=20, ec_ms_per_cm=2.4, target_ec_ms_per_cm=1.6,
    ...                 water_ec_ms_per_cm=0.0)
    9.999999999999996
    """
    within(name="volume", value=volume_l, low=0, high=10_000, unit="L")
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="target EC", value=target_ec_ms_per_cm, low=0, high=ec_ms_per_cm, unit="mS/cm")
    within(name="water EC", value=water_ec_ms_per_cm, low=0, high=5, unit="mS/cm")
    if water_ec_ms_per_cm >= target_ec_ms_per_cm:
        raise Impossible(reason="water_over_target")
    fall = ec_ms_per_cm - target_ec_ms_per_cm
    return volume_l * fall / (target_ec_ms_per_cm - water_ec_ms_per_cm)


def fill_ec_for_target(
    *, level_l: float, ec_ms_per_cm: float, tank_l: float, target_ec_ms_per_cm: float
) -> float:
    """Strength the refill must have to meet a target at the line.

    EC fill = (target x tank - level x EC) / (tank - level)

    Parameters
    ----------
    level_l : float
        In the tank now, [L], 0 to below `tank_l`.
    ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.
    tank_l : float
        Volume at the full line, [L], 0.01 to 10,000.
    target_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 5.

    Returns
    -------
    float
        [mS/cm at 25 C]; below the water's own EC (or below 0) the target cannot be reached without
        draining.

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "no_room": the tank is full.

    Notes
    -----
    Compare the result with the water's EC to see whether it can be mixed.

    References
    ----------
    Mass balance.

    Examples
    --------
    >>> ec = fill_ec_for_target(
    ...     level_l=30, ec_ms_per_cm=1.6, tank_l=40, target_ec_ms_per_cm=1.5
    ... )
    >>> round(ec, 9)
    1.2
    """
    within(name="tank", value=tank_l, low=0.01, high=10_000, unit="L")
    within(name="level", value=level_l, low=0, high=tank_l, unit="L")
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="target EC", value=target_ec_ms_per_cm, low=0, high=5, unit="mS/cm")
    if level_l == tank_l:
        raise Impossible(reason="no_room")
    return (target_ec_ms_per_cm * tank_l - ec_ms_per_cm * level_l) / (tank_l - level_l)


def exchange_share(
    *, ec_ms_per_cm: float, target_ec_ms_per_cm: float, fill_ec_ms_per_cm: float
) -> float:
    """Share of a full tank to drain and replace to meet a target.

    f = (EC - target) / (EC - EC fill)

    Parameters
    ----------
    ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.
    target_ec_ms_per_cm : float
        [mS/cm at 25 C], between the two others.
    fill_ec_ms_per_cm : float
        EC of what replaces it, [mS/cm at 25 C], 0 to 20.

    Returns
    -------
    float
        [-], 0 to 1

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "fill_over_target": replacing all of it would not reach the target.

    Notes
    -----
    Works downwards and upwards.

    References
    ----------
    Mass balance.

    Examples
    --------
    >>> exchange_share(ec_ms_per_cm=3.0, target_ec_ms_per_cm=2.0, fill_ec_ms_per_cm=0.5)
    0.4
    """
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="target EC", value=target_ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="EC of the fill", value=fill_ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    share = 0.0
    if ec_ms_per_cm != target_ec_ms_per_cm:
        if ec_ms_per_cm == fill_ec_ms_per_cm:
            raise Impossible(reason="fill_over_target")
        share = (ec_ms_per_cm - target_ec_ms_per_cm) / (ec_ms_per_cm - fill_ec_ms_per_cm)
    if not 0 <= share <= 1:
        raise Impossible(reason="fill_over_target")
    return share


def ec_after_exchanges(
    *, ec_ms_per_cm: float, fill_ec_ms_per_cm: float, share_fraction: float, times_n: int
) -> float:
    """Reading after several equal drain-and-replace rounds.

    EC k = EC fill + (EC - EC fill) (1 - f)^k

    Parameters
    ----------
    ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.
    fill_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 20.
    share_fraction : float
        Share replaced each time, [-], 0 to 1.
    times_n : int
        [-], 0 to 1,000.

    Returns
    -------
    float
        [mS/cm at 25 C]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Well mixed between rounds.

    References
    ----------
    Mass balance.

    Examples
    --------
    >>> ec_after_exchanges(ec_ms_per_cm=2.8, fill_ec_ms_per_cm=0.4, share_fraction=0.25, times_n=3)
    1.4125
    """
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="EC of the fill", value=fill_ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="share", value=share_fraction, low=0, high=1, unit="of the tank")
    within(name="rounds", value=times_n, low=0, high=1000, unit="times")
    return fill_ec_ms_per_cm + (ec_ms_per_cm - fill_ec_ms_per_cm) * (1 - share_fraction) ** times_n
