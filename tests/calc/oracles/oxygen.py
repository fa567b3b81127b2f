"""gsw (TEOS-10): oxygen of fresh water in touch with air at sea level."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.metadata import version

import gsw
import numpy as np

from calc.air import oxygen_mg_per_l
from tests.calc.oracles.worst import Worst, worst

_MG_PER_UMOL = 31.998 / 1000


def oxygen() -> Worst:
    """From freezing to 40 C, each half degree."""
    return worst(
        _differences(),
        name="oxygen that water holds",
        oracle=f"gsw {version('gsw')}",
        unit="%",
        goal=1.0,
    )


def _differences() -> Iterator[tuple[float, str]]:
    for warmth in np.arange(0, 40.25, 0.5):
        # umol/kg at the surface; fresh water's density makes it per litre
        per_kg = gsw.O2sol_SP_pt(0, float(warmth))
        density = gsw.rho(0, gsw.CT_from_t(0, float(warmth), 0), 0) / 1000
        theirs = float(per_kg * density * _MG_PER_UMOL)
        ours = oxygen_mg_per_l(temperature_c=float(warmth), altitude_m=0)
        yield 100 * abs(ours - theirs) / theirs, f"{warmth} C"
