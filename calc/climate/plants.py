"""A plant's share of what the air takes, and the water behind a harvest."""

from __future__ import annotations

from calc.errors import within


def crop_coefficient(
    *,
    kc_fractions: tuple[float, float, float],
    stages_d: tuple[float, float, float, float],
    day_n: float,
) -> float:
    """How much a crop drinks against the reference, on a day of its life.

    flat, rising, flat, falling, straight lines between

    Parameters
    ----------
    kc_fractions : tuple of float, shape (3,)
        Of young, full and old plants, [-], each 0.1 to 1.5.
    stages_d : tuple of float, shape (4,)
        Length of initial, growing, full and late stage, [d], each above 0, to 365.
    day_n : float
        Since planting, [d], 0 to the stages' sum.

    Returns
    -------
    float
        [-]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Field crops; a tower's side light makes it more. Replace by the member's own use.

    References
    ----------
    FAO-56, tables 11 and 12, figure 25.

    Examples
    --------
    >>> crop_coefficient(kc_fractions=(0.7, 1.0, 0.95), stages_d=(20, 30, 15, 10), day_n=35)
    0.85
    """
    for kc in kc_fractions:
        within(name="crop coefficient", value=kc, low=0.1, high=1.5, unit="")
    for stage in stages_d:
        within(name="stage", value=stage, low=0.1, high=365, unit="d")
    within(name="day", value=day_n, low=0, high=sum(stages_d), unit="d")
    young, full, old = kc_fractions
    first, second, third, last = stages_d
    if day_n <= first:
        return young
    if day_n <= first + second:
        return young + (full - young) * (day_n - first) / second
    if day_n <= first + second + third:
        return full
    return full + (old - full) * (day_n - first - second - third) / last


def plant_use_l_per_d(*, et0_mm_per_d: float, kc_fraction: float, ground_m2: float) -> float:
    """Water a plant takes in a day.

    L/d = ET0 x Kc x area

    Parameters
    ----------
    et0_mm_per_d : float
        [mm/d], 0 to 20.
    kc_fraction : float
        [-], 0.1 to 1.5.
    ground_m2 : float
        That its leaves shade, [m2], 0.001 to 10.

    Returns
    -------
    float
        [L/d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    A start only: a tower catches side light; its own top-ups tell better.

    References
    ----------
    FAO-56, equation 58; 1 mm on 1 m2 is 1 L.

    Examples
    --------
    >>> round(plant_use_l_per_d(et0_mm_per_d=3.88, kc_fraction=1.0, ground_m2=0.09), 3)
    0.349
    """
    within(name="evapotranspiration", value=et0_mm_per_d, low=0, high=20, unit="mm/d")
    within(name="crop coefficient", value=kc_fraction, low=0.1, high=1.5, unit="")
    within(name="area", value=ground_m2, low=0.001, high=10, unit="m2")
    return et0_mm_per_d * kc_fraction * ground_m2


def water_for_yield_l(*, fresh_g: float, yield_g_per_l: float) -> float:
    """Water behind a harvest.

    L = fresh mass / yield per litre

    Parameters
    ----------
    fresh_g : float
        Harvest, [g], 0 to 100,000.
    yield_g_per_l : float
        Fresh mass for a litre of water, [g/L], 1 to 200.

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
    Lettuce under lamps: 71 g/L measured, up to 75; in a greenhouse about 50.

    References
    ----------
    Gavhane et al., Sci. Rep. 2023, doi 10.1038/s41598-023-36997-2; Pennisi et al.,
    Sci. Rep. 9:14127, 2019; Barbosa et al., IJERPH 12:6879, 2015 (20 L/kg).

    Examples
    --------
    >>> round(water_for_yield_l(fresh_g=393, yield_g_per_l=71), 3)
    5.535
    """
    within(name="harvest", value=fresh_g, low=0, high=100_000, unit="g")
    within(name="yield", value=yield_g_per_l, low=1, high=200, unit="g/L")
    return fresh_g / yield_g_per_l
