"""The coach's set-up, feeds by their label, house rules, notes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.records.book import Book, policy_keys
from bot.records.changes import SetCommunity, SetFeed, SetNote, SetPolicy, SetRole
from bot.records.facts import Community, Note, PolicyValue
from bot.records.people import Place
from bot.records.questions import FeedSet, Noted, Policy, Setup, Teach, TopUp
from bot.render import plain
from bot.services import answer
from tests.bot.books import FEED, GAL, IFE, SET_ON, TAMSIN, book

WENNA = replace(TAMSIN, id=5, name="Wenna", role="coach")
ROOM = Place(room_id=77, room="towers", community="Saltmarsh Growers", members=87)


def coach(**rules: PolicyValue) -> Book:
    base = book(member=WENNA, **rules)
    return replace(base, place=ROOM, community=Community(id=1, name="Saltmarsh Growers"))


def empty() -> Book:
    return replace(coach(), feeds=(), coach=None)


def test_it_says_where_it_stands_and_goes_on_at_the_first_open_step() -> None:
    found = answer(Setup(), empty())
    text = plain(found, empty())
    assert text.count("open") == 6
    assert found.offers[0].question == Setup(step="1")
    half = replace(empty(), community=replace(empty().community, zone_set=True))
    assert answer(Setup(), half).offers[0].question == Setup(step="2")


def test_zone_and_units_then_the_feed() -> None:
    found = answer(Setup(step="1", zone="new york", units="us"), empty())
    assert {(c.setting, c.value) for c in found.changes if isinstance(c, SetCommunity)} == {
        ("time_zone", "America/New_York"), ("units", "us"), ("zone_set", True),
    }  # fmt: skip
    assert "2 of 6" in plain(found, empty())


def test_the_feed_as_its_label_says() -> None:
    told = Setup(step="2", parts="8 ml of A and of B per gal", gain="1.6", tap="0.4")
    us = replace(empty(), community=replace(empty().community, units="us", zone_set=True))
    found = answer(told, us)
    (made,) = [c.feed for c in found.changes if isinstance(c, SetFeed)]
    assert [(p.name, p.ml_per_l) for p in made.parts] == [
        ("A", pytest.approx(8 / GAL)), ("B", pytest.approx(8 / GAL)),
    ]  # fmt: skip
    assert made.ec_gain_ms_per_cm == 1.6
    assert [c.key for c in found.changes if isinstance(c, SetPolicy)] == ["tap_ec"]
    assert "3 of 6" in plain(found, us)


def test_label_rate_and_the_rate_that_meets_the_target_are_both_shown() -> None:
    """Full label makes about 2.0; for 1.7 it is 6.5 mL per gal, 81 % of label."""
    known = coach(tap_ec=PolicyValue(value=0.4, set_on=SET_ON))
    found = answer(Setup(step="3", target="1.7"), known)
    text = plain(found, known)
    assert "about 2.0" in text and "6.5 mL per gal" in text
    assert text.count("?") == 1
    chosen = answer(found.offers[0].question, known)
    (rate,) = [c for c in chosen.changes if isinstance(c, SetPolicy)]
    assert rate.key == "no_meter_topup_strength"
    assert rate.value == pytest.approx(1.3 / 1.6, abs=1e-4)
    label = answer(found.offers[1].question, known)
    assert [c.value for c in label.changes if isinstance(c, SetPolicy)] == [1.0]


def test_the_welcome_post_is_made_with_a_button_for_everyone() -> None:
    ready = replace(coach(), community=replace(coach().community, room_id=77))
    found = answer(Setup(step="6", welcome="post"), ready)
    assert found.post is not None
    assert found.post.room_id == 77
    assert [o.anyone for o in found.post.offers] == [True]


def test_a_permission_that_is_missing_is_named() -> None:
    lacking = replace(coach(), place=replace(ROOM, missing=("pin_messages",)))
    text = plain(answer(Setup(step="5"), lacking), lacking)
    assert "I lack: Pin Messages" in text
    assert "kick" not in text.lower()


@pytest.mark.parametrize(
    "question",
    [
        Setup(step="1", zone="Atlantis"),
        Setup(step="1", zone="new york", units="furlongs"),
        Setup(step="2", parts="lots"),
        Setup(step="2", parts="8 ml of A and of B per gal", gain="strong"),
        Setup(step="3", target="17"),
        Setup(step="3", target="nan"),
        Setup(step="5", quiet="always"),
        Policy(rule="bananas", value="3"),
        Policy(rule="change_every_days", value="0"),
        Policy(rule="change_every_days", value="1e309"),
        Policy(rule="seedling_strength", value="900 %"),
        FeedSet(name="@everyone <@1>", parts="1 ml per l"),
        FeedSet(name="ok", parts="-1 ml per l"),
        Teach(about="x" * 101, text="y"),
        Teach(about="yellow leaves", text="y" * 1501),
    ],
)
def test_bad_input_is_one_question_and_nothing_is_set(question: Setup) -> None:
    found = answer(question, coach())
    assert found.outcome in ("clarify", "refuse")
    assert found.changes == ()
    assert plain(found, coach()).count("?") <= 1


@pytest.mark.parametrize(
    "question",
    [
        Setup(), Setup(step="1", zone="new york"), Setup(coach="9 Bram"), Setup(welcome="post"),
        FeedSet(name="x", parts="1 ml per l"), Policy(rule="ph_low", value="5"), Policy(),
        Teach(about="a", text="b"),
    ],
)  # fmt: skip
def test_only_a_coach_may(question: Setup) -> None:
    member = replace(coach(), member=TAMSIN)
    private = replace(coach(), in_guild=False, place=None)
    for who in (member, private):
        if who is private and isinstance(question, Teach):
            continue  # a reply is corrected where the coach read it
        found = answer(question, who)
        assert found.outcome == "refuse"
        assert found.changes == () and found.post is None


def test_who_runs_the_server_becomes_the_first_coach() -> None:
    runs = replace(coach(), member=TAMSIN, place=replace(ROOM, manages=True))
    found = answer(Setup(), runs)
    assert found.changes == (SetRole(user_id=None, role="coach"),)


def test_a_second_coach_is_named_and_let_go() -> None:
    found = answer(Setup(coach="9 Bram"), coach())
    assert found.changes == (SetRole(user_id=9, role="coach", name="Bram"),)
    gone = answer(Setup(former="9 Bram"), coach())
    assert gone.changes == (SetRole(user_id=9, role="member", name="Bram"),)


def test_a_house_rule_set_is_cited_by_the_answers() -> None:
    """FEATURES M20: 60 % of label: 6 gal take 29 mL, not 48; cited with the date."""
    found = answer(Policy(rule="no_meter_topup_strength", value="60 %"), coach())
    (change,) = found.changes
    assert isinstance(change, SetPolicy)
    assert change.value == pytest.approx(0.6)
    rule = PolicyValue(value=0.6, set_on=date(2026, 5, 11), by="Wenna")
    after = book(no_meter_topup_strength=rule)
    text = plain(answer(TopUp(level="10 gal"), after), after)
    assert "A 29 mL (2 tbsp)" in text
    assert "Wenna's setting, 11 May" in text and "2022 review" in text
    before = plain(answer(TopUp(level="10 gal"), book()), book())
    assert "A 48 mL" in before


@pytest.mark.parametrize(
    ("rule", "typed", "kept"),
    [
        ("double_dose_h", "1 day", 24.0),
        ("double_dose_h", "6", 6.0),
        ("change_every_days", "4 weeks", 28.0),
    ],
)
def test_a_rules_time_is_read_in_the_unit_that_was_typed(
    rule: str, typed: str, kept: float
) -> None:
    (change,) = answer(Policy(rule=rule, value=typed), coach()).changes
    assert isinstance(change, SetPolicy)
    assert change.value == pytest.approx(kept)


def test_a_rule_taken_back_is_as_shipped() -> None:
    found = answer(Policy(rule="bleach_ml_per_l", value="off"), coach())
    assert [c.value for c in found.changes if isinstance(c, SetPolicy)] == [None]
    found = answer(Policy(rule="change every days", value="off"), coach())
    assert [c.value for c in found.changes if isinstance(c, SetPolicy)] == [None]
    assert "as shipped" in plain(found, coach())


def test_every_rule_has_a_name_a_source_and_a_readable_value() -> None:
    for key, row in policy_keys().items():
        text = plain(answer(Policy(rule=key), coach()), coach())
        assert row.source in text
        assert "as shipped" in text


def test_the_pages_hold_every_rule() -> None:
    seen, page = "", 1
    while True:
        found = answer(Policy(page=str(page)), coach())
        seen += plain(found, coach())
        if not any(o.label.word == "button.more" for o in found.offers):
            break
        page += 1
    assert seen.count("(as shipped)") == len(policy_keys())


def test_a_note_is_kept_corrected_and_named() -> None:
    """FEATURES M21: the next same question shows the new text."""
    found = answer(Teach(about="yellow leaves", text="Read the EC first."), coach())
    assert [type(c) for c in found.changes] == [SetNote]
    known = Note(id=4, about="yellow leaves", text="Read the EC first.", by="Wenna", set_on=SET_ON)
    after = replace(coach(), notes=(known,))
    shown = answer(Noted(entry="4"), after)
    assert "Wenna's note, 4 May" in plain(shown, after)
    assert shown.offers[0].form == "note"
    again = answer(Teach(about="Yellow leaves", text="Shade first."), after)
    assert [c.note_id for c in again.changes if isinstance(c, SetNote)] == [4]
    member = replace(after, member=IFE)
    assert answer(Noted(entry="4"), member).offers == ()
    assert answer(Noted(entry="99"), member).outcome == "refuse"


def test_a_members_own_bottle_is_not_the_coachs() -> None:
    own = FeedSet(name="Cliff", parts="1 ml of each per l", own="yes")
    found = answer(own, replace(coach(), member=TAMSIN))
    assert [c.feed.own for c in found.changes if isinstance(c, SetFeed)] == [True]
    assert FEED.name in plain(answer(FeedSet(), book()), book())
