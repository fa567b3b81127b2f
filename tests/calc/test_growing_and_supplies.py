"""From seed to plate, shares and bottles: laws, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calc.acid import molarity_mol_per_l
from calc.bands import exceeds, oxygen_flag, unit_slip
from calc.cleaning import bleach_at_rate_ml, bleach_for_chlorine_ml, chlorine_ppm, part_of_mix_l
from calc.cost import cost_per_head, shares_minor, uses_left_n, with_spare_n
from calc.errors import Impossible, OutOfRange
from calc.growing import (
    between_columns,
    days_for_degree_days,
    degree_days,
    ports_for_cutting_n,
    ports_for_heads_n,
    seeds_to_sow_n,
    shared_range,
)
from calc.source import hardness_class, over_guide, softener_sodium_mg_per_l
from calc.tables import crops

shares = st.floats(0.05, 1)


@given(st.integers(1, 200), shares, shares)
def test_enough_is_sown_and_not_one_more(plants: int, up: float, alive: float) -> None:
    seeds = seeds_to_sow_n(plants_n=plants, germination_fraction=up, survival_fraction=alive)
    assert seeds * up * alive >= plants - 1e-6
    assert (seeds - 1) * up * alive < plants


@pytest.mark.parametrize(
    ("crop", "warmth", "percent"),
    [("lettuce_leaf", 25, 99), ("lettuce_leaf", 30, 12), ("spinach", 15, 82), ("spinach", 25, 28)],
)
def test_germination_as_printed(crop: str, warmth: float, percent: float) -> None:
    """HARRINGTON54P as in the handbook's own text."""
    table = crops()[crop].germination_percent
    assert between_columns(columns_any=table, temperature_c=warmth) == percent


def test_never_reads_across_a_cell_left_out_nor_beyond_the_ends() -> None:
    parsley = crops()["parsley"].germination_percent
    with pytest.raises(Impossible, match="left_out"):
        between_columns(columns_any=parsley, temperature_c=15)
    with pytest.raises(OutOfRange, match="warmth = 45"):
        between_columns(columns_any=parsley, temperature_c=45)
    with pytest.raises(OutOfRange, match="warmth"):
        between_columns(columns_any=crops()["basil"].germination_percent, temperature_c=20)


def test_every_crop_of_the_table_can_be_read() -> None:
    assert len(crops()) == 47
    for crop in crops().values():
        for low, high in (crop.ph, crop.ec, crop.seedling_d, crop.port_d, crop.pick_weeks):
            assert 0 <= low <= high
        temperatures = [t for t, _ in crop.germination_percent]
        assert temperatures == sorted(set(temperatures))
        assert all(0 <= share <= 100 for _, share in crop.germination_percent)
        assert crop.place in ("any", "low") and crop.fit in ("good", "fair", "poor")


def test_of_all_pairs_few_need_another_tower() -> None:
    """811 good, 217 a compromise, 53 another tower: the handbook's own count over pH and EC."""
    found = {"good": 0, "compromise": 0, "separate": 0}
    every = list(crops().values())
    for at, one in enumerate(every):
        for two in every[at + 1 :]:
            kinds = {
                shared_range(
                    first_low_any=a[0],
                    first_high_any=a[1],
                    second_low_any=b[0],
                    second_high_any=b[1],
                    gap_allowed_any=0.5,
                ).verdict
                for a, b in ((one.ph, two.ph), (one.ec, two.ec))
            }
            worst = next(k for k in ("separate", "compromise", "good") if k in kinds)
            found[worst] += 1
    assert found == {"good": 811, "compromise": 217, "separate": 53}


ranges = st.tuples(st.floats(0.5, 4), st.floats(0.01, 2))


@given(ranges, ranges)
def test_sharing_does_not_care_who_comes_first(
    first: tuple[float, float], second: tuple[float, float]
) -> None:
    ends = [(low, low + wide) for low, wide in (first, second)]
    one, two = (
        shared_range(
            first_low_any=a[0],
            first_high_any=a[1],
            second_low_any=b[0],
            second_high_any=b[1],
            gap_allowed_any=0.5,
        )
        for a, b in (ends, ends[::-1])
    )
    assert one == two
    assert (one.gap == 0) == (one.verdict == "good")


@given(st.integers(0, 10**7), st.lists(st.integers(0, 50), min_size=1, max_size=40))
def test_shares_come_to_the_bill_to_the_coin(total: int, each: list[int]) -> None:
    assume(sum(each) > 0)
    owed = shares_minor(total_minor_n=total, shares_n=each)
    assert sum(owed) == total
    for coins, share in zip(owed, each, strict=True):
        assert abs(coins - total * share / sum(each)) < 1


@given(st.integers(1, 500), st.integers(1, 50), st.floats(0, 1))
def test_a_group_has_enough(people: int, each: int, spare: float) -> None:
    have = with_spare_n(people_n=people, each_n=each, spare_fraction=spare)
    assert have >= people * each and have - people * each * (1 + spare) < 1


