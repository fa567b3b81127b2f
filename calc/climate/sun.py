"""The sun over a place: its path, hours of daylight, and light that reaches the ground."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc.errors import within

_SUN_MJ_PER_M2_MIN = 0.0820


@dataclass(frozen=True, slots=True, kw_only=True)
class Sun:
    """A day's sun: distance factor [-], declination and sunset angle [rad], light above the
    atmosphere [MJ/m2/d]."""

    distance: float
    declination_rad: float
    sunset_rad: float
    top_mj_per_m2_d: float


def sun(*, latitude_deg: float, day_of_year_n: int) -> Sun:
    """The sun over a place on a day.

    Ra = 1440/pi 0.0820 dr (ws sin f sin d + cos f cos d sin ws), ws = acos(-tan f tan d)

    Parameters
    ----------
    latitude_deg : float
        North above 0, [degrees], -90 to 90.
    day_of_year_n : int
        [-], 1 to 366.

    Returns
    -------
    Sun
        distance factor, declination, sunset angle, light above the atmosphere, [Sun]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Polar day and night: the sunset angle is held at pi and 0, the limits of the formula.

    References
    ----------
    FAO-56, equations 21 to 25; example 8.

    Examples
    --------
    >>> round(sun(latitude_deg=-20, day_of_year_n=246).top_mj_per_m2_d, 1)
    32.2
    """
    within(name="latitude", value=latitude_deg, low=-90, high=90, unit="degrees")
    within(name="day", value=day_of_year_n, low=1, high=366, unit="of the year")
    turn = 2 * math.pi * day_of_year_n / 365
    distance = 1 + 0.033 * math.cos(turn)
    tilt = 0.409 * math.sin(turn - 1.39)
    place = math.radians(latitude_deg)
    sunset = math.acos(min(1.0, max(-1.0, -math.tan(place) * math.tan(tilt))))
    above = sunset * math.sin(place) * math.sin(tilt)
    across = math.cos(place) * math.cos(tilt) * math.sin(sunset)
    top = 1440 / math.pi * _SUN_MJ_PER_M2_MIN * distance * (above + across)
    return Sun(
        distance=distance,
        declination_rad=tilt,
        sunset_rad=sunset,
        top_mj_per_m2_d=max(0.0, top),
    )


def day_length_h(*, latitude_deg: float, day_of_year_n: int) -> float:
    """Hours of daylight as FAO counts them, the sun's middle on a bare horizon.

    N = 24 ws / pi

    Parameters
    ----------
    latitude_deg : float
        North above 0, [degrees], -90 to 90.
    day_of_year_n : int
        [-], 1 to 366.

    Returns
    -------
    float
        [h]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    0.1 to 0.4 h shorter than sunrise to sunset as seen: see `light.daylight_h`.

    References
    ----------
    FAO-56, equation 34; example 10.

    Examples
    --------
    >>> round(day_length_h(latitude_deg=-22.9, day_of_year_n=135), 1)
    10.9
    """
    return 24 / math.pi * sun(latitude_deg=latitude_deg, day_of_year_n=day_of_year_n).sunset_rad


def radiation_from_sunshine(
    *, top_mj_per_m2_d: float, sunshine_h: float, daylight_h: float
) -> float:
    """Light that reaches the ground, from hours of sunshine.

    Rs = (0.25 + 0.5 n/N) Ra

    Parameters
    ----------
    top_mj_per_m2_d : float
        Above the atmosphere, [MJ/m2/d], 0 to 50.
    sunshine_h : float
        Bright hours, [h], 0 to `daylight_h`.
    daylight_h : float
        [h], above 0, to 24.

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
    The two shares are FAO's where none were measured.

    References
    ----------
    FAO-56, equation 35; example 10.

    Examples
    --------
    >>> round(radiation_from_sunshine(
    ...     top_mj_per_m2_d=25.1, sunshine_h=7.1, daylight_h=10.9), 1)
    14.4
    """
    within(name="radiation", value=top_mj_per_m2_d, low=0, high=50, unit="MJ/m2/d")
    within(name="daylight", value=daylight_h, low=0.01, high=24, unit="h")
    within(name="sunshine", value=sunshine_h, low=0, high=daylight_h, unit="h")
    return (0.25 + 0.5 * sunshine_h / daylight_h) * top_mj_per_m2_d


def radiation_from_warmth(*, top_mj_per_m2_d: float, t_max_c: float, t_min_c: float) -> float:
    """Light that reaches the ground inland, from the day's span of warmth.

    Rs = 0.16 sqrt(Tmax - Tmin) Ra

    Parameters
    ----------
    top_mj_per_m2_d : float
        Above the atmosphere, [MJ/m2/d], 0 to 50.
    t_max_c : float
        Warmest of the day, [C], -30 to 60, at least `t_min_c`.
    t_min_c : float
        Coldest of the day, [C], -40 to 60.

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
    Inland; by the sea 0.19 instead of 0.16.

    References
    ----------
    FAO-56, equation 50; example 15.

    Examples
    --------
    >>> round(radiation_from_warmth(top_mj_per_m2_d=40.6, t_max_c=26.6, t_min_c=14.8), 1)
    22.3
    """
    within(name="radiation", value=top_mj_per_m2_d, low=0, high=50, unit="MJ/m2/d")
    within(name="temperature", value=t_min_c, low=-40, high=60, unit="C")
    within(name="temperature", value=t_max_c, low=t_min_c, high=60, unit="C")
    return float(0.16 * (t_max_c - t_min_c) ** 0.5 * top_mj_per_m2_d)
