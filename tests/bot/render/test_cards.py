"""What a person reads: snapshots of the longest and the emptiest cards, and what always holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from syrupy.assertion import SnapshotAssertion

from bot.records.answer import Measure, Pour, Pours, line
from bot.records.facts import Feed, Part, PolicyValue
from bot.records.questions import (
    Away,
    ChangeDue,
    Clean,
    Dose,
    Forecast,
    Harvest,
    Heat,
    Help,
    Leak,
    NotMine,
    Outage,
    Ph,
    Plan,
    Plugs,
    PortPlant,
    Question,
    Shares,
    Source,
    Stock,
    TopUp,
    TowerAdd,
    TowerShow,
)
from bot.render import card, content_of, plain
from bot.render.numbers import measure, number
from bot.render.pours import pourable, rounded
from bot.services import answer
from tests.bot.books import IFE, KITCHEN, LIBRARY, PORCH, TAMSIN, book, no_towers

RULE = PolicyValue(value=0.6, set_on=date(2026, 5, 11), by="Wenna")
BLEACH = PolicyValue(value=3.9, set_on=date(2026, 5, 4), by="Wenna")
RULES = {
    "topup_no_meter": {"no_meter_topup_strength": RULE},
    "clean": {"bleach_ml_per_l": BLEACH},
}
CARDS: dict[str, Question] = {
    "topup_meter": TopUp(level="half", ec="1.9"),
    "topup_no_meter": TopUp(level="half"),
    "topup_finger": TopUp(level="a finger above a quarter", ec="2.1"),
    "topup_swap": TopUp(level="full", ec="2.8"),
    "topup_nothing": TopUp(level="full", ec="2.3"),
    "topup_poured": TopUp(added="3 gal"),
    "topup_full_weak": TopUp(level="full", ec="1.2"),
    "dose_first_fill": Dose(),
    "dose_tray": Dose(water="3 L", strength="quarter", rate="2 ml per litre"),
    "dose_even": Dose(poured="A 140, B 78"),
    "tower_add": TowerAdd(name="balcony", tank="12 gal", depth="14 in", place="outdoor"),
    "tower_show": TowerShow(),
    "help": Help(),
    "not_mine": NotMine(about="off_topic"),
    "premix": NotMine(about="contact"),
    "dry_roots": NotMine(about="dry_roots"),
    "ph": Ph(drops="2", level="half"),
    "ph_alone": Ph(ph="7.4"),
    "source_hard": Source(water="tap", hardness="154 mg/L", alkalinity="120 mg/L"),
    "source_softened": Source(water="softened", hardness="9 grains"),
    "heat": Heat(temp="83F", level="11 gal"),
    "outage_hot": Outage(heat="95F"),
    "outage_back": Outage(step="back", lasted="2"),
    "clean": Clean(label="8.25"),
    "clean_no_rate": Clean(),
    "away": Away(days="9", use="1.3 gal"),
    "leak": Leak(lost="7 gal", hours="10", use="1.25 gal"),
    "forecast": Forecast(before="15.4 gal", after="10.2 gal", days="4", mark="3.5 gal"),
    "change_due": ChangeDue(since="1 may", added="17 gal"),
    "plan_week": Plan(crop="spinach", per_week="5", warmth="77F"),
    "plan_day": Plan(crop="lettuce", by="22 aug"),
    "port_plant": PortPlant(crop="tomato", ports="L5P1"),
    "harvest": Harvest(what="340 g lettuce, 5 oz basil"),
    "stock": Stock(item="A", left="900 ml", use="48 ml", lead="5"),
    "plugs": Plugs(people="27", each="9", spare="15 %", seeds="2"),
    "shares": Shares(total="124.50", shipping="24", shares="11", mine="2"),
    "too_deep": TopUp(level="27 in below full"),
}


@pytest.mark.parametrize("name", CARDS)
def test_a_card_reads_as_it_did(name: str, snapshot: SnapshotAssertion) -> None:
    facts = book(**RULES.get(name, {}))
    shown = card(answer(CARDS[name], facts), facts)
    assert "\n".join([content_of(shown), *[f"[{b}]" for b in shown.buttons]]) == snapshot


def test_a_metric_card_reads_as_it_did(snapshot: SnapshotAssertion) -> None:
    facts = book(LIBRARY, member=IFE)
    assert content_of(card(answer(TopUp(level="half", ec="1.5"), facts), facts)) == snapshot


def test_a_typed_rate_without_a_feed_reads_as_it_did(snapshot: SnapshotAssertion) -> None:
    nobody = replace(no_towers(), feeds=())
    question = Dose(water="10 gal", rate="2 ml per litre")
    assert content_of(card(answer(question, nobody), nobody)) == snapshot


def test_two_towers_read_as_they_did(snapshot: SnapshotAssertion) -> None:
    facts = book(KITCHEN, PORCH)
    assert content_of(card(answer(TopUp(level="30%"), facts), facts)) == snapshot


@pytest.mark.parametrize("name", CARDS)
def test_a_card_fits_a_phone_and_the_platform(name: str) -> None:
    shown = card(answer(CARDS[name], book()), book())
    content = content_of(shown)
    assert len(content) <= 2000
    assert len(content.splitlines()) <= 9
    assert all(len(label) <= 80 for label in shown.buttons)


@pytest.mark.parametrize("name", CARDS)
def test_the_first_line_of_an_answer_is_the_action(name: str) -> None:
    found = answer(CARDS[name], book())
    first = card(found, book()).text.splitlines()[0]
    assert first.startswith("**") == (found.outcome == "answer")
    if found.outcome == "clarify":
        assert plain(found, book()).count("?") == 1


@pytest.mark.parametrize(
    ("exact", "said"),
    [
        (1.47, 1.5),
        (4.96, 5.0),
        (5.4, 5.5),
        (31.4, 31),
        (49.6, 50),
        (62.7, 65),
        (128, 130),
        (0.04, 0.0),
    ],
)
def test_a_pour_is_rounded_to_what_a_syringe_can_do(exact: float, said: float) -> None:
    assert pourable(exact) == pytest.approx(said)


@given(st.lists(st.floats(0.05, 10), min_size=1, max_size=4), st.floats(1, 60))
def test_what_is_said_stays_near_what_was_worked_out(rates: list[float], litres: float) -> None:
    """Each part within 10 % of its exact dose (5 % twice over), or half a mark of a syringe."""
    parts = tuple(Pour(str(i), rate * litres) for i, rate in enumerate(rates))
    for pour, shown in zip(parts, rounded(parts), strict=True):
        assert shown == pytest.approx(pour.amount, rel=0.105, abs=0.05)


def test_a_tiny_part_keeps_its_ratio() -> None:
    for litres in (0.5, 1.2, 20.0):
        base, booster = rounded((Pour("Base", 2 * litres), Pour("Booster", 0.05 * litres)))
        assert base == pytest.approx(2 * litres, rel=0.05)
        assert booster == pytest.approx(base / 40, rel=0.2)


@pytest.mark.parametrize(
    ("shown", "us", "metric"),
    [
        (Measure(60.566588, "water"), "16 gal", "60.6 L"),
        (Measure(4.314, "water"), "1.14 gal", "4.3 L"),
        (Measure(0.6, "water"), "600 mL", "600 mL"),
        (Measure(60.566588, "water_other"), "60.6 L", "16 US gal"),
        (Measure(1.85, "ec_about"), "1.9", "1.9"),
        (Measure(1.0, "share"), "full label rate", "full label rate"),
        (Measure(0.8125, "share"), "81 % of label", "81 % of label"),
        (Measure(2.11337641886, "rate_ml"), "8 mL per gal", "2.11 mL per L"),
        (Measure(1 / 3, "part"), "a third", "a third"),
        (Measure(0.4, "part"), "40 %", "40 %"),
    ],
)
def test_a_number_is_said_in_the_readers_units(shown: Measure, us: str, metric: str) -> None:
    assert (measure(shown, TAMSIN), measure(shown, IFE)) == (us, metric)


def test_no_number_ever_prints_as_nan_or_minus_zero() -> None:
    assert number(float("nan")) == "?"
    assert number(-0.0001) == "0"
    assert number(-1.0) == "−1"


@pytest.mark.parametrize(
    "typed", ["**@everyone**", "<@&1>", "`x`", "[a](https://b)", "||s||", "# h"]
)
def test_a_persons_own_words_never_format_or_mention(typed: str) -> None:
    found = answer(TopUp(level=typed), book())
    text = card(found, book()).text
    for mark in ("**@", "<@", "`x`", "[a](", "||s", "“# "):
        assert mark not in text


def test_a_name_with_a_question_mark_asks_nothing() -> None:
    found = answer(TopUp(level="what??"), book())
    assert plain(found, book()).count("?") == 1


def test_four_parts_stay_readable() -> None:
    parts = tuple(
        Part(name=n, ml_per_l=r) for n, r in (("Grow", 3.0), ("Micro", 1.0), ("Bloom", 2.0))
    )
    salt = Part(name="Salt", g_per_l=0.5)
    feed = Feed(name="four", parts=(*parts, salt), ec_gain_ms_per_cm=1.5)
    facts = replace(book(replace(LIBRARY, feed="four")), feeds=(feed,))
    content = content_of(card(answer(TopUp(level="half"), facts), facts))
    for part in ("Grow 105 mL", "Micro 35 mL", "Bloom 70 mL", "Salt 18 g"):
        assert part in content
    assert len(content) < 1200


def test_the_small_print_gives_way_when_a_card_is_too_long() -> None:
    shown = card(answer(TopUp(level="half"), book()), book())
    long = replace(shown, text="x" * 1990, small="y" * 100)
    assert content_of(long) == "x" * 1990
    assert len(content_of(replace(shown, text="x" * 3000))) == 2000


def test_plain_text_for_someone_new() -> None:
    found = answer(TopUp(level="half"), no_towers())
    assert plain(found, no_towers()).startswith("Four short questions first")


def test_pours_without_parts_say_nothing() -> None:
    assert rounded(()) == []
    assert line("topup.pour", pours=Pours(())).word == "topup.pour"
