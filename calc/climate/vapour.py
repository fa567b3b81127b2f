"""Vapour in the air of a day, by whatever was measured."""

from __future__ import annotations

from calc.air import pressure_kpa, saturation_kpa
from calc.errors import within


def psychrometric_kpa_per_c(*, altitude_m: float) -> float:
    """The psychrometric constant of a place.

    g = 0.665e-3 P

    Parameters
    ----------
    altitude_m : float
        [m], -500 to 5,000.

    Returns
    -------
    float
        [kPa/C]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Ventilated.

    References
    ----------
    FAO-56, equation 8; example 2.

    Examples
    --------
    >>> round(psychrometric_kpa_per_c(altitude_m=1800), 3)
    0.054
    """
    return 0.665e-3 * pressure_kpa(altitude_m=altitude_m)


def mean_saturation_kpa(*, t_max_c: float, t_min_c: float) -> float:
    """Mean saturation vapour pressure of a day.

    es = (e(Tmax) + e(Tmin)) / 2

    Parameters
    ----------
    t_max_c : float
        Warmest of the day, [C], -30 to 60, at least `t_min_c`.
    t_min_c : float
        Coldest of the day, [C], -10 to 60.

    Returns
    -------
    float
        [kPa]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Not e of the mean: that is too low.

    References
    ----------
    FAO-56, equation 12; example 3.

    Examples
    --------
    >>> round(mean_saturation_kpa(t_max_c=21.5, t_min_c=12.3), 3)
    1.997
    """
    within(name="temperature", value=t_min_c, low=-10, high=60, unit="C")
    within(name="temperature", value=t_max_c, low=t_min_c, high=60, unit="C")
    return (saturation_kpa(temperature_c=t_max_c) + saturation_kpa(temperature_c=t_min_c)) / 2


def slope_kpa_per_c(*, temperature_c: float) -> float:
    """How fast the air's hold on vapour grows with warmth.

    D = 4098 e(T) / (T + 237.3)^2

    Parameters
    ----------
    temperature_c : float
        Mean of the day, [C], -10 to 60.

    Returns
    -------
    float
        [kPa/C]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    At one temperature, not over a span.

    References
    ----------
    FAO-56, equation 13.

    Examples
    --------
    >>> round(slope_kpa_per_c(temperature_c=30.2), 3)
    0.246
    """
    return 4098 * saturation_kpa(temperature_c=temperature_c) / (temperature_c + 237.3) ** 2


def vapour_from_extremes_kpa(
    *, t_max_c: float, t_min_c: float, humidity_max_percent: float, humidity_min_percent: float
) -> float:
    """Vapour in the air of a day, from its highest and lowest humidity.

    ea = (e(Tmin) RHmax + e(Tmax) RHmin) / 200

    Parameters
    ----------
    t_max_c : float
        Warmest of the day, [C], -30 to 60, at least `t_min_c`.
    t_min_c : float
        Coldest of the day, [C], -10 to 60.
    humidity_max_percent : float
        At dawn, [%], 0 to 100.
    humidity_min_percent : float
        In the afternoon, [%], 0 to 100.

    Returns
    -------
    float
        [kPa]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    The best of the forms with a hygrometer.

    References
    ----------
    FAO-56, equation 17; example 18.

    Examples
    --------
    >>> round(vapour_from_extremes_kpa(t_max_c=21.5, t_min_c=12.3,
    ...     humidity_max_percent=84, humidity_min_percent=63), 3)
    1.409
    """
    within(name="temperature", value=t_min_c, low=-10, high=60, unit="C")
    within(name="temperature", value=t_max_c, low=t_min_c, high=60, unit="C")
    within(name="humidity", value=humidity_min_percent, low=0, high=100, unit="%")
    within(
        name="humidity", value=humidity_max_percent, low=humidity_min_percent, high=100, unit="%"
    )
    dawn = saturation_kpa(temperature_c=t_min_c) * humidity_max_percent
    noon = saturation_kpa(temperature_c=t_max_c) * humidity_min_percent
    return (dawn + noon) / 200


def vapour_from_mean_kpa(*, t_max_c: float, t_min_c: float, humidity_mean_percent: float) -> float:
    """Vapour in the air of a day, from its mean humidity.

    ea = RHmean / 100 es

    Parameters
    ----------
    t_max_c : float
        Warmest of the day, [C], -30 to 60, at least `t_min_c`.
    t_min_c : float
        Coldest of the day, [C], -10 to 60.
    humidity_mean_percent : float
        Of the day, [%], 0 to 100.

    Returns
    -------
    float
        [kPa]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Rougher than `vapour_from_extremes_kpa`.

    References
    ----------
    FAO-56, equation 19; example 5.

    Examples
    --------
    >>> round(vapour_from_mean_kpa(t_max_c=25, t_min_c=18, humidity_mean_percent=68), 2)
    1.78
    """
    within(name="humidity", value=humidity_mean_percent, low=0, high=100, unit="%")
    return humidity_mean_percent / 100 * mean_saturation_kpa(t_max_c=t_max_c, t_min_c=t_min_c)


def vapour_from_wet_bulb_kpa(*, wet_c: float, dry_c: float, altitude_m: float) -> float:
    """Vapour in the air from a wet and a dry thermometer.

    ea = e(Twet) - 0.000662 P (Tdry - Twet)

    Parameters
    ----------
    wet_c : float
        Wet bulb, [C], -10 to `dry_c`.
    dry_c : float
        [C], -10 to 60.
    altitude_m : float
        [m], -500 to 5,000.

    Returns
    -------
    float
        [kPa]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Ventilated at about 5 m/s.

    References
    ----------
    FAO-56, equation 15; example 4.

    Examples
    --------
    >>> round(vapour_from_wet_bulb_kpa(wet_c=19.5, dry_c=25.6, altitude_m=1200), 2)
    1.91
    """
    within(name="temperature", value=dry_c, low=-10, high=60, unit="C")
    within(name="temperature", value=wet_c, low=-10, high=dry_c, unit="C")
    drop = 0.000662 * pressure_kpa(altitude_m=altitude_m) * (dry_c - wet_c)
    return saturation_kpa(temperature_c=wet_c) - drop
