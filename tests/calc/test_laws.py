"""What must hold whatever the numbers: mass is kept, there and back, nothing negative."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calc.dose import evened_out, mixed_ec, part_amount, strength_for_ec
from calc.errors import Impossible, OutOfRange
from calc.solution import ec_after_exchanges, exchange_share, mixed, water_to_dilute
from calc.topup import feed_for_rise, filled_ec, level_from_depth, swap_volume

litres = st.floats(0.5, 500)
ecs = st.floats(0, 5)


@given(litres, ecs, litres, ecs)
def test_salts_are_kept_when_water_is_added(
    level: float, ec: float, added: float, tap: float
) -> None:
    after = filled_ec(level_l=level, ec_ms_per_cm=ec, added_l=added, added_ec_ms_per_cm=tap)
    assert after * (level + added) == pytest.approx(level * ec + added * tap, abs=1e-9)
    assert min(ec, tap) - 1e-9 <= after <= max(ec, tap) + 1e-9


@given(litres, ecs, litres, ecs)
def test_mixing_does_not_care_about_the_order(a: float, ec_a: float, b: float, ec_b: float) -> None:
    one = mixed(first_l=a, first_ec_ms_per_cm=ec_a, second_l=b, second_ec_ms_per_cm=ec_b)
    two = mixed(first_l=b, first_ec_ms_per_cm=ec_b, second_l=a, second_ec_ms_per_cm=ec_a)
    assert one == pytest.approx(two)


@given(litres, st.floats(0.01, 3), st.floats(0.2, 4), st.floats(0.1, 10))
def test_the_feed_poured_gives_the_rise_asked_for(
    volume: float, rise: float, gain: float, rate: float
) -> None:
    amount = feed_for_rise(
        volume_l=volume, rise_ms_per_cm=rise, gain_ms_per_cm=gain, rate_per_l=rate
    )
    assert amount / volume / rate * gain == pytest.approx(rise)


@given(st.floats(0.1, 1), litres, st.floats(1.5, 5), st.floats(0.8, 2), st.floats(0, 0.6))
def test_scooping_and_refilling_ends_on_target(
    share: float, tank: float, ec: float, target: float, tap: float
) -> None:
    level = share * tank
    swap = swap_volume(
        level_l=level,
        ec_ms_per_cm=ec,
        tank_l=tank,
        target_ec_ms_per_cm=target,
        water_ec_ms_per_cm=tap,
    )
    assert 0 <= swap <= level + 1e-9
    assume(swap > 0)
    left = level - swap
    after = filled_ec(
        level_l=max(left, 0.0), ec_ms_per_cm=ec, added_l=tank - left, added_ec_ms_per_cm=tap
    )
    assert after == pytest.approx(target)


@given(st.lists(st.tuples(st.floats(0, 500), st.floats(0.1, 10)), min_size=1, max_size=5))
def test_parts_evened_out_keep_the_labels_ratio(parts: list[tuple[float, float]]) -> None:
    poured = [p for p, _ in parts]
    rates = [r for _, r in parts]
    assume(max(poured) > 0.01)
    adds = evened_out(poured_amounts=poured, label_rates_per_l=rates)
    assert min(adds) >= 0
    assert any(a == pytest.approx(0, abs=1e-9) for a in adds)
    strengths = [(p + a) / r for p, a, r in zip(poured, adds, rates, strict=True)]
    assert strengths == pytest.approx([strengths[0]] * len(strengths))


@given(st.floats(0.4, 3), st.floats(0, 0.4), st.floats(0.5, 3))
def test_the_strength_for_a_target_gives_the_target(target: float, tap: float, gain: float) -> None:
    share = strength_for_ec(target_ec_ms_per_cm=target, water_ec_ms_per_cm=tap, gain_ms_per_cm=gain)
    assume(share <= 2)
    ec = mixed_ec(water_ec_ms_per_cm=tap, gain_ms_per_cm=gain, strength_fraction=share)
    assert ec == pytest.approx(target)


@given(litres, litres, st.floats(0, 2))
def test_a_dose_grows_with_the_water(small: float, more: float, strength: float) -> None:
    first = part_amount(volume_l=small, rate_per_l=2, strength_fraction=strength)
    both = part_amount(volume_l=small + more, rate_per_l=2, strength_fraction=strength)
    assert both >= first
    rest = part_amount(volume_l=more, rate_per_l=2, strength_fraction=strength)
    assert both == pytest.approx(first + rest)


# At most 35 times the volume comes to it, which the tank's range must still hold.
@given(st.floats(1.6, 4), st.floats(0.6, 1.5), st.floats(0, 0.5), st.floats(0.1, 270))
def test_diluting_meets_the_target(ec: float, target: float, tap: float, volume: float) -> None:
    water = water_to_dilute(
        volume_l=volume, ec_ms_per_cm=ec, target_ec_ms_per_cm=target, water_ec_ms_per_cm=tap
    )
    after = mixed(first_l=volume, first_ec_ms_per_cm=ec, second_l=water, second_ec_ms_per_cm=tap)
    assert after == pytest.approx(target)


@given(st.floats(1.6, 4), st.floats(0.6, 1.5), st.floats(0, 0.5))
def test_one_exchange_of_its_share_meets_the_target(ec: float, target: float, fill: float) -> None:
    share = exchange_share(ec_ms_per_cm=ec, target_ec_ms_per_cm=target, fill_ec_ms_per_cm=fill)
    after = ec_after_exchanges(
        ec_ms_per_cm=ec, fill_ec_ms_per_cm=fill, share_fraction=share, times_n=1
    )
    assert after == pytest.approx(target)


@pytest.mark.parametrize(
    ("depth", "match"), [(-1.0, "depth"), (39.0, "depth"), (float("nan"), "depth")]
)
def test_refuses_a_depth_outside_the_tank(depth: float, match: str) -> None:
    with pytest.raises(OutOfRange, match=match):
        level_from_depth(depth_cm=depth, full_depth_cm=38.1, tank_l=60.6)


def test_refuses_an_empty_tank_that_gets_nothing() -> None:
    with pytest.raises(Impossible, match="no_water"):
        filled_ec(level_l=0, ec_ms_per_cm=1, added_l=0, added_ec_ms_per_cm=0)


def test_refuses_to_dilute_with_water_as_strong_as_the_target() -> None:
    with pytest.raises(Impossible, match="water_over_target"):
        swap_volume(
            level_l=10, ec_ms_per_cm=3, tank_l=10, target_ec_ms_per_cm=0.5, water_ec_ms_per_cm=0.6
        )
    with pytest.raises(Impossible, match="water_over_target"):
        strength_for_ec(target_ec_ms_per_cm=0.5, water_ec_ms_per_cm=0.6, gain_ms_per_cm=1.6)


def test_refuses_a_target_that_no_exchange_reaches() -> None:
    with pytest.raises(Impossible, match="fill_over_target"):
        exchange_share(ec_ms_per_cm=2, target_ec_ms_per_cm=1, fill_ec_ms_per_cm=1.5)


def test_refuses_parts_that_do_not_pair_up() -> None:
    with pytest.raises(Impossible, match="parts_differ"):
        evened_out(poured_amounts=[1], label_rates_per_l=[2, 2])
    with pytest.raises(Impossible, match="nothing_poured"):
        evened_out(poured_amounts=[0, 0], label_rates_per_l=[2, 2])
