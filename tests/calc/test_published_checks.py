"""Every check of the handbook that a formula can be held to.

tests/calc/data/checks.json holds each row with its source and status: READ = printed in the named
source, ORACLE = computed with a reference library, DERIVED = arithmetic, COMMON_PRACTICE = no
source. The rows of `statement` are sentences: tests/bot/words holds them to what people are told.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from calc.errors import Impossible
from calc.refill import daily_use_l
from tests.calc.checks import CALLS

ROWS = json.loads((Path(__file__).parent / "data" / "checks.json").read_text())
CHECKS = [row for row in ROWS if row["formula_name"] != "statement"]


def test_every_row_is_there() -> None:
    assert len(ROWS) == 321
    assert {row["formula_name"] for row in CHECKS} == set(CALLS)


@pytest.mark.parametrize("check", CHECKS, ids=[c["id"] for c in CHECKS])
def test_agrees_with_its_source(check: dict[str, object]) -> None:
    inputs, expected = check["inputs"], check["expected"]
    assert isinstance(inputs, dict) and isinstance(expected, dict)
    found = CALLS[str(check["formula_name"])](inputs)
    for name, value in expected.items():
        rel, tolerance = check.get("tol_rel"), check.get("tol_abs")
        wanted = value if isinstance(value, str) else pytest.approx(value, rel=rel, abs=tolerance)
        assert found[name] == wanted, check["source"]


def test_a_level_that_rose_is_never_fitted() -> None:
    with pytest.raises(Impossible, match="level_rose"):
        daily_use_l(start_l=30, end_l=31, added_l=0, days_d=1)
