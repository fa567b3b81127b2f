"""Bringing a tank back to its line: levels, the mass balance, and scooping out.

Volumes are taken to add and mass to be kept (error below 1 % for nutrient solutions); EC counts
as proportional to the salts, good to about 5 % (value from memory).
"""

from __future__ import annotations

from calc.errors import Impossible, within


def level_from_depth(*, depth_cm: float, full_depth_cm: float, tank_l: float) -> float:
    """Water in a straight-sided tank from its depth.

    level = tank x depth / depth at the full line

    Parameters
    ----------
    depth_cm : float
        Depth of the water, [cm], 0 to `full_depth_cm`.
    full_depth_cm : float
        Depth at the full line, [cm], 1 to 500.
    tank_l : float
        Volume at the full line, [L], above 0, to 10,000.

    Returns
    -------
    float
        [L]

    Raises
    ------
    OutOfRange
        A depth below 0 or above the full line, or another parameter outside its range.

    Notes
    -----
    Straight sides; a tapered tank needs jug marks.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> level_from_depth(depth_cm=25.4, full_depth_cm=38.1, tank_l=60.6)
    40.4
    """
    within(name="full depth", value=full_depth_cm, low=1, high=500, unit="cm")
    within(name="tank", value=tank_l, low=0.01, high=10_000, unit="L")
    within(name="depth", value=depth_cm, low=0, high=full_depth_cm, unit="cm")
    return tank_l * depth_cm / full_depth_cm


def filled_ec(
    *, level_l: float, ec_ms_per_cm: float, added_l: float, added_ec_ms_per_cm: float
) -> float:
    """Reading after water or solution is added.

    EC = (level x EC + added x EC of what is added) / (level + added)

    Parameters
    ----------
    level_l : float
        In the tank now, [L], 0 to 10,000.
    ec_ms_per_cm : float
        Its EC, [mS/cm at 25 C], 0 to 20.
    added_l : float
        [L], 0 to 10,000.
    added_ec_ms_per_cm : float
        EC of what is added, [mS/cm at 25 C], 0 to 20.

    Returns
    -------
    float
        [mS/cm at 25 C]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "no_water": nothing in the tank and nothing added.

    Notes
    -----
    Mass is conserved and volumes add.

    References
    ----------
    Mass balance.

    Examples
    --------
    >>> filled_ec(level_l=38, ec_ms_per_cm=2.1, added_l=38, added_ec_ms_per_cm=0.3)
    1.2
    """
    within(name="level", value=level_l, low=0, high=10_000, unit="L")
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="water added", value=added_l, low=0, high=10_000, unit="L")
    within(name="EC added", value=added_ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    total_l = level_l + added_l
    if total_l == 0:
        raise Impossible(reason="no_water")
    return (level_l * ec_ms_per_cm + added_l * added_ec_ms_per_cm) / total_l


def feed_for_rise(
    *, volume_l: float, rise_ms_per_cm: float, gain_ms_per_cm: float, rate_per_l: float
) -> float:
    """Amount of one part that lifts the reading of a volume.

    amount = rise / (EC gain at label / label rate) x volume

    Parameters
    ----------
    volume_l : float
        The tank after filling, [L], 0 to 10,000.
    rise_ms_per_cm : float
        [mS/cm], 0 to 5.
    gain_ms_per_cm : float
        What the feed adds at label rate, [mS/cm], above 0, to 10.
    rate_per_l : float
        Label rate of the part, [mL/L] or [g/L], 0 to 50.

    Returns
    -------
    float
        [mL] or [g]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    The gain measured in the grower's own tank is the best estimate of all.

    References
    ----------
    Mass balance; slope as printed on the label or measured.

    Examples
    --------
    >>> round(feed_for_rise(
    ...     volume_l=60.6, rise_ms_per_cm=0.5, gain_ms_per_cm=1.6, rate_per_l=2.0), 3)
    37.875
    """
    within(name="volume", value=volume_l, low=0, high=10_000, unit="L")
    within(name="EC rise", value=rise_ms_per_cm, low=0, high=5, unit="mS/cm")
    within(name="EC gain", value=gain_ms_per_cm, low=0.05, high=10, unit="mS/cm")
    within(name="label rate", value=rate_per_l, low=0, high=50, unit="per L")
    return rise_ms_per_cm / (gain_ms_per_cm / rate_per_l) * volume_l if rate_per_l else 0.0


def swap_volume(
    *,
    level_l: float,
    ec_ms_per_cm: float,
    tank_l: float,
    target_ec_ms_per_cm: float,
    water_ec_ms_per_cm: float,
) -> float:
    """Solution to scoop out so that filling to the line with plain water meets the target.

    swap = (level x EC + (tank - level) x water's EC - tank x target) / (EC - water's EC)

    Parameters
    ----------
    level_l : float
        In the tank now, [L], 0 to `tank_l`.
    ec_ms_per_cm : float
        Its EC, [mS/cm at 25 C], above the water's, to 20.
    tank_l : float
        Volume at the full line, [L], above 0, to 10,000.
    target_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 5.
    water_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 5, below the target.

    Returns
    -------
    float
        [L], 0 when plain water alone brings it down far enough.

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "water_over_target": the water itself reads at or over the target.

    Notes
    -----
    Scoop out first, then fill: what is scooped has the tank's EC of now.

    References
    ----------
    Mass balance.

    Examples
    --------
    >>> round(swap_volume(level_l=16, ec_ms_per_cm=2.8, tank_l=16, target_ec_ms_per_cm=1.7,
    ...                   water_ec_ms_per_cm=0.4), 2)
    7.33
    """
    within(name="tank", value=tank_l, low=0.01, high=10_000, unit="L")
    within(name="level", value=level_l, low=0, high=tank_l, unit="L")
    within(name="EC", value=ec_ms_per_cm, low=0, high=20, unit="mS/cm")
    within(name="target EC", value=target_ec_ms_per_cm, low=0, high=5, unit="mS/cm")
    within(name="water EC", value=water_ec_ms_per_cm, low=0, high=5, unit="mS/cm")
    if water_ec_ms_per_cm >= target_ec_ms_per_cm:
        raise Impossible(reason="water_over_target")
    salts = level_l * ec_ms_per_cm + (tank_l - level_l) * water_ec_ms_per_cm
    excess = salts - tank_l * target_ec_ms_per_cm
    return max(0.0, excess) / (ec_ms_per_cm - water_ec_ms_per_cm) if excess > 0 else 0.0


def water_kg(*, volume_l: float) -> float:
    """What water weighs.

    kg = L

    Parameters
    ----------
    volume_l : float
        [L], 0 to 10,000.

    Returns
    -------
    float
        [kg]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    1 kg/L, 8.345 lb per US gallon at 15 C; the tower's own weight comes on top.

    References
    ----------
    Density of water.

    Examples
    --------
    >>> water_kg(volume_l=37.85)
    37.85
    """
    within(name="volume", value=volume_l, low=0, high=10_000, unit="L")
    return volume_l
