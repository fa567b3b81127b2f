"""What comes out of the tap: alkalinity, hardness, what a softener puts in, guide limits."""

from __future__ import annotations

from calc.errors import within

_CACO3_G_PER_MOL = 100.086
_NA_G_PER_MOL = 22.990
_HCO3_G_PER_MOL = 61.016
_CAO_G_PER_MOL = 56.077
# Oklahoma State University HLA-6722, 2016, table 2; strictly above counts as over
GUIDE_MG_PER_L = {"sodium": 50.0, "calcium": 150.0, "chloride": 140.0, "sulphate": 100.0}
ALKALINITY_HIGH_MG_PER_L = 75.0  # above it the pH climbs, the same sheet


def alkalinity_meq_per_l(*, alkalinity_mg_per_l_caco3: float) -> float:
    """Alkalinity as charge.

    meq/L = mg/L CaCO3 / 50.04

    Parameters
    ----------
    alkalinity_mg_per_l_caco3 : float
        [mg/L as CaCO3], 0 to 2,000.

    Returns
    -------
    float
        [meq/L]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    1 meq/L is 61.02 mg/L HCO3 and 2.80 degrees KH.

    References
    ----------
    IUPAC atomic weights.

    Examples
    --------
    >>> round(alkalinity_meq_per_l(alkalinity_mg_per_l_caco3=100), 3)
    1.998
    """
    within(name="alkalinity", value=alkalinity_mg_per_l_caco3, low=0, high=2000, unit="mg/L")
    return alkalinity_mg_per_l_caco3 / (_CACO3_G_PER_MOL / 2)


def bicarbonate_mg_per_l(*, alkalinity_meq_per_l: float) -> float:
    """The bicarbonate that carries an alkalinity.

    mg/L = 61.02 x meq/L

    Parameters
    ----------
    alkalinity_meq_per_l : float
        [meq/L], 0 to 40.

    Returns
    -------
    float
        [mg/L HCO3]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    All alkalinity taken as bicarbonate, true below pH 8.3.

    References
    ----------
    IUPAC atomic weights.

    Examples
    --------
    >>> round(bicarbonate_mg_per_l(alkalinity_meq_per_l=1.0), 2)
    61.02
    """
    within(name="alkalinity", value=alkalinity_meq_per_l, low=0, high=40, unit="meq/L")
    return alkalinity_meq_per_l * _HCO3_G_PER_MOL


def carbonate_hardness_dkh(*, alkalinity_meq_per_l: float) -> float:
    """Alkalinity in German degrees of carbonate hardness.

    dKH = 2.80 x meq/L

    Parameters
    ----------
    alkalinity_meq_per_l : float
        [meq/L], 0 to 40.

    Returns
    -------
    float
        [degrees KH]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    One degree is 10 mg/L of CaO.

    References
    ----------
    IUPAC atomic weights; definition of the degree.

    Examples
    --------
    >>> round(carbonate_hardness_dkh(alkalinity_meq_per_l=1.0), 3)
    2.804
    """
    within(name="alkalinity", value=alkalinity_meq_per_l, low=0, high=40, unit="meq/L")
    return alkalinity_meq_per_l * _CAO_G_PER_MOL / 2 / 10


def hardness_class(*, hardness_mg_per_l_caco3: float) -> str:
    """The word for a hardness.

    soft to 60, moderate to 120, hard to 180, very hard beyond

    Parameters
    ----------
    hardness_mg_per_l_caco3 : float
        [mg/L as CaCO3], 0 to 2,000.

    Returns
    -------
    str
        "soft", "moderate", "hard" or "very_hard", [-]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Hardness is calcium and magnesium; it is alkalinity that drives pH.

    References
    ----------
    USGS, hardness of water FAQ: 0-60, 61-120, 121-180, more than 180 mg/L.

    Examples
    --------
    >>> hardness_class(hardness_mg_per_l_caco3=154)
    'hard'
    """
    within(name="hardness", value=hardness_mg_per_l_caco3, low=0, high=2000, unit="mg/L")
    if hardness_mg_per_l_caco3 <= 60:
        return "soft"
    if hardness_mg_per_l_caco3 <= 120:
        return "moderate"
    return "hard" if hardness_mg_per_l_caco3 <= 180 else "very_hard"


def softener_sodium_mg_per_l(*, hardness_mg_per_l_caco3: float) -> float:
    """Sodium that a softener puts in for the hardness that it takes out.

    Na = hardness x 2 M(Na) / M(CaCO3)

    Parameters
    ----------
    hardness_mg_per_l_caco3 : float
        [mg/L as CaCO3], 0 to 2,000.

    Returns
    -------
    float
        [mg/L Na]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    7.9 mg/L for each grain per US gallon. EC hardly tells it: the sodium hides in it.

    References
    ----------
    Charge kept; IUPAC atomic weights.

    Examples
    --------
    >>> round(softener_sodium_mg_per_l(hardness_mg_per_l_caco3=9 * 17.1))
    71
    """
    within(name="hardness", value=hardness_mg_per_l_caco3, low=0, high=2000, unit="mg/L")
    return hardness_mg_per_l_caco3 * 2 * _NA_G_PER_MOL / _CACO3_G_PER_MOL


def over_guide(
    *,
    sodium_mg_per_l: float,
    calcium_mg_per_l: float,
    chloride_mg_per_l: float,
    sulphate_mg_per_l: float,
) -> tuple[str, ...]:
    """Which salts of a water report are over the guide limits.

    Na 50, Ca 150, Cl 140, SO4 100 mg/L; over means strictly above

    Parameters
    ----------
    sodium_mg_per_l : float
        [mg/L], 0 to 10,000.
    calcium_mg_per_l : float
        [mg/L], 0 to 10,000.
    chloride_mg_per_l : float
        [mg/L], 0 to 10,000.
    sulphate_mg_per_l : float
        [mg/L], 0 to 10,000.

    Returns
    -------
    tuple[str, ...]
        names of those over their limit, [-]

    Raises
    ------
    OutOfRange
        A parameter outside its range.

    Notes
    -----
    Guide limits for source water, not for the mixed tank.

    References
    ----------
    Singh & Dunn, Oklahoma State University HLA-6722, 2016, table 2 (as transcription).

    Examples
    --------
    >>> over_guide(
    ...     sodium_mg_per_l=60, calcium_mg_per_l=40, chloride_mg_per_l=100, sulphate_mg_per_l=20)
    ('sodium',)
    """
    given = {
        "sodium": sodium_mg_per_l,
        "calcium": calcium_mg_per_l,
        "chloride": chloride_mg_per_l,
        "sulphate": sulphate_mg_per_l,
    }
    for name, value in given.items():
        within(name=name, value=value, low=0, high=10_000, unit="mg/L")
    return tuple(name for name, value in given.items() if value > GUIDE_MG_PER_L[name])
