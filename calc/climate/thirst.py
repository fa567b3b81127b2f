"""Reference evapotranspiration of a day: from full weather, or from warmth alone."""

from __future__ import annotations

import math

from calc.climate.sun import sun
from calc.climate.vapour import mean_saturation_kpa, psychrometric_kpa_per_c, slope_kpa_per_c
from calc.errors import Impossible, within

_STEFAN_MJ = 4.903e-9
_MM_PER_MJ = 0.408
_KELVIN = 273.16
_DARK_MJ = 0.05


def wind_at_2m(*, wind_m_per_s: float, height_m: float) -> float:
    """Wind at two metres from a gauge higher up.

    u2 = u 4.87 / ln(67.8 z - 5.42)

    Parameters
    ----------
    wind_m_per_s : float
        [m/s], 0 to 60.
    height_m : float
        Of the gauge, [m], 1 to 100.

    Returns
    -------
    float
        [m/s]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Over short grass.

    References
    ----------
    FAO-56, equation 47; example 14.

    Examples
    --------
    >>> round(wind_at_2m(wind_m_per_s=3.2, height_m=10), 1)
    2.4
    """
    within(name="wind", value=wind_m_per_s, low=0, high=60, unit="m/s")
    within(name="height", value=height_m, low=1, high=100, unit="m")
    return wind_m_per_s * 4.87 / math.log(67.8 * height_m - 5.42)


def long_wave_mj_per_m2_d(
    *,
    t_max_c: float,
    t_min_c: float,
    vapour_kpa: float,
    ground_mj_per_m2_d: float,
    clear_mj_per_m2_d: float,
) -> float:
    """Warmth that the ground loses to the sky.

    Rnl = 4.903e-9 (Tmax^4 + Tmin^4)/2 (0.34 - 0.14 sqrt(ea)) (1.35 Rs/Rso - 0.35)

    Parameters
    ----------
    t_max_c : float
        Warmest of the day, [C], -30 to 60, at least `t_min_c`.
    t_min_c : float
        Coldest of the day, [C], -40 to 60.
    vapour_kpa : float
        In the air, [kPa], 0 to 8.
    ground_mj_per_m2_d : float
        That reaches the ground, [MJ/m2/d], 0 to 45.
    clear_mj_per_m2_d : float
        On the same day without a cloud, [MJ/m2/d], above 0, to 45.

    Returns
    -------
    float
        [MJ/m2/d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Rs/Rso counts as 1 at most, as FAO-56 has it.

    References
    ----------
    FAO-56, equation 39; example 11.

    Examples
    --------
    >>> round(long_wave_mj_per_m2_d(t_max_c=25.1, t_min_c=19.1, vapour_kpa=2.1,
    ...     ground_mj_per_m2_d=14.5, clear_mj_per_m2_d=18.8), 1)
    3.5
    """
    within(name="temperature", value=t_min_c, low=-40, high=60, unit="C")
    within(name="temperature", value=t_max_c, low=t_min_c, high=60, unit="C")
    within(name="vapour", value=vapour_kpa, low=0, high=8, unit="kPa")
    within(name="radiation", value=ground_mj_per_m2_d, low=0, high=45, unit="MJ/m2/d")
    within(name="radiation", value=clear_mj_per_m2_d, low=0.01, high=45, unit="MJ/m2/d")
    warm = ((t_max_c + _KELVIN) ** 4 + (t_min_c + _KELVIN) ** 4) / 2
    cloud = 1.35 * min(1.0, ground_mj_per_m2_d / clear_mj_per_m2_d) - 0.35
    return float(_STEFAN_MJ * warm * (0.34 - 0.14 * vapour_kpa**0.5) * cloud)


