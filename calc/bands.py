"""Yellow and red flags: where a reading stands in its bands, and what a drift says."""

from __future__ import annotations

from calc.errors import Impossible, within


def flag(
    *,
    value_any: float,
    red_low_any: float,
    yellow_low_any: float,
    yellow_high_any: float,
    red_high_any: float,
) -> str:
    """Where a value stands between four limits, all in one unit.

    red outside the red limits, else yellow outside the yellow ones, else ok

    Parameters
    ----------
    value_any : float
        [any unit], the reading.
    red_low_any : float
        [same unit], at most `yellow_low_any`.
    yellow_low_any : float
        [same unit], at most `yellow_high_any`.
    yellow_high_any : float
        [same unit], at most `red_high_any`.
    red_high_any : float
        [same unit].

    Returns
    -------
    str
        "red_low", "yellow_low", "ok", "yellow_high" or "red_high"

    Raises
    ------
    Impossible
        "bands": the limits are not in order.

    Notes
    -----
    A value on a limit counts as inside. The limits are common practice, the coach's to change.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> limits = dict(red_low_any=5.0, yellow_low_any=5.5, yellow_high_any=6.5, red_high_any=7.0)
    >>> flag(value_any=6.0, **limits), flag(value_any=6.8, **limits), flag(value_any=4.8, **limits)
    ('ok', 'yellow_high', 'red_low')
    """
    limits = (red_low_any, yellow_low_any, yellow_high_any, red_high_any)
    if sorted(limits) != list(limits):
        raise Impossible(reason="bands")
    if value_any < red_low_any:
        return "red_low"
    if value_any > red_high_any:
        return "red_high"
    if value_any < yellow_low_any:
        return "yellow_low"
    return "yellow_high" if value_any > yellow_high_any else "ok"


def ec_trend(*, change_ms_per_cm: float, band_ms_per_cm: float) -> str:
    """What a change of EC between two readings says, with the level falling and no dose between.

    above +band: drink more than they eat, top up weaker; below -band: stronger; else the same

    Parameters
    ----------
    change_ms_per_cm : float
        Later reading minus earlier one, [mS/cm], -5 to 5.
    band_ms_per_cm : float
        What a home pen cannot tell apart, [mS/cm], 0.01 to 2.

    Returns
    -------
    str
        "weaker", "stronger" or "same", no unit

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Only between two readings with no dose between and the level down by a tenth or more.

    References
    ----------
    Mass balance; the band is common practice, no source.

    Examples
    --------
    >>> ec_trend(change_ms_per_cm=-0.3, band_ms_per_cm=0.2)
    'stronger'
    """
    within(name="change of EC", value=change_ms_per_cm, low=-5, high=5, unit="mS/cm")
    within(name="band", value=band_ms_per_cm, low=0.01, high=2, unit="mS/cm")
    if change_ms_per_cm > band_ms_per_cm:
        return "weaker"
    return "stronger" if change_ms_per_cm < -band_ms_per_cm else "same"


def exceeds(*, value_any: float, limit_any: float) -> bool:
    """Whether a reading is over a limit.

    value > limit

    Parameters
    ----------
    value_any : float
        [any unit], the reading.
    limit_any : float
        [same unit].

    Returns
    -------
    bool
        [yes or no]

    Raises
    ------
    Nothing
        Every number has a side.

    Notes
    -----
    On the limit is inside.

    References
    ----------
    Oklahoma State University HLA-6722 for its limits; arithmetic.

    Examples
    --------
    >>> exceeds(value_any=75, limit_any=75)
    False
    """
    return value_any > limit_any


def oxygen_flag(*, oxygen_mg_per_l: float) -> str:
    """Whether roots get oxygen enough.

    red below 3, yellow below 5

    Parameters
    ----------
    oxygen_mg_per_l : float
        At the roots, [mg/L], 0 to 40.

    Returns
    -------
    str
        "ok", "yellow" or "red", [-]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    For lettuce in still solution; a tower's drip takes up air on its way.

    References
    ----------
    UF/IFAS HS1422 (5 or more), Cornell CEA lettuce handbook (failure below 3), both seen as
    summaries.

    Examples
    --------
    >>> oxygen_flag(oxygen_mg_per_l=4.5)
    'yellow'
    """
    within(name="oxygen", value=oxygen_mg_per_l, low=0, high=40, unit="mg/L")
    if oxygen_mg_per_l < 3:
        return "red"
    return "yellow" if oxygen_mg_per_l < 5 else "ok"


def unit_slip(*, new_ms_per_cm: float, last_ms_per_cm: float) -> bool:
    """Whether a new reading looks like another unit.

    new > 10 x last, or new < last / 10

    Parameters
    ----------
    new_ms_per_cm : float
        [mS/cm], 0 to 100,000.
    last_ms_per_cm : float
        [mS/cm], 0 to 20.

    Returns
    -------
    bool
        [yes or no]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Then the unit is asked for.

    References
    ----------
    Plausibility; common practice, no source.

    Examples
    --------
    >>> unit_slip(new_ms_per_cm=1500, last_ms_per_cm=1.5)
    True
    """
    within(name="EC", value=new_ms_per_cm, low=0, high=100_000, unit="mS/cm")
    within(name="EC", value=last_ms_per_cm, low=0, high=20, unit="mS/cm")
    return last_ms_per_cm > 0 and not last_ms_per_cm / 10 <= new_ms_per_cm <= 10 * last_ms_per_cm
