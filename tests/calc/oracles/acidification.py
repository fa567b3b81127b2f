"""PyCO2SYS: pH of a fresh water right after acid."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
import PyCO2SYS

from calc.carbonate.closed import closed_ph
from tests.calc.oracles.worst import Worst, worst

_ALKALINITY_MEQ_PER_L = (0.3, 0.6, 1.0, 2.0, 3.0, 4.5, 6.0)
_PH_START = (6.5, 7.0, 7.4, 7.8, 8.2, 8.5, 8.8)
_TEMPERATURE_C = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0)
_SHARE = (0.0, 0.1, 0.25, 0.4, 0.5, 0.6)
_RESULTS = (6.0, 8.8)
_FRESH = {"salinity": 0, "opt_k_carbonic": 8, "opt_pH_scale": 3}


def acidification() -> Worst:
    """Alkalinity and carbon in, pH out, by both."""
    return worst(
        _differences(),
        name="pH after acid, closed bottle",
        oracle=f"PyCO2SYS {PyCO2SYS.__version__}",
        unit="pH",
        goal=0.05,
    )


def _differences() -> Iterator[tuple[float, str]]:
    grid = list(product(_ALKALINITY_MEQ_PER_L, _PH_START, _TEMPERATURE_C, _SHARE))
    alkalinity, start, warmth, share = (np.array(column) for column in zip(*grid, strict=True))
    before = PyCO2SYS.sys(alkalinity * 1000, start, 1, 3, temperature=warmth, **_FRESH)
    after = PyCO2SYS.sys(
        alkalinity * (1 - share) * 1000, before["dic"], 1, 2, temperature=warmth, **_FRESH
    )["pH"]
    for row, theirs in zip(grid, after, strict=True):
        if not _RESULTS[0] <= theirs <= _RESULTS[1]:
            continue
        ours = closed_ph(
            alkalinity_meq_per_l=row[0],
            ph_start=row[1],
            acid_meq_per_l=row[3] * row[0],
            temperature_c=row[2],
        )
        where = f"{row[0]} meq/L from pH {row[1]}, {row[3]:.0%} neutralised, {row[2]} C"
        yield abs(ours - theirs), where
