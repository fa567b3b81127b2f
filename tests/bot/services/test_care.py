"""pH, source water, heat, outage, cleaning, days away: the numbers of the acceptance examples, and
what is refused. FEATURES and JOB are the founders' sheets of worked examples."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.records.answer import Computed, FromTable
from bot.records.book import Book
from bot.records.changes import AddEntry, AddRule, EditTower, StopRules
from bot.records.facts import Planting, PolicyValue, Tower
from bot.records.questions import (
    Away,
    Clean,
    Dose,
    Heat,
    Outage,
    Ph,
    Question,
    Source,
    Start,
    TopUp,
)
from bot.records.reminders import OUTAGE, Pattern, Reminding
from bot.render import plain
from bot.services import answer
from tests.bot.books import GAL, IFE, KITCHEN, LIBRARY, PORCH, TAMSIN, book, no_towers
from tests.bot.logs import NOW, entry, logged

INDOORS = replace(KITCHEN, place="indoor")
RATE = {"bleach_ml_per_l": PolicyValue(value=14.787 / GAL, set_on=date(2026, 5, 4), by="Wenna")}


def amounts(question: Question, at: Book) -> dict[str, float]:
    return {a.name: a.value for a in answer(question, at).amounts}


def said(question: Question, at: Book) -> str:
    return plain(answer(question, at), at)


# ---- pH


def test_the_jug_test_is_scaled_to_the_water_in_the_tank_now() -> None:
    """FEATURES M12: 2 drops per L, library full, 70 L -> 7 mL, 3.5 first; at half 3.5 and 1.75."""
    at = book(LIBRARY, member=IFE)
    full = amounts(Ph(drops="2", level="full"), at)
    assert full == pytest.approx({"full_dose": 7.0, "first_step": 3.5})
    half = amounts(Ph(drops="2", level="half"), at)
    assert half == pytest.approx({"full_dose": 3.5, "first_step": 1.75})
    text = said(Ph(drops="2", level="full"), at)
    assert text.startswith(
        "Library: add 3.5 mL of the bottle you tested now (half); pump on 15 min, then re-test."
    )
    assert "20 drops per mL is a guess" in text and "never near bleach" in text


def test_drops_in_a_gallon_and_the_persons_own_dropper() -> None:
    """6 drops a gallon, 8 gal in the tank: 2.4 mL by 20 drops/mL, 2 mL by 24."""
    found = amounts(Ph(drops="6 per gal", level="half"), book())
    assert found["full_dose"] == pytest.approx(2.4)
    counted = book(member=replace(TAMSIN, drops_per_ml=24.0))
    assert amounts(Ph(drops="6", jug="1 gal", level="half"), counted)["full_dose"] == pytest.approx(
        2
    )
    assert "guess until" not in said(Ph(drops="6", jug="1 gal", level="half"), counted)


def test_ph_alone_never_gives_an_amount() -> None:
    """C10: the test comes first; the only numbers are those of the test itself."""
    for ph in ("7.4", "4.9"):
        found = answer(Ph(ph=ph), book())
        text = plain(found, book())
        assert found.outcome == "clarify" and found.amounts == ()
        assert "drop by drop" in text and "mL" not in text
    assert "pH-up" in said(Ph(ph="4.9"), book())


def test_inside_the_band_nothing_is_corrected_whatever_the_drops() -> None:
    found = answer(Ph(ph="6.2", drops="2", level="half"), book())
    assert found.amounts == () and "leave it alone" in plain(found, book())


def test_an_unknown_level_is_asked_and_a_read_one_named_with_its_day() -> None:
    found = answer(Ph(drops="2"), book())
    assert found.outcome == "clarify" and found.amounts == ()
    read = logged(entry(1, days=0.25, level_l=8 * GAL))
    assert amounts(Ph(drops="2"), read)["full_dose"] == pytest.approx(2 * 8 * GAL / 20)
    assert "as last read" in said(Ph(drops="2"), read)
    days_ago = entry(2, days=2, level_l=8 * GAL)
    assert answer(Ph(drops="2"), logged(days_ago)).outcome == "clarify"  # how thirsty, who knows
    thirsty = logged(entry(1, days=6, level_l=12 * GAL), days_ago)  # 1 gal a day: 6 gal by now
    assert amounts(Ph(drops="2"), thirsty)["full_dose"] == pytest.approx(2 * 6 * GAL / 20)
    assert "less what it drinks" in said(Ph(drops="2"), thirsty)
    old = logged(entry(1, days=9, level_l=8 * GAL))
    assert answer(Ph(drops="2"), old).outcome == "clarify"


def test_one_correction_a_day() -> None:
    done = answer(Ph(drops="2", level="half"), book()).offers[0].question
    logged_it = answer(done, book())
    change = logged_it.changes[0]
    assert isinstance(change, AddEntry) and change.entry.note.startswith("pH-down 1.5 mL")
    assert change.entry.amounts == ()  # no feed: the second-dose guard leaves it alone
    after = logged(replace(change.entry, id=5, at=NOW - timedelta(hours=3)))
    again = answer(Ph(drops="2", level="half"), after)
    assert again.amounts == () and "one correction a day" in plain(again, after)
    tomorrow = logged(replace(change.entry, id=5, at=NOW - timedelta(hours=23)))
    assert answer(Ph(drops="2", level="half"), tomorrow).amounts


def test_hard_water_is_told_to_climb_back() -> None:
    hard = book(replace(KITCHEN, hardness_mg_per_l=154.0))
    assert "climb back" in said(Ph(drops="2", level="half"), hard)
    assert "climb back" not in said(Ph(drops="2", level="half"), book())


# ---- source water


@pytest.mark.parametrize(
    ("question", "words"),
    [
        (Source(water="tap", hardness="154 mg/L"), ["hard (9.0 grains per gal)"]),  # FEATURES S11
        (Source(hardness="9 grains"), ["154 mg/L is hard"]),
        (Source(hardness="50 mg/l"), ["soft"]),
        (Source(water="softened", hardness="9 grains"), ["before the softener", "71 mg/L sodium"]),
        (Source(water="ro"), ["calcium and magnesium", "label"]),
        (Source(water="rain"), ["without the coach's word"]),
        (Source(water="well"), ["stand a day with air"]),
        (Source(sodium="60"), ["over the guide limit of 50"]),  # OSU HLA-6722: Na < 50
        (Source(chloride="100"), ["within the guide limits"]),  # Cl < 140
        (Source(alkalinity="90 mg/L"), ["drives the pH up"]),
        (Source(treated="chloramine"), ["does not leave"]),
        (Source(treated="chlorine"), ["24 h of strong aeration"]),
    ],
)
def test_water_in_words(question: Source, words: list[str]) -> None:
    text = said(question, book())
    for word in words:
        assert word in text, text


def test_a_bare_hardness_is_asked_about_with_both_readings() -> None:
    found = answer(Source(hardness="12"), book())
    assert found.outcome == "clarify"
    again = answer(found.offers[1].question, book())
    assert {a.name: a.value for a in again.amounts}["gpg"] == pytest.approx(12.0)


def test_only_the_coach_is_told_what_to_have_members_buy() -> None:
    asked = Source(alkalinity="120 mg/L")
    assert "ready pH-down" not in said(asked, book())
    assert "ready pH-down" in said(asked, book(member=replace(TAMSIN, role="coach")))
    assert "mL" not in said(asked, book(member=replace(TAMSIN, role="coach")))


def test_a_water_is_kept_with_its_tower_and_bare_water_reads_nothing() -> None:
    offer = answer(Source(water="ro"), book()).offers[0].question
    change = answer(offer, book()).changes[0]
    assert isinstance(change, EditTower)
    facts = {"water": "ro", "water_ec": 0.0}
    facts |= {"hardness_mg_per_l": None, "alkalinity_mg_per_l": None}  # of the water before
    assert dict(change.facts) == facts


# ---- heat


def test_bottles_that_cool_a_tank() -> None:
    """FEATURES S9: 11 gal at 83 F to 70 F -> 2.7, said as 3 bottles, one an hour, washed."""
    asked = Heat(temp="83F", to="70F", level="11 gal")
    assert amounts(asked, book())["bottles"] == pytest.approx(2.7, abs=0.05)
    text = said(asked, book())
    assert text.startswith("3 frozen 1 L bottles (2.7 by the sum), one an hour")
    assert "washed" in text and "without the bottles" in text


def test_heat_shortens_the_days_to_the_pump_line() -> None:
    """FEATURES S9: 8 gal above the pump line at 1.25 a day, thirst x1.5: 4.3 days, not 6.4."""
    at = logged(
        entry(1, days=4, level_l=16 * GAL),
        entry(2, level_l=11 * GAL),
        base=book(replace(KITCHEN, pump_min_l=3 * GAL)),
    )
    text = said(Heat(temp="83F", level="11 gal"), at)
    assert "4.3 days to the pump line, not 6.4" in text


def test_cool_water_needs_no_ice_and_boiling_no_answer() -> None:
    assert "nothing to cool" in said(Heat(temp="68F", level="half"), book())
    assert answer(Heat(temp="180F", level="half"), book()).outcome == "clarify"
    assert "no aim for roots" in said(Heat(temp="105F", level="2 gal", to="50F"), book())


def test_the_temperature_alone_needs_a_level() -> None:
    assert answer(Heat(temp="84F"), book()).outcome == "clarify"
    assert answer(Heat(), book()).outcome == "clarify"


# ---- outage


def test_dry_roots_get_their_steps_before_any_question() -> None:
    """FEATURES M14, whoever asks, with no tower, one, or several."""
    for at in (book(), no_towers(), book(KITCHEN, PORCH), replace(book(), private=False)):
        found = answer(Outage(), at)
        assert found.outcome == "answer"
        text = plain(found, at)
        assert text.startswith("Unplug the pump. Pour about 1 gal (4 L) of tank water slowly in")
        assert "Shade" in text and "electrician" in text


@pytest.mark.parametrize(
    ("tower", "heat", "least", "most"),
    [(KITCHEN, "hot", 30, 60), (KITCHEN, "95F", 30, 60), (KITCHEN, "mild", 60, 90),
     (KITCHEN, "65F", 60, 90), (INDOORS, None, 60, 120)],
)  # fmt: skip
def test_how_often_to_pour(tower: Tower, heat: str | None, least: float, most: float) -> None:
    """C13, common practice: hot 30 to 60, mild 60 to 90, indoors 60 to 120 min."""
    found = answer(Outage(heat=heat), book(tower))
    (every,) = found.amounts
    assert least <= every.value <= most
    assert every.origin == FromTable("common practice")
    assert f"{least} min" in plain(found, book(tower))


def test_a_room_is_not_told_where_a_tower_stands() -> None:
    room = replace(book(INDOORS), private=False)
    text = said(Outage(), room)
    assert "In hot sun" in text and "Indoors" in text


def test_nudges_are_a_rule_in_real_time_and_end_when_the_power_is_back() -> None:
    found = answer(Outage(step="nudge", every="60"), book())
    rule = next(c.rule for c in found.changes if isinstance(c, AddRule))
    assert rule.what == OUTAGE and rule.tower_id == 1
    assert rule.pattern == Pattern(
        start_local="2026-05-11T19:00", rrule="FREQ=MINUTELY;INTERVAL=60;COUNT=48", kind="elapsed"
    )
    (begun,) = [c.entry for c in found.changes if isinstance(c, AddEntry)]
    running = replace(
        logged(replace(begun, id=3, at=NOW - timedelta(hours=2))),
        reminding=Reminding(rules=(replace(rule, id=9),)),
    )
    back = answer(Outage(step="back"), running)
    assert StopRules(rule_ids=(9,)) in back.changes
    text = plain(back, running)
    assert "turn the dial forward 2 h" in text and "felt and heard before it is trusted" in text
    again = answer(Outage(step="nudge", every="30"), running)
    assert StopRules(rule_ids=(9,)) in again.changes
    assert not any(isinstance(c, AddEntry) for c in again.changes)  # the same outage


def test_the_restart_list_fits_the_timer() -> None:
    digital = book(replace(KITCHEN, timer_kind="digital"))
    assert "digital timer" in said(Outage(step="back"), digital)
    assert "turn the dial forward 45 min" in said(Outage(step="back", lasted="0.75"), book())
    assert "late by the length of the cut" in said(Outage(step="back"), book())


# ---- cleaning


def test_without_the_coachs_rate_there_is_no_amount() -> None:
    found = answer(Clean(label="6"), book())
    text = plain(found, book())
    assert found.amounts == () and "no rate" in text
    assert "tbsp" not in text and "mL" not in text


@pytest.mark.parametrize(("label", "ml"), [(None, 148.0), ("6", 148.0), ("8.25 %", 107.5)])
def test_bleach_by_the_coachs_rate_and_the_label(label: str | None, ml: float) -> None:
    """FEATURES S8: porch 10 gal, 1 tbsp a gal -> 148 mL at 6 %, 108 mL at 8.25 %."""
    at = book(PORCH, **RATE)
    found = answer(Clean(label=label), at)
    assert found.amounts[0].value == pytest.approx(ml, abs=0.5)
    text = plain(found, at)
    for word in ("plants out first", "not splash-free or thick",
                 "sewer drain, not the garden", "two plain-water runs of 10 min", "until no smell",
                 "pH bottles out of reach", "toxic gas", "Wenna's setting, 4 May"):  # fmt: skip
        assert word in text, word
    assert ("6 % is assumed" in text) == (label is None)


def test_growing_ports_stop_it() -> None:
    """FEATURES S8: ports still marked growing: it stops there, with no amount."""
    grown = tuple(Planting(tower="porch", level=1, port=n, crop="lettuce", id=n) for n in (1, 2, 3))
    at = replace(book(PORCH, **RATE), plantings=grown)
    found = answer(Clean(label="6"), at)
    assert found.amounts == () and "3 ports of porch" in plain(found, at)


@pytest.mark.parametrize(
    "beside", ["vinegar", "pH-down", "ammonia", "peroxide", "dish soap", "a bit of lemon"]
)
def test_nothing_goes_in_beside_bleach(beside: str) -> None:
    at = book(PORCH, **RATE)
    found = answer(Clean(label="6", beside=beside), at)
    text = plain(found, at)
    assert found.outcome == "refuse" and found.amounts == ()
    assert "toxic" in text and not any(c.isdigit() for c in text)


def test_a_label_beyond_any_bleach_is_asked_about() -> None:
    found = answer(Clean(label="40"), book(PORCH, **RATE))
    assert found.outcome == "clarify" and found.amounts == ()


def test_cleaned_is_logged_and_the_first_fill_follows() -> None:
    done = answer(Clean(tower="porch", done="yes"), book(PORCH))
    (change,) = done.changes
    assert isinstance(change, AddEntry) and change.entry.kind == "clean"
    assert done.offers[1].question == Dose(tower="porch")


# ---- days away


def test_away_as_in_the_example() -> None:
    """FEATURES S5: 9 d, 16 gal, 1.3 a day, pump line 3.5 -> 9.6 d, 0.6 spare; hot 6.4; helper on
    day 3, then every 3 days, 3.9 gal (5.9 if hot) + 31 mL each."""
    asked = Away(days="9", use="1.3 gal")
    found = amounts(asked, book())
    assert found["days_to_min"] == pytest.approx(9.615, abs=0.01)
    assert found["margin"] == pytest.approx(0.615, abs=0.01)
    text = said(asked, book())
    assert (
        "9.6 days to the pump line" in text
        and "only 0.6 more than your 9" in text
        and "6.4" in text
    )
    assert "on day 3, then every 3 days: to the line, pump off (3.9 gal, 5.9 gal if hot)" in text
    assert "31 mL" in text and "labelled" in text
    assert text.startswith("Too close")


def test_away_yes_and_no() -> None:
    assert said(Away(days="3", use="1.3 gal"), book()).startswith("Yes")
    assert said(Away(days="2 weeks", use="1.3 gal"), book()).startswith("No")
    assert "a fifth more" in said(Away(days="3", use="1.3 gal"), book(INDOORS))


def test_away_asks_for_the_use_it_does_not_know_and_never_answers_in_a_room() -> None:
    assert answer(Away(days="9"), book()).outcome == "clarify"
    room = replace(book(), private=False)
    assert "Just for me" not in said(Away(days="9", use="1.3 gal"), room)
    assert answer(Away(days="9", use="1.3 gal"), room).intent == "private"


def test_a_helpers_bottles_follow_the_coachs_refill_strength() -> None:
    rule = {"no_meter_topup_strength": PolicyValue(value=0.6, set_on=date(2026, 5, 11), by="Wenna")}
    text = said(Away(days="9", use="1.3 gal"), book(**rule))
    assert "19 mL" in text  # 3.9 gal x 8 mL x 0.6


# ---- where numbers come from


@pytest.mark.parametrize(
    "question",
    [Ph(drops="2", level="half"), Heat(temp="83F", level="11 gal"), Away(days="9", use="1.3 gal"),
     Clean(tower="kitchen")],
)  # fmt: skip
def test_every_amount_says_what_it_was_worked_out_from(question: Question) -> None:
    for amount in answer(question, book(**RATE)).amounts:
        assert isinstance(amount.origin, Computed) and amount.origin.inputs


def test_the_warm_tank_offers_the_top_up() -> None:
    assert answer(Heat(temp="83F", level="11 gal"), book()).offers[0].question == TopUp(
        tower="kitchen", level="11 gal"
    )


# ---- what nobody may be given an amount for


@pytest.mark.parametrize(
    "label", ["6 % vinegar", "6 % ammonia", "3 % peroxide", "10 % muriatic acid"]
)
def test_another_bottle_is_no_bleach(label: str) -> None:
    at = book(**RATE)
    assert amounts(Clean(water="16 gal", label="6 % household bleach"), at)["bleach"] > 0
    assert answer(Clean(water="16 gal", label=label), at).amounts == ()


@pytest.mark.parametrize("drops", ["5 nitric acid", "2 battery acid", "3 bleach", "4 of vinegar"])
def test_nothing_strong_is_dosed_by_the_drop(drops: str) -> None:
    found = answer(Ph(drops=drops, level="full"), book())
    assert found.outcome == "refuse" and found.amounts == ()


def test_the_bottle_said_is_the_bottle_answered() -> None:
    assert "pH-up now" in said(Ph(drops="2 drops pH up", level="half"), book())
    wrong = answer(Ph(ph="7.2", drops="2 drops pH up", level="half"), book())
    assert wrong.outcome == "clarify" and wrong.amounts == ()
    assert answer(Ph(drops="0.25", jug="20 l", level="half"), book()).amounts == ()


def test_after_midnight_is_the_same_correction() -> None:
    """20 h after one at half past midnight it is still that day."""
    early = NOW.replace(hour=5, minute=30)  # 1:30 am in New York
    done = replace(entry(1, kind="ph"), at=early, note="pH-down 1.5 mL")
    late = replace(logged(done), now=early + timedelta(hours=20.5))
    assert answer(Ph(drops="2", level="half"), late).amounts == ()


def test_a_number_that_is_hot_in_one_scale_and_freezing_in_the_other_is_asked_about() -> None:
    found = answer(Heat(temp="35", level="half"), book(KITCHEN))
    assert found.outcome == "clarify"
    assert plain(found, book(KITCHEN)).count("?") == 1
    celsius = next(o for o in found.offers if "35 C" in str(o.question))
    assert answer(celsius.question, book(KITCHEN)).outcome == "answer"
    assert answer(Heat(temp="83", level="half"), book(KITCHEN)).outcome == "answer"


def test_a_fortnight_is_two_weeks_and_no_word_is_cut() -> None:
    assert "14" in plain(answer(Away(days="a fortnight", use="1.3 gal a day"), book()), book())
    text = plain(answer(Away(days="forever"), book()), book())
    assert "“forever”" in text


def test_heat_before_any_tower_begins_the_set_up() -> None:
    found = answer(Heat(air="97F"), no_towers())
    assert isinstance(found.awaits.question if found.awaits else None, Start)
