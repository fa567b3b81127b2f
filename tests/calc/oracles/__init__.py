"""Reference libraries called over grids, and the worst difference to our own numbers.

`python -m tests.calc.oracles` prints each with where it lies.
"""

from tests.calc.oracles.acidification import acidification
from tests.calc.oracles.daylight import daylight
from tests.calc.oracles.evapotranspiration import evapotranspiration, evapotranspiration_by_warmth
from tests.calc.oracles.kitchen import units
from tests.calc.oracles.oxygen import oxygen
from tests.calc.oracles.worst import Worst

ORACLES = (
    acidification, oxygen, evapotranspiration, evapotranspiration_by_warmth, daylight, units,
)  # fmt: skip

__all__ = ["ORACLES", "Worst"]
