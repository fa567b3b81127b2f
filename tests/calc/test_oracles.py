"""Our numbers against reference libraries over grids."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.calc.oracles import ORACLES, Worst

_FEW = 40


@pytest.mark.parametrize("oracle", ORACLES, ids=[oracle.__name__ for oracle in ORACLES])
def test_is_as_near_to_its_oracle_as_it_should_be(oracle: Callable[[], Worst]) -> None:
    found = oracle()
    assert found.cases > _FEW, "a grid of next to nothing shows nothing"
    assert found.met, found
