"""Ions: charge, crowding, and what falls out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import OutOfRange
from calc.ions import (
    equivalent_conductivity,
    gypsum_index,
    infinite_ec,
    ionic_strength,
    solution_ec,
    water_ec,
)
from calc.tables import ions

amounts = st.floats(0.01, 5)


@given(amounts, amounts)
def test_real_solutions_conduct_less_than_free_ions(nitrate: float, sulphate: float) -> None:
    mix = {"Ca": nitrate, "NO3": 2 * nitrate, "Mg": sulphate, "SO4": sulphate}
    free = infinite_ec(ions_mmol_per_l=mix)
    assert 0 < solution_ec(ions_mmol_per_l=mix) < free
    assert 0 < water_ec(ions_mmol_per_l=mix) < free


@given(amounts, amounts)
def test_strength_adds_up(first: float, second: float) -> None:
    one = ionic_strength(ions_mmol_per_l={"K": first, "Cl": first})
    two = ionic_strength(ions_mmol_per_l={"Mg": second, "SO4": second})
    both = {"K": first, "Cl": first, "Mg": second, "SO4": second}
    assert ionic_strength(ions_mmol_per_l=both) == pytest.approx(one + two)


@given(st.floats(1, 27), st.floats(1.05, 3))
def test_more_of_both_comes_nearer_to_falling_out(amount: float, times: float) -> None:
    weak = {"Ca": amount, "NO3": 2 * amount, "K": 2 * amount, "SO4": amount}
    strong = {name: value * times for name, value in weak.items()}
    assert gypsum_index(ions_mmol_per_l=strong) > gypsum_index(ions_mmol_per_l=weak)


def test_every_ion_is_neutral_with_another() -> None:
    charges = {name: one.charge for name, one in ions().items()}
    assert {name for name, z in charges.items() if z > 0} == {"Ca", "Mg", "K", "Na", "NH4"}
    assert all(abs(z) in (1, 2) for z in charges.values())


def test_refuses_what_the_laws_do_not_hold_for() -> None:
    with pytest.raises(OutOfRange, match="ionic strength"):
        solution_ec(ions_mmol_per_l={"K": 100, "Cl": 100})
    with pytest.raises(OutOfRange, match="Ca = 0"):
        gypsum_index(ions_mmol_per_l={"SO4": 10})
    with pytest.raises(OutOfRange, match="diffusion"):
        equivalent_conductivity(diffusion_m2_per_s=1, charge_n=1)
    with pytest.raises(KeyError):
        ionic_strength(ions_mmol_per_l={"Xy": 1})
