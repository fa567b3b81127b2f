"""Kitchen measures: worked examples of the project's own scenario, and how near they come."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.units import Spoons, spoons

# US kitchen measures in mL by their legal definition (21 CFR 101.9(b)(5)(viii) rounds them).
CUP, TABLESPOON, TEASPOON = 236.5882365, 14.78676478125, 4.92892159375


@pytest.mark.parametrize(
    ("volume_ml", "measure"),
    [
        (65, Spoons(cup_quarters=1, teaspoon_quarters=4)),  # 1/4 cup + 1 tsp
        (64, Spoons(cup_quarters=1, teaspoon_quarters=4)),
        (128, Spoons(cup_quarters=2, teaspoon_quarters=8)),  # 1/2 cup + 2 tsp
        (104, Spoons(tablespoons=7)),
        (54, Spoons(tablespoons=3, teaspoon_quarters=8)),
        (32, Spoons(tablespoons=2, teaspoon_quarters=2)),
        (48, Spoons(tablespoons=3, teaspoon_quarters=3)),
        (47, Spoons(tablespoons=3, teaspoon_quarters=2)),
        (36, Spoons(tablespoons=2, teaspoon_quarters=5)),
        (31, Spoons(tablespoons=2, teaspoon_quarters=1)),
        (1.5, Spoons(drops=30)),
    ],
)
def test_says_what_a_person_can_scoop(volume_ml: float, measure: Spoons) -> None:
    assert spoons(volume_ml=volume_ml, metric=False, drops_per_ml=20) == measure


@given(st.floats(5, 2000))
def test_never_misses_by_more_than_it_says(volume_ml: float) -> None:
    found = spoons(volume_ml=volume_ml, metric=False, drops_per_ml=20)
    if found is None:
        return
    poured = (
        found.cup_quarters * CUP / 4
        + found.tablespoons * TABLESPOON
        + found.teaspoon_quarters * TEASPOON / 4
    )
    assert abs(poured - volume_ml) <= max(0.63, 0.016 * volume_ml)


@given(st.floats(5, 240))
def test_a_usual_dose_always_has_a_measure(volume_ml: float) -> None:
    assert spoons(volume_ml=volume_ml, metric=False, drops_per_ml=20) is not None


def test_metric_spoons_are_five_and_fifteen() -> None:
    assert spoons(volume_ml=20, metric=True, drops_per_ml=20) == Spoons(
        tablespoons=1, teaspoon_quarters=4
    )


def test_nobody_spoons_two_litres_or_nothing() -> None:
    assert spoons(volume_ml=2500, metric=False, drops_per_ml=20) is None
    assert spoons(volume_ml=0, metric=False, drops_per_ml=20) is None
