"""Bleach for an empty tank: how much, how strong, and nothing beside it."""

from __future__ import annotations

from calc.errors import within


def bleach_at_rate_ml(
    *, tank_l: float, rate_ml_per_l: float, rate_at_percent: float, label_percent: float
) -> float:
    """Bleach for a tank by a rate that somebody answers for.

    mL = rate x L x strength of the rate / strength of the label

    Parameters
    ----------
    tank_l : float
        Water it goes into, [L], 0.1 to 10,000.
    rate_ml_per_l : float
        The coach's rate, [mL/L], 0.1 to 20.
    rate_at_percent : float
        Strength of bleach that the rate is for, [% w/v], 1 to 15.
    label_percent : float
        Sodium hypochlorite on the label, [% w/v], 1 to 15.

    Returns
    -------
    float
        [mL]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    An empty tank, plants out, plain unscented bleach. The rate is a coach's: there is no default.

    References
    ----------
    One tablespoon per US gallon for channels: Iowa State University (copy). Scaling: arithmetic.

    Examples
    --------
    >>> round(bleach_at_rate_ml(
    ...     tank_l=37.85, rate_ml_per_l=3.906, rate_at_percent=6, label_percent=8.25), 1)
    107.5
    """
    within(name="volume", value=tank_l, low=0.1, high=10_000, unit="L")
    within(name="bleach rate", value=rate_ml_per_l, low=0.1, high=20, unit="mL/L")
    within(name="bleach strength", value=rate_at_percent, low=1, high=15, unit="%")
    within(name="bleach strength", value=label_percent, low=1, high=15, unit="%")
    return rate_ml_per_l * tank_l * rate_at_percent / label_percent


def bleach_for_chlorine_ml(*, volume_l: float, chlorine_ppm: float, label_percent: float) -> float:
    """Bleach that makes a strength of chlorine.

    mL = L x ppm / (10 x %)

    Parameters
    ----------
    volume_l : float
        [L], 0.1 to 10,000.
    chlorine_ppm : float
        Wanted, [ppm], 1 to 10,000.
    label_percent : float
        Sodium hypochlorite on the label, [% w/v], 1 to 15.

    Returns
    -------
    float
        [mL]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Fresh bleach; it loses strength by months.

    References
    ----------
    Formula (w/v).

    Examples
    --------
    >>> round(bleach_for_chlorine_ml(volume_l=20, chlorine_ppm=200, label_percent=6), 2)
    66.67
    """
    within(name="volume", value=volume_l, low=0.1, high=10_000, unit="L")
    within(name="chlorine", value=chlorine_ppm, low=1, high=10_000, unit="ppm")
    within(name="bleach strength", value=label_percent, low=1, high=15, unit="%")
    return volume_l * chlorine_ppm / (10 * label_percent)


def chlorine_ppm(*, bleach_ml: float, water_ml: float, label_percent: float) -> float:
    """Chlorine in a mix of bleach and water.

    ppm = 10000 x % x b / (b + w)

    Parameters
    ----------
    bleach_ml : float
        [mL], 0.1 to 100,000.
    water_ml : float
        [mL], 0 to 10,000,000.
    label_percent : float
        Sodium hypochlorite on the label, [% w/v], 1 to 15.

    Returns
    -------
    float
        [ppm]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Five tablespoons per US gallon is a rate for surfaces, never for a tank.

    References
    ----------
    CDC cleaning with bleach, 2020 (5 Tbsp per gal, 4 tsp per quart); CDC 2008 (1:500 gives over
    100 ppm).

    Examples
    --------
    >>> round(chlorine_ppm(bleach_ml=73.934, water_ml=3785.41, label_percent=6))
    1149
    """
    within(name="bleach", value=bleach_ml, low=0.1, high=100_000, unit="mL")
    within(name="water", value=water_ml, low=0, high=10_000_000, unit="mL")
    within(name="bleach strength", value=label_percent, low=1, high=15, unit="%")
    return 10_000 * label_percent * bleach_ml / (bleach_ml + water_ml)


def part_of_mix_l(*, strong_percent: float, wanted_percent: float, volume_l: float) -> float:
    """How much of a strong liquid makes a weaker mix.

    V strong = V wanted% / strong%

    Parameters
    ----------
    strong_percent : float
        What there is, [%], 0.1 to 100.
    wanted_percent : float
        [%], 0.01 to `strong_percent`.
    volume_l : float
        Of the mix, [L], 0.01 to 1,000.

    Returns
    -------
    float
        [L] of the strong one; the rest is water

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Volumes add. For trays and tools one part of bleach in ten.

    References
    ----------
    University of Minnesota and Iowa State sheets (10 % bleach); arithmetic.

    Examples
    --------
    >>> part_of_mix_l(strong_percent=100, wanted_percent=10, volume_l=5)
    0.5
    """
    within(name="strength", value=strong_percent, low=0.1, high=100, unit="%")
    within(name="strength", value=wanted_percent, low=0.01, high=strong_percent, unit="%")
    within(name="volume", value=volume_l, low=0.01, high=1000, unit="L")
    return volume_l * wanted_percent / strong_percent
