"""Top-ups: the project's acceptance examples (M4-M7, M10, M11, M18, M20) and what is asked back.

Expected numbers are worked out by hand beside each row from the mass balance; 1 US gal = 3.785 L.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.records.answer import Answer, Computed, FromText, Origin
from bot.records.book import Book
from bot.records.facts import Feed, PolicyValue
from bot.records.questions import TopUp
from bot.services import answer
from tests.bot.books import FEED, GAL, IFE, KITCHEN, LIBRARY, METRIC_FEED, PORCH, book, no_towers


def amounts(found: Answer) -> dict[str, float]:
    return {a.name: a.value for a in found.amounts}


def words(found: Answer) -> list[str]:
    groups = (found.do, found.expect, found.why, found.check, found.cautions)
    return [line.word for group in groups for line in group]


def test_without_a_meter_only_the_new_water_is_fed() -> None:
    found = answer(TopUp(level="three quarters"), book())  # 4 gal x 8 mL = 32
    assert amounts(found)["water"] == pytest.approx(4 * GAL)
    assert amounts(found)["A"] == amounts(found)["B"] == pytest.approx(32)
    assert amounts(found)["ec_expected"] == pytest.approx((12 * 1.7 + 4 * 2.0) / 16)  # 1.775


def test_with_a_meter_the_mass_balance_decides() -> None:
    # (4 x 2.1 + 6 x 0.4) / 10 = 1.08; 0.62 / 1.6 x 8 mL x 10 gal = 31
    found = answer(TopUp(tower="porch", level="40%", ec="2.1"), book(KITCHEN, PORCH))
    assert amounts(found)["water"] == pytest.approx(6 * GAL)
    assert amounts(found)["A"] == pytest.approx(31)
    assert amounts(found)["ec_after_water"] == pytest.approx(1.08)
    assert amounts(found)["ec_expected"] == pytest.approx(1.70)


def test_a_guessed_level_is_poured_in_two_goes() -> None:
    # a finger (19 mm) above a quarter of 14 in: 16 x (1/4 + 1.9/35.56) = 4.855 gal left
    found = answer(TopUp(level="a finger above a quarter", ec="2.1"), book())
    assert amounts(found)["water"] == pytest.approx(11.145 * GAL, rel=1e-3)
    assert amounts(found)["A"] == pytest.approx(62.7, abs=0.1)
    assert {"topup.guess", "check.finger"} <= set(words(found))
    measured = answer(TopUp(level="5 in below full", ec="2.1"), book())
    assert "topup.guess" not in words(measured)


def test_a_full_tank_far_over_target_is_scooped_out() -> None:
    found = answer(TopUp(level="full", ec="2.8"), book())  # 16 x 1.1 / 2.4 = 7.33 gal
    assert amounts(found)["swap"] == pytest.approx(7.333 * GAL, rel=1e-3)
    assert amounts(found)["A"] == 0
    assert "caution.swap" in words(found)


def test_a_full_tank_a_little_over_target_waits() -> None:
    found = answer(TopUp(level="full", ec="2.3"), book())
    assert "topup.nothing" in words(found)
    assert amounts(found)["water"] == amounts(found)["A"] == 0
    asked_for = answer(TopUp(level="full", ec="2.3", swap="yes"), book())
    assert amounts(asked_for)["swap"] == pytest.approx(16 * 0.6 / 1.9 * GAL)


def test_over_target_with_room_gets_plain_water() -> None:
    # (8 x 3.2 + 8 x 0.4) / 16 = 1.8, over 1.7 but not far
    found = answer(TopUp(level="half", ec="3.2"), book())
    assert "topup.plain" in words(found)
    assert amounts(found)["A"] == 0
    assert amounts(found)["ec_expected"] == pytest.approx(1.8)


def test_hardly_any_room_and_far_too_strong_is_scooped_too() -> None:
    # (14.4 x 4 + 1.6 x 0.4 - 16 x 1.7) / 3.6 = 8.622 gal out, then 8.622 + 1.6 in
    found = answer(TopUp(level="90%", ec="4"), book())
    assert amounts(found)["swap"] == pytest.approx(8.622 * GAL, rel=1e-3)
    assert amounts(found)["water"] == pytest.approx((8.622 + 1.6) * GAL, rel=1e-3)


def test_a_full_tank_below_target_gets_feed_and_no_water() -> None:
    found = answer(TopUp(level="full", ec="1.2"), book())  # 0.5 / 1.6 x 8 x 16 = 40
    assert amounts(found)["water"] == 0
    assert amounts(found)["A"] == pytest.approx(40)


def test_water_already_poured_is_fed_for_itself_alone() -> None:
    found = answer(TopUp(added="3 gal"), book())
    assert amounts(found)["A"] == pytest.approx(24)
    assert "topup.pour_added" in words(found)


def test_the_coachs_lower_strength_is_used_and_cited() -> None:
    rule = PolicyValue(value=0.6, set_on=date(2026, 5, 11), by="Wenna")
    found = answer(
        TopUp(tower="kitchen", level="10 gal"), book(no_meter_topup_strength=rule)
    )  # 6 gal x 8 x 0.6 = 28.8
    assert amounts(found)["A"] == pytest.approx(28.8)
    assert "check.strength_policy" in words(found)
    weaker = replace(KITCHEN, strength=0.5)
    own = answer(TopUp(level="10 gal"), book(weaker, no_meter_topup_strength=rule))
    assert amounts(own)["A"] == pytest.approx(24)  # the lower of the two: the tower's half
    assert "check.strength_policy" not in words(own)


def test_the_text_wins_over_the_record() -> None:
    found = answer(TopUp(level="half", tank="10 gal", ec="1.9", target="1.6", tap="0.3"), book())
    # 10 gal: (5 x 1.9 + 5 x 0.3) / 10 = 1.1; 0.5 / 1.6 x 8 x 10 = 25
    assert amounts(found)["water"] == pytest.approx(5 * GAL)
    assert amounts(found)["A"] == pytest.approx(25)


def test_several_parts_and_dry_ones_keep_their_rates() -> None:
    from bot.records.facts import Part

    three = Feed(
        name="three",
        parts=(
            Part(name="Grow", ml_per_l=3.0),
            Part(name="Micro", ml_per_l=1.0),
            Part(name="Salt", g_per_l=0.5),
        ),
        ec_gain_ms_per_cm=1.5,
    )
    facts = replace(book(), feeds=(three,), towers=(replace(LIBRARY, feed="three"),), member=IFE)
    found = answer(TopUp(level="half"), facts)
    assert amounts(found) == pytest.approx(
        {"water": 35, "Grow": 105, "Micro": 35, "Salt": 17.5, "left": 35, "ec_expected": 1.8}
    )
    assert {a.name: a.unit for a in found.amounts}["Salt"] == "g"


def test_two_towers_that_both_fit_are_asked_with_both_answers() -> None:
    found = answer(TopUp(level="30%"), book(KITCHEN, PORCH))
    assert found.outcome == "clarify"
    assert amounts(found)["kitchen A"] == pytest.approx(89.6)
    assert amounts(found)["porch A"] == pytest.approx(56)
    chosen = [offer.question for offer in found.offers]
    assert [answer(q, book(KITCHEN, PORCH)).outcome for q in chosen] == ["answer", "answer"]


def test_what_is_wrong_with_every_tower_is_asked_at_once() -> None:
    both = book(KITCHEN, PORCH)
    assert answer(TopUp(level="half", ec="19"), both).do[0].word == "ask.ec_decimal"
    assert answer(TopUp(level="sunny"), both).do[0].word == "ask.unreadable_level"
    assert answer(TopUp(), both).do[0].word == "ask.tower_and_level"


def test_a_size_that_only_one_tower_has_names_it() -> None:
    found = answer(TopUp(level="half", tank="10 gal"), book(KITCHEN, PORCH))
    assert amounts(found)["water"] == pytest.approx(5 * GAL)


def test_a_misspelt_tower_is_understood_and_an_unknown_one_asked() -> None:
    both = book(KITCHEN, PORCH)
    assert answer(TopUp(tower="kichen", level="half"), both).outcome == "answer"
    assert answer(TopUp(tower="shed", level="half"), both).do[0].word == "ask.tower_unknown"


def test_an_impossible_depth_offers_what_was_meant() -> None:
    found = answer(TopUp(level="27 in below full"), book())
    assert found.outcome == "clarify"
    assert found.amounts == ()
    levels = [offer.question for offer in found.offers]
    assert [q.level for q in levels if isinstance(q, TopUp)] == [
        "2.7 in below full",
        "27 cm below full",
    ]
    assert all(answer(q, book()).outcome == "answer" for q in levels)


def test_a_unitless_meter_is_asked_once_and_remembered() -> None:
    asked = answer(TopUp(level="half", ec="875"), book())
    assert asked.outcome == "clarify"
    assert amounts(asked) == {"ec_if_500": 1.75, "ec_if_700": 1.25}
    settled = asked.offers[0]
    believed = book().believing(tds_scale=settled.remember[0].value)
    found = answer(settled.question, believed, settled.remember)
    assert found.outcome == "answer"
    assert [(c.setting, c.value) for c in found.changes] == [("tds_scale", 500)]  # type: ignore[union-attr]  # only SetMember is expected


def test_a_gallon_of_unknown_size_is_asked() -> None:
    found = answer(TopUp(level="4 gal left"), book(LIBRARY, member=IFE))
    assert [o.remember[0].value for o in found.offers] == ["us", "uk"]


def test_a_bare_depth_is_asked_with_both_readings() -> None:
    found = answer(TopUp(level="5 in"), book())
    assert [o.question.level for o in found.offers] == ["5 in deep", "5 in below full"]  # type: ignore[union-attr]  # a TopUp each


BAD = [
    (TopUp(), "ask.level"),
    (TopUp(level="18 gal"), "ask.above_full"),
    (TopUp(level="110 %"), "ask.share_impossible"),
    (TopUp(level="-3 gal"), "ask.volume_impossible"),
    (TopUp(level="nan"), "ask.unreadable_level"),
    (TopUp(level="1e309 l"), "ask.unreadable_level"),
    (TopUp(level="9**9**9 l"), "ask.unreadable_level"),
    (TopUp(level="half a kg"), "ask.unreadable_level"),
    (TopUp(level="half", ec="19"), "ask.ec_decimal"),
    (TopUp(level="half", ec="-1"), "ask.ec_impossible"),
    (TopUp(level="half", ec="70"), "ask.ec_impossible"),
    (TopUp(level="half", ec="nan"), "ask.unreadable_meter reading"),
    (TopUp(level="half", ec="inf"), "ask.unreadable_meter reading"),
    (TopUp(level="half", target="99"), "ask.ec_impossible"),
    (TopUp(level="half", strength="3000 %"), "ask.strength_impossible"),
    (TopUp(level="half", tank="0 l"), "ask.volume_impossible"),
    (TopUp(level="1,500 ml left"), "ask.thousands"),
    (TopUp(added="20 gal"), "ask.above_full"),
    (TopUp(level="full", ec="3", target="0.5", tap="0.6"), "ask.water_over_target"),
]


@pytest.mark.parametrize(
    ("question", "word"), BAD, ids=[str(w) + str(i) for i, (_, w) in enumerate(BAD)]
)
def test_bad_input_gets_one_question_and_stores_nothing(question: TopUp, word: str) -> None:
    found = answer(question, book())
    assert (found.outcome, found.do[0].word) == ("clarify", word)
    assert found.changes == ()
    assert all(a.unit not in ("mL", "g", "L") for a in found.amounts)


def test_nobody_without_a_tower_is_sent_away_when_the_text_settles_it() -> None:
    found = answer(TopUp(level="half", tank="16 gal"), no_towers())
    assert amounts(found)["A"] == pytest.approx(64)
    assert answer(TopUp(level="half"), no_towers()).do[0].word == "start.tank_then"


def test_no_feed_is_asked_for() -> None:
    bare = replace(book(), feeds=())
    assert answer(TopUp(level="half"), bare).do[0].word == "ask.feed"


def sources(origin: Origin) -> list[Origin]:
    if isinstance(origin, Computed):
        assert origin.inputs
        return [leaf for fact in origin.inputs for leaf in sources(fact.origin)]
    return [origin]


@pytest.mark.parametrize(
    "question",
    [
        TopUp(level="half"),
        TopUp(level="half", ec="1.9"),
        TopUp(level="full", ec="2.8"),
        TopUp(level="full", ec="2.0"),
        TopUp(added="3 gal"),
    ],
)
def test_every_amount_says_where_it_comes_from(question: TopUp) -> None:
    facts: Book = book(replace(KITCHEN, water_ec=None))
    for amount in answer(question, facts).amounts:
        leaves = sources(amount.origin)
        assert leaves
        assert not any(isinstance(leaf, Computed) for leaf in leaves)
    assert FromText() in sources(answer(TopUp(level="half"), facts).amounts[0].origin)


def test_metric_and_us_members_get_the_same_litres() -> None:
    us = answer(TopUp(tower="library", level="half", ec="1.5"), book(LIBRARY))
    metric = answer(TopUp(tower="library", level="half", ec="1.5"), book(LIBRARY, member=IFE))
    assert amounts(us) == amounts(metric)
    assert METRIC_FEED.parts[0].ml_per_l == 2.0
    assert FEED.parts[0].ml_per_l == pytest.approx(2.113, abs=0.001)
