"""Acid and alkalinity: charge kept, there and back, and the climb in an open tower."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.carbonate.closed import (
    acid_to_reach,
    closed_ph,
    neutralised_share,
    ph_with_weak_acid,
    short_share,
    weak_acid_to_reach,
)
from calc.carbonate.open_air import open_ph
from calc.carbonate.water import dissolved_carbon, equivalents_per_mole
from calc.errors import Impossible, OutOfRange

alkalinities = st.floats(0.3, 6)
starts = st.floats(7, 8.8)
warmths = st.floats(5, 35)


@given(alkalinities, starts, st.floats(4.5, 6.9), warmths)
def test_the_acid_worked_out_reaches_the_ph(
    alkalinity: float, start: float, target: float, warmth: float
) -> None:
    acid = acid_to_reach(
        alkalinity_meq_per_l=alkalinity, ph_start=start, ph_target=target, temperature_c=warmth
    )
    assert 0 < acid < 1.2 * alkalinity
    found = closed_ph(
        alkalinity_meq_per_l=alkalinity, ph_start=start, acid_meq_per_l=acid, temperature_c=warmth
    )
    assert found == pytest.approx(target, abs=1e-6)


@given(
    alkalinities, starts, st.floats(4.5, 6.9), warmths, st.sampled_from(["phosphoric", "citric"])
)
def test_a_weak_acid_reaches_it_too(
    alkalinity: float, start: float, target: float, warmth: float, acid: str
) -> None:
    moles = weak_acid_to_reach(
        acid=acid,
        alkalinity_meq_per_l=alkalinity,
        ph_start=start,
        ph_target=target,
        temperature_c=warmth,
    )
    carbon = dissolved_carbon(alkalinity_meq_per_l=alkalinity, ph_start=start, temperature_c=warmth)
    found = ph_with_weak_acid(
        acid=acid,
        acid_mmol_per_l=moles,
        alkalinity_meq_per_l=alkalinity,
        carbon_mmol_per_l=carbon,
        temperature_c=warmth,
    )
    assert found == pytest.approx(target, abs=1e-6)


@given(alkalinities, starts, warmths, st.floats(0, 0.5), st.floats(0.05, 0.4))
def test_more_acid_never_raises_the_ph(
    alkalinity: float, start: float, warmth: float, share: float, more: float
) -> None:
    low, high = (
        closed_ph(
            alkalinity_meq_per_l=alkalinity,
            ph_start=start,
            acid_meq_per_l=alkalinity * part,
            temperature_c=warmth,
        )
        for part in (share + more, share)
    )
    assert low < high


@given(st.floats(0.2, 4), warmths)
def test_an_open_tower_climbs_above_the_bottle(alkalinity: float, warmth: float) -> None:
    """Four fifths neutralised: about 5.8 in the bottle, well above 7 once the CO2 is gone."""
    bottle = closed_ph(
        alkalinity_meq_per_l=alkalinity,
        ph_start=7.8,
        acid_meq_per_l=0.8 * alkalinity,
        temperature_c=warmth,
    )
    later = open_ph(
        alkalinity_meq_per_l=0.2 * alkalinity, phosphate_mmol_per_l=0, temperature_c=warmth
    )
    assert later > bottle + 0.5


@given(st.floats(0.1, 4), st.floats(0.01, 1))
def test_phosphate_holds_the_ph_lower(alkalinity: float, phosphate: float) -> None:
    plain, fed = (
        open_ph(alkalinity_meq_per_l=alkalinity, phosphate_mmol_per_l=p, temperature_c=20)
        for p in (0.0, phosphate)
    )
    assert fed < plain


@given(st.floats(7.8, 9), st.floats(4.5, 7))
def test_the_short_form_is_near_the_long_one(start: float, target: float) -> None:
    long = neutralised_share(ph_start=start, ph_target=target)
    assert short_share(ph_target=target) == pytest.approx(long, abs=0.04)


@given(st.floats(3, 9.5), st.floats(0.01, 0.5))
def test_an_acid_gives_more_protons_at_a_higher_ph(ph: float, more: float) -> None:
    for acid, most in (("phosphoric", 3), ("citric", 3)):
        low = equivalents_per_mole(acid=acid, ph=ph)
        assert 0 < low <= equivalents_per_mole(acid=acid, ph=ph + more) <= most


def test_refuses_what_it_has_no_source_for() -> None:
    with pytest.raises(OutOfRange, match="temperature = 60"):
        acid_to_reach(alkalinity_meq_per_l=2, ph_start=7.8, ph_target=5.8, temperature_c=60)
    with pytest.raises(OutOfRange, match="pH = 8"):
        acid_to_reach(alkalinity_meq_per_l=2, ph_start=7.5, ph_target=8, temperature_c=20)
    with pytest.raises(Impossible, match="no_alkalinity"):
        open_ph(alkalinity_meq_per_l=0, phosphate_mmol_per_l=0, temperature_c=20)
    with pytest.raises(KeyError):
        equivalents_per_mole(acid="vinegar", ph=6)
