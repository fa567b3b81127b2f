"""For each formula name of data/checks.json, one call of ours, by topic.

A call takes the row's inputs and gives every quantity that the row expects.
"""

from tests.calc.checks import acids, air, growing, mixing, weather

CALLS = {**mixing.CALLS, **acids.CALLS, **air.CALLS, **weather.CALLS, **growing.CALLS}

__all__ = ["CALLS"]
