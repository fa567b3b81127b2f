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
