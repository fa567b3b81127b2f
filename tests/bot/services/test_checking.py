"""Readings against their bands, the drift, and when it is due again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.records.facts import Member, PolicyValue
from bot.records.questions import Check, Schedule
from bot.render import plain
from bot.services import answer
from bot.services.log.use import use_of
from tests.bot.books import GAL, KITCHEN, PORCH, TAMSIN, book, no_towers
from tests.bot.logs import NOW, entry, logged


@pytest.mark.parametrize(
    ("ec", "word"),
    [
        # FEATURES M27, target 1.7, tap 0.4: fine 1.28-2.13, red below 0.85 or above 2.72
        ("2.0", "reading.ec_ok"),
        ("1.28", "reading.ec_ok"),
        ("2.12", "reading.ec_ok"),
        ("2.4", "reading.ec_yellow_high"),
        ("2.8", "reading.ec_red_high"),
        ("1.2", "reading.ec_yellow_low"),
        ("0.7", "reading.ec_red_low"),
        ("0.3", "reading.ec_below_tap"),
    ],
)
def test_ec_against_the_target(ec: str, word: str) -> None:
    assert answer(Check(ec=ec), book()).do[0].word == word


@pytest.mark.parametrize(
    ("ph", "word"),
    [
        # Oklahoma State Univ. Extension, EC and pH Guide for Hydroponics: 5.5 to 6.5
        ("6.0", "reading.ph_ok"),
        ("5.5", "reading.ph_ok"),
        ("6.8", "reading.ph_yellow_high"),
        ("5.2", "reading.ph_yellow_low"),
        ("7.2", "reading.ph_red_high"),
        ("4.8", "reading.ph_red_low"),
    ],
)
def test_ph_against_the_band(ph: str, word: str) -> None:
    found = answer(Check(ph=ph), book())
    assert found.do[0].word == word
    assert "mL" not in plain(found, book())  # pH alone never gives an amount


@pytest.mark.parametrize(
    ("temp", "word"),
    [
        ("70F", "reading.temp_ok"),
        ("25 C", "reading.temp_yellow_high"),
        ("83F", "reading.temp_red_high"),
        ("13 C", "reading.temp_yellow_low"),
        ("3 C", "reading.temp_red_low"),
    ],
)
def test_the_roots_warmth(temp: str, word: str) -> None:
    assert answer(Check(temp=temp), book()).do[0].word == word


def test_a_number_without_a_scale_is_asked_once_and_remembered() -> None:
    found = answer(Check(ec="875"), book())
    said = plain(found, book())
    assert "1.75" in said and "1.25" in said  # FEATURES M11
    assert said.count("?") == 1
    chosen = found.offers[0].remember[0]
    assert (chosen.setting, chosen.value) == ("tds_scale", 500)
    settled = book().believing(tds_scale=500)
    assert answer(Check(ec="875"), settled).do[0].word == "reading.ec_ok"


def drift(first_ec: float, then: str, *between: object) -> list[str]:
    start = entry(1, days=3, level_l=15 * GAL, ec=first_ec)
    lines = logged(start, *between)  # type: ignore[arg-type]  # entries
    found = answer(Check(ec=then, level="half"), lines)
    return [one.word for one in found.expect]


def test_the_drift_speaks_only_when_it_means_something() -> None:
    """JOB C9: level down a tenth or more, no dose between, more than 0.2."""
    assert drift(1.7, "2.0") == ["reading.drift_weaker_fine"]  # 2.0 is near the aim of 1.7
    assert drift(1.9, "2.3") == ["reading.drift_weaker"]
    assert drift(1.7, "1.4") == ["reading.drift_stronger_fine"]
    assert drift(1.6, "1.2") == ["reading.drift_stronger"]
    assert drift(1.7, "1.8") == ["reading.drift_same"]
    dosed = entry(2, days=1, amounts=(("A", 20.0),), kind="dose")
    assert drift(1.7, "2.0", dosed) == []
    start = entry(1, days=3, level_l=8.5 * GAL, ec=1.7)
    assert answer(Check(ec="2.0", level="half"), logged(start)).expect == ()


def test_the_coachs_bands_count() -> None:
    narrow = book(ec_ok_high=PolicyValue(value=1.1))
    assert answer(Check(ec="2.0"), narrow).do[0].word == "reading.ec_yellow_high"


def test_the_week_says_when_to_top_up() -> None:
    """FEATURES M16: 15.4 gal Tue 7 am, 10.2 Sat 7 am is 1.3 gal a day; half (8 gal) in 1.7 days."""
    lines = logged(entry(1, days=4, level_l=15.4 * GAL), entry(2, days=0, level_l=10.2 * GAL))
    found = answer(Schedule(), lines)
    said = plain(found, book())
    assert "Wed 13 May: kitchen: top up 8 gal, 65 mL of each" in said  # 2.2 gal at 1.3 a day
    pen = replace(lines, member=replace(lines.member, has_ec_meter=True))
    assert "by the label" in plain(answer(Schedule(), pen), pen)
    assert "pump line Sat 16 May" in said  # 6.7 gal above 3.5: 5.2 days


def test_a_tank_past_its_mark_is_for_now() -> None:
    lines = logged(entry(1, days=6, level_l=15 * GAL), entry(2, days=1, level_l=7 * GAL))
    said = plain(answer(Schedule(), lines), book())
    assert "Mon 11 May: kitchen: top up now, 9 gal" in said


def test_a_level_that_rose_is_never_fitted() -> None:
    lines = logged(entry(1, days=3, level_l=6 * GAL), entry(2, days=1, level_l=8 * GAL))
    found = answer(Schedule(), lines)
    assert "two level readings a day apart" in plain(found, book())


def test_the_rate_counts_from_the_full_tank_after_a_topup() -> None:
    """Filled as shown tells the level before and the full tank at one moment: 60 L, then 15 L."""
    lines = logged(
        entry(1, days=2, level_l=15.0),
        entry(2, days=2, level_l=60.0, water_added_l=45.0, kind="topup"),
        entry(3, level_l=15.0),
    )
    use = use_of(KITCHEN, lines)
    assert use is not None and use.l_per_d == pytest.approx(22.5)


def test_an_unlogged_fill_begins_anew() -> None:
    lines = logged(
        entry(1, days=9, level_l=60.0), entry(2, days=6, level_l=30.0),
        entry(3, days=5, level_l=60.0), entry(4, days=2, level_l=40.0),
    )  # fmt: skip
    use = use_of(KITCHEN, lines)
    assert use is not None and use.l_per_d == pytest.approx(20 / 3)


def test_a_change_falls_due_by_days_or_by_tanks() -> None:
    """FEATURES S7: changed 2 May, 17 gal added, 16 gal tank: 7 gal more at 0.85 a day."""
    change = entry(1, days=9, kind="change", level_l=16 * GAL)
    fills = [
        entry(2, days=5, level_l=16 * GAL, water_added_l=10 * GAL, kind="topup"),
        entry(3, days=1, level_l=16 * GAL, water_added_l=10 * GAL, kind="topup"),
    ]
    # 20 gal in 8 days is 2.5 a day; 24 - 20 = 4 gal left, 1.6 days from the last fill, Sun 10 May
    said = plain(answer(Schedule(), logged(change, *fills)), book())
    assert "Tue 12 May: kitchen: full change due (last 2 May)" in said
    late = logged(entry(1, days=40, kind="change", level_l=16 * GAL))
    assert "Mon 11 May: kitchen: full change due" in plain(answer(Schedule(), late), book())


def test_a_tower_without_plants_has_its_own_week() -> None:
    today = NOW.date()
    coming = replace(KITCHEN, stage="coming", arrives_on=today, sown_on=today)
    said = plain(answer(Schedule(), book(coming)), book())
    assert "Mon 11 May: kitchen: leak run" in said
    assert "Tue 12 May: kitchen: empty it by the jug" in said
    assert "top up" not in said


def test_all_towers_or_the_set_up() -> None:
    assert "porch" in plain(answer(Schedule(), book(KITCHEN, PORCH)), book())
    assert answer(Schedule(), no_towers(Member(units="us"))).intent == "newcomer"


@pytest.mark.parametrize(("days", "said"), [(44, False), (60, True)])
def test_a_pen_that_was_not_calibrated_for_long_is_named(days: int, said: bool) -> None:
    last = date(2026, 5, 11) - timedelta(days=days)
    facts = book(member=replace(TAMSIN, has_ec_meter=True, calibrated_on=last))
    text = plain(answer(Check(ec="1.7"), facts), facts)
    assert ("days ago: do that before you trust it" in text) is said
    assert "days ago" not in plain(answer(Check(level="half"), facts), facts)
