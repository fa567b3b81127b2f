"""How much of each part of a feed, and what the meter should read afterwards.

A feed has any number of parts, each with a label rate in mL or g per litre. Parts always keep the
label's ratio.
"""

from __future__ import annotations

from collections.abc import Sequence

from calc.errors import Impossible, within


def part_amount(*, volume_l: float, rate_per_l: float, strength_fraction: float) -> float:
    """Amount of one part for a volume of new solution.

    amount = volume x label rate x strength

    Parameters
    ----------
    volume_l : float
        New water, [L], 0 to 10,000.
    rate_per_l : float
        Label rate at strength 1, [mL/L] or [g/L], 0 to 50.
    strength_fraction : float
        Share of the label rate, [-], 0 to 2.

    Returns
    -------
    float
        [mL] or [g], as the rate has it.

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Dosing only the water added, in proportion to it, is common practice without a source; a 2022
    review supports matching the refill to what the plants took up (Langenfeld 2022).

    References
    ----------
    Langenfeld et al., Principles of Nutrient and Water Management for Indoor Agriculture,
    Sustainability 14(16):10204, 2022.

    Examples
    --------
    >>> part_amount(volume_l=60.6, rate_per_l=2.0, strength_fraction=0.5)
    60.6
    """
    within(name="volume", value=volume_l, low=0, high=10_000, unit="L")
    within(name="label rate", value=rate_per_l, low=0, high=50, unit="per L")
    within(name="strength", value=strength_fraction, low=0, high=2, unit="x label")
    return volume_l * rate_per_l * strength_fraction


def mixed_ec(
    *, water_ec_ms_per_cm: float, gain_ms_per_cm: float, strength_fraction: float
) -> float:
    """Reading to expect from fresh water with feed at a strength.

    EC = water's EC + gain at label rate x strength

    Parameters
    ----------
    water_ec_ms_per_cm : float
        The water's own EC, [mS/cm at 25 C], 0 to 5.
    gain_ms_per_cm : float
        What the feed adds at strength 1, [mS/cm], 0 to 10.
    strength_fraction : float
        Share of the label rate, [-], 0 to 2.

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
    EC is taken as linear in strength, good to about 5 % (value from memory).

    References
    ----------
    Common practice, no source: the label's own EC gain, scaled.

    Examples
    --------
    >>> mixed_ec(water_ec_ms_per_cm=0.4, gain_ms_per_cm=1.6, strength_fraction=0.5)
    1.2000000000000002
    """
    within(name="water EC", value=water_ec_ms_per_cm, low=0, high=5, unit="mS/cm")
    within(name="EC gain", value=gain_ms_per_cm, low=0, high=10, unit="mS/cm")
    within(name="strength", value=strength_fraction, low=0, high=2, unit="x label")
    return water_ec_ms_per_cm + gain_ms_per_cm * strength_fraction


def strength_for_ec(
    *, target_ec_ms_per_cm: float, water_ec_ms_per_cm: float, gain_ms_per_cm: float
) -> float:
    """Share of the label rate that brings fresh water to a target reading.

    strength = (target - water's EC) / gain

    Parameters
    ----------
    target_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 5.
    water_ec_ms_per_cm : float
        [mS/cm at 25 C], 0 to 5.
    gain_ms_per_cm : float
        What the feed adds at strength 1, [mS/cm], above 0, to 10.

    Returns
    -------
    float
        [-], 0 when the water is at the target already.

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "water_over_target": the water alone reads more than the target.

    Notes
    -----
    The inverse of `mixed_ec`, with its accuracy.

    References
    ----------
    Mass balance.

    Examples
    --------
    >>> round(strength_for_ec(
    ...     target_ec_ms_per_cm=1.7, water_ec_ms_per_cm=0.4, gain_ms_per_cm=1.6), 4)
    0.8125
    """
    within(name="target EC", value=target_ec_ms_per_cm, low=0, high=5, unit="mS/cm")
    within(name="water EC", value=water_ec_ms_per_cm, low=0, high=5, unit="mS/cm")
    within(name="EC gain", value=gain_ms_per_cm, low=0.05, high=10, unit="mS/cm")
    if water_ec_ms_per_cm > target_ec_ms_per_cm:
        raise Impossible(reason="water_over_target")
    return (target_ec_ms_per_cm - water_ec_ms_per_cm) / gain_ms_per_cm


def evened_out(
    *, poured_amounts: Sequence[float], label_rates_per_l: Sequence[float]
) -> tuple[float, ...]:
    """What to add of each part so that the label's ratio holds again; nothing is taken out.

    add_i = max over j (poured_j / rate_j) x rate_i - poured_i

    Parameters
    ----------
    poured_amounts : sequence of float, shape (n,)
        Already in the tank, [mL] or [g], each 0 to 20,000, at least one above 0.
    label_rates_per_l : sequence of float, shape (n,)
        Label rates in the same order, [mL/L] or [g/L], each above 0, to 50.

    Returns
    -------
    tuple of float, shape (n,)
        [mL] or [g]; 0 for the part that was poured the most.

    Raises
    ------
    OutOfRange
        An amount or rate outside its range.
    Impossible
        "parts_differ": the two sequences differ in length; "nothing_poured".

    Notes
    -----
    Parts are matched because each carries salts that the other lacks; dilute afterwards when the
    whole is too strong.

    References
    ----------
    The label's ratio; arithmetic.

    Examples
    --------
    >>> evened_out(poured_amounts=[140, 78], label_rates_per_l=[2, 2])
    (0.0, 62.0)
    """
    if len(poured_amounts) != len(label_rates_per_l):
        raise Impossible(reason="parts_differ")
    for amount, rate in zip(poured_amounts, label_rates_per_l, strict=True):
        within(name="amount", value=amount, low=0, high=20_000, unit="mL")
        within(name="label rate", value=rate, low=0.001, high=50, unit="per L")
    most = max(a / r for a, r in zip(poured_amounts, label_rates_per_l, strict=True))
    if most == 0:
        raise Impossible(reason="nothing_poured")
    return tuple(
        max(0.0, most * r - a) for a, r in zip(poured_amounts, label_rates_per_l, strict=True)
    )