@given(st.floats(0, 5000), st.floats(0, 500), st.floats(1, 200))
def test_a_bottle_is_never_overdrawn(left: float, planned: float, use: float) -> None:
    uses = uses_left_n(left_amount=left, planned_amount=planned, use_amount=use)
    assert uses == 0 or uses * use + planned <= left + 1e-6
    assert (uses + 1) * use + planned > left - 1e-6


@given(st.floats(1, 500), st.floats(1, 2000), st.floats(3, 10))
def test_bleach_makes_the_chlorine_that_was_wanted(
    volume: float, wanted: float, percent: float
) -> None:
    ml = bleach_for_chlorine_ml(volume_l=volume, chlorine_ppm=wanted, label_percent=percent)
    assume(ml >= 0.1)
    made = chlorine_ppm(bleach_ml=ml, water_ml=volume * 1000 - ml, label_percent=percent)
    assert made == pytest.approx(wanted)


@given(st.floats(1, 500), st.floats(0.5, 10), st.floats(3, 10), st.floats(3, 10))
def test_a_rate_gives_the_same_chlorine_from_any_label(
    tank: float, rate: float, rated: float, label: float
) -> None:
    ml = bleach_at_rate_ml(
        tank_l=tank, rate_ml_per_l=rate, rate_at_percent=rated, label_percent=label
    )
    assert ml * label == pytest.approx(rate * tank * rated)


@given(st.floats(0, 20), st.floats(0, 20))
def test_ports_grow_with_what_is_wanted(heads: float, more: float) -> None:
    few, many = (
        ports_for_heads_n(heads_per_week_n=h + 0.1, port_d=35) for h in (heads, heads + more)
    )
    assert few <= many
    assert ports_for_cutting_n(bunches_per_week_n=heads + 0.1, cuts_per_week_n=0.5) == math.ceil(
        round(2 * (heads + 0.1), 9)
    )


@given(st.floats(-20, 50), st.floats(0, 20))
def test_degree_days_have_a_floor_and_a_roof(low: float, span: float) -> None:
    high = min(60.0, low + span)
    assert 0 <= degree_days(t_max_c=high, t_min_c=low, base_c=4, upper_c=28) <= 24


@pytest.mark.parametrize(
    ("hardness", "word"),
    [(0, "soft"), (60, "soft"), (61, "moderate"), (120, "moderate"), (121, "hard"), (180, "hard"),
     (181, "very_hard")],
)  # fmt: skip
def test_hardness_as_the_survey_prints_it(hardness: float, word: str) -> None:
    """USGS: 0-60 soft, 61-120 moderately hard, 121-180 hard, more than 180 very hard."""
    assert hardness_class(hardness_mg_per_l_caco3=hardness) == word


def test_a_softener_trades_charge_for_charge() -> None:
    """Nine grains per gallon give about 71 mg/L of sodium: 7.9 a grain."""
    assert softener_sodium_mg_per_l(hardness_mg_per_l_caco3=17.118) == pytest.approx(7.9, abs=0.05)


def test_refusals() -> None:
    with pytest.raises(Impossible, match="too_cold"):
        days_for_degree_days(total_c_d=900, t_mean_c=3, base_c=4, upper_c=28)
    with pytest.raises(Impossible, match="no_shares"):
        shares_minor(total_minor_n=100, shares_n=[0, 0])
    with pytest.raises(Impossible, match="bands"):
        shared_range(
            first_low_any=3, first_high_any=2, second_low_any=1, second_high_any=2,
            gap_allowed_any=0.5,
        )  # fmt: skip
    with pytest.raises(OutOfRange, match="bleach strength = 40"):
        bleach_at_rate_ml(tank_l=10, rate_ml_per_l=4, rate_at_percent=6, label_percent=40)
    with pytest.raises(OutOfRange, match="strength = 20"):
        part_of_mix_l(strong_percent=10, wanted_percent=20, volume_l=1)
    with pytest.raises(OutOfRange, match="germination = 0"):
        seeds_to_sow_n(plants_n=5, germination_fraction=0, survival_fraction=1)
    with pytest.raises(OutOfRange, match="heads = 0"):
        cost_per_head(running_costs_any=[1], heads_n=0)
    with pytest.raises(OutOfRange, match="sodium"):
        over_guide(sodium_mg_per_l=-1, calcium_mg_per_l=0, chloride_mg_per_l=0, sulphate_mg_per_l=0)
    with pytest.raises(OutOfRange, match="density"):
        molarity_mol_per_l(acid="HNO3", weight_percent=67, density_kg_per_l=14)


def test_flags_at_their_limits() -> None:
    assert not exceeds(value_any=50, limit_any=50)
    assert [oxygen_flag(oxygen_mg_per_l=v) for v in (2.9, 3, 4.9, 5)] == [
        "red", "yellow", "yellow", "ok",
    ]  # fmt: skip
    assert not unit_slip(new_ms_per_cm=0.15, last_ms_per_cm=1.5)
    assert unit_slip(new_ms_per_cm=0.14, last_ms_per_cm=1.5)