def penman_monteith_terms(
    *,
    net_mj_per_m2_d: float,
    soil_mj_per_m2_d: float,
    temperature_c: float,
    wind_m_per_s: float,
    saturation_mean_kpa: float,
    vapour_kpa: float,
    vapour_slope_kpa_per_c: float,
    psychrometric_kpa_per_c: float,
) -> float:
    """Reference evapotranspiration from its terms.

    ET0 = [0.408 D (Rn - G) + g 900/(T + 273) u2 (es - ea)] / [D + g (1 + 0.34 u2)]

    Parameters
    ----------
    net_mj_per_m2_d : float
        Net radiation, [MJ/m2/d], -15 to 35.
    soil_mj_per_m2_d : float
        Into the soil, [MJ/m2/d], -5 to 5; 0 for a day.
    temperature_c : float
        Mean, [C], -10 to 60.
    wind_m_per_s : float
        At two metres, [m/s], 0 to 20.
    saturation_mean_kpa : float
        [kPa], 0 to 20.
    vapour_kpa : float
        In the air, [kPa], 0 to 8.
    vapour_slope_kpa_per_c : float
        [kPa/C], above 0, to 2.
    psychrometric_kpa_per_c : float
        [kPa/C], 0.02 to 0.08.

    Returns
    -------
    float
        [mm/d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Short grass, well watered. Below 0 means dew.

    References
    ----------
    FAO-56, equation 6; example 17.

    Examples
    --------
    >>> round(penman_monteith_terms(
    ...     net_mj_per_m2_d=14.33, soil_mj_per_m2_d=0.14, temperature_c=30.2, wind_m_per_s=2,
    ...     saturation_mean_kpa=4.42, vapour_kpa=2.85, vapour_slope_kpa_per_c=0.246,
    ...     psychrometric_kpa_per_c=0.0674), 1)
    5.7
    """
    within(name="net radiation", value=net_mj_per_m2_d, low=-15, high=35, unit="MJ/m2/d")
    within(name="soil heat", value=soil_mj_per_m2_d, low=-5, high=5, unit="MJ/m2/d")
    within(name="temperature", value=temperature_c, low=-10, high=60, unit="C")
    within(name="wind", value=wind_m_per_s, low=0, high=20, unit="m/s")
    within(name="saturation", value=saturation_mean_kpa, low=0, high=20, unit="kPa")
    within(name="vapour", value=vapour_kpa, low=0, high=8, unit="kPa")
    within(name="slope", value=vapour_slope_kpa_per_c, low=0.001, high=2, unit="kPa/C")
    within(
        name="psychrometric constant",
        value=psychrometric_kpa_per_c,
        low=0.02,
        high=0.08,
        unit="kPa/C",
    )
    pull = 900 / (temperature_c + 273) * wind_m_per_s * (saturation_mean_kpa - vapour_kpa)
    sunny = _MM_PER_MJ * vapour_slope_kpa_per_c * (net_mj_per_m2_d - soil_mj_per_m2_d)
    drag = vapour_slope_kpa_per_c + psychrometric_kpa_per_c * (1 + 0.34 * wind_m_per_s)
    return (sunny + psychrometric_kpa_per_c * pull) / drag


