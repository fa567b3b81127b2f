"""What comes out of the tap."""

from __future__ import annotations

from calc.errors import within

_CACO3_G_PER_MOL = 100.086
_HCO3_G_PER_MOL = 61.016
_CAO_G_PER_MOL = 56.077


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