def penman_monteith(
    *,
    t_max_c: float,
    t_min_c: float,
    vapour_kpa: float,
    wind_m_per_s: float,
    ground_mj_per_m2_d: float,
    latitude_deg: float,
    altitude_m: float,
    day_of_year_n: int,
) -> float:
    """Reference evapotranspiration of a day from weather and place.

    `penman_monteith_terms` with Rn = 0.77 Rs - Rnl, Rso = (0.75 + 2e-5 z) Ra, G = 0

    Parameters
    ----------
    t_max_c : float
        Warmest of the day, [C], -30 to 60, at least `t_min_c`.
    t_min_c : float
        Coldest of the day, [C], -40 to 60.
    vapour_kpa : float
        In the air, [kPa], 0 to 8.
    wind_m_per_s : float
        At two metres, [m/s], 0 to 20.
    ground_mj_per_m2_d : float
        That reaches the ground, [MJ/m2/d], 0 to 45.
    latitude_deg : float
        North above 0, [degrees], -90 to 90.
    altitude_m : float
        [m], -500 to 5,000.
    day_of_year_n : int
        [-], 1 to 366.

    Returns
    -------
    float
        [mm/d]

    Raises
    ------
    OutOfRange
        A parameter outside its range.
    Impossible
        "polar_night": no light above the place on that day.

    Notes
    -----
    Polar night has no clear-sky light to compare with, so it is refused.

    References
    ----------
    FAO-56, equation 6 and chapter 4; example 18.

    Examples
    --------
    >>> round(penman_monteith(t_max_c=21.5, t_min_c=12.3, vapour_kpa=1.409, wind_m_per_s=2.078,
    ...     ground_mj_per_m2_d=22.07, latitude_deg=50.8, altitude_m=100, day_of_year_n=187), 1)
    3.9
    """
    within(name="temperature", value=t_min_c, low=-40, high=60, unit="C")
    within(name="temperature", value=t_max_c, low=t_min_c, high=60, unit="C")
    within(name="radiation", value=ground_mj_per_m2_d, low=0, high=45, unit="MJ/m2/d")
    mean_c = (t_max_c + t_min_c) / 2
    top = sun(latitude_deg=latitude_deg, day_of_year_n=day_of_year_n).top_mj_per_m2_d
    clear = (0.75 + 2e-5 * altitude_m) * top
    if clear < _DARK_MJ:
        raise Impossible(reason="polar_night")
    lost = long_wave_mj_per_m2_d(
        t_max_c=t_max_c,
        t_min_c=t_min_c,
        vapour_kpa=vapour_kpa,
        ground_mj_per_m2_d=ground_mj_per_m2_d,
        clear_mj_per_m2_d=clear,
    )
    return penman_monteith_terms(
        net_mj_per_m2_d=0.77 * ground_mj_per_m2_d - lost,
        soil_mj_per_m2_d=0.0,
        temperature_c=mean_c,
        wind_m_per_s=wind_m_per_s,
        saturation_mean_kpa=mean_saturation_kpa(t_max_c=t_max_c, t_min_c=t_min_c),
        vapour_kpa=vapour_kpa,
        vapour_slope_kpa_per_c=slope_kpa_per_c(temperature_c=mean_c),
        psychrometric_kpa_per_c=psychrometric_kpa_per_c(altitude_m=altitude_m),
    )


def hargreaves(*, t_max_c: float, t_min_c: float, top_mj_per_m2_d: float) -> float:
    """Reference evapotranspiration of a day from its warmth alone.

    ET0 = 0.0023 (Tmean + 17.8) sqrt(Tmax - Tmin) 0.408 Ra

    Parameters
    ----------
    t_max_c : float
        Warmest of the day, [C], -30 to 60, at least `t_min_c`.
    t_min_c : float
        Coldest of the day, [C], -40 to 60.
    top_mj_per_m2_d : float
        Above the atmosphere, [MJ/m2/d], 0 to 50.

    Returns
    -------
    float
        [mm/d], 0 at least

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    15 to 20 % off on a day (from memory); outdoors only.

    References
    ----------
    FAO-56, equation 52; example 20.

    Examples
    --------
    >>> round(hargreaves(t_max_c=26.6, t_min_c=14.8, top_mj_per_m2_d=40.55), 1)
    5.0
    """
    within(name="temperature", value=t_min_c, low=-40, high=60, unit="C")
    within(name="temperature", value=t_max_c, low=t_min_c, high=60, unit="C")
    within(name="radiation", value=top_mj_per_m2_d, low=0, high=50, unit="MJ/m2/d")
    mean_c = (t_max_c + t_min_c) / 2
    span = (t_max_c - t_min_c) ** 0.5
    return float(max(0.0, 0.0023 * (mean_c + 17.8) * span * _MM_PER_MJ * top_mj_per_m2_d))
