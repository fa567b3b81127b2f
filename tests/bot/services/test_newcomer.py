"""A member's set-up in four questions, its guesses, its three doors (FIRST_TEN_MINUTES)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from bot.records.answer import Answer
from bot.records.book import Book, Open
from bot.records.changes import AddEntry, AddTower, EditTower, SetFeed, SetMember
from bot.records.facts import PolicyValue, Tower
from bot.records.questions import Check, Door, Dose, Start, TopUp, packed
from bot.render import plain
from bot.services import answer
from tests.bot.books import GAL, KITCHEN, SET_ON, book, no_towers

MONDAY = datetime(2026, 5, 4, 22, 0, tzinfo=UTC)  # 6 pm in New York
DONE = Start(tank="12 gal", place="outdoor", feed="Saltmarsh two-part", meter="none")


def town(*towers: Tower) -> Book:
    tap = PolicyValue(value=0.4, set_on=SET_ON, by="Wenna")
    target = PolicyValue(value=1.7, set_on=SET_ON, by="Wenna")
    base = book(*towers, tap_ec=tap, target_ec=target) if towers else no_towers()
    rules = {**base.policy, "tap_ec": tap, "target_ec": target}
    return replace(base, now=MONDAY, policy=rules)


def said(found: Answer) -> str:
    return plain(found, town())


def test_four_questions_one_a_message() -> None:
    steps = [
        (Start(), "1 of 4"),
        (Start(tank="12 gal"), "2 of 4"),
        (Start(tank="12 gal", place="outdoor"), "3 of 4"),
        (replace(DONE, meter=None), "4 of 4"),
    ]
    for question, begins in steps:
        found = answer(question, town())
        assert begins in said(found)
        assert said(found).count("?") == 1
        assert found.changes == ()
        assert found.offers
        assert found.awaits is not None


def test_the_fourth_saves_the_tower_with_its_guesses() -> None:
    """M24: refill at half (6 gal), pump line 3 gal, tap 0.4 (Wenna, 4 May), three doors."""
    found = answer(DONE, town())
    added = [c.tower for c in found.changes if isinstance(c, AddTower)]
    assert [(t.name, round(t.tank_l / GAL, 6), t.place, t.feed) for t in added] == [
        ("balcony", 12.0, "outdoor", "Saltmarsh two-part")
    ]
    assert SetMember(setting="has_ec_meter", value=False) in found.changes
    text = said(found)
    assert "refill at 6 gal, pump line 3 gal" in text
    assert "0.4 (Wenna, 4 May)" in text
    labels = [offer.label.word for offer in found.offers]
    assert labels == [
        "button.right", "button.change", "button.door_coming", "button.door_empty",
        "button.door_growing",
    ]  # fmt: skip


def test_not_sure_gets_no_amount_and_keeps_the_place() -> None:
    found = answer(Start(tank="not sure"), town())
    assert "count" in said(found)
    assert found.changes == ()
    assert found.awaits is not None
    assert found.awaits.question == Start()


@pytest.mark.parametrize("tank", ["0 gal", "-3 l", "1e309 l", "nan", "12", "12 kg", "x" * 80])
def test_a_size_that_is_none_is_asked_again(tank: str) -> None:
    found = answer(Start(tank=tank), town())
    assert found.outcome == "clarify"
    assert found.changes == ()
    assert said(found).count("?") == 1


def test_another_bottle_is_ones_own() -> None:
    own = replace(DONE, feed="Cliff three", rate="Leaf 3, Root 2, Bloom 1 ml per l", gain="1.5")
    found = answer(own, town())
    (bottle,) = [c.feed for c in found.changes if isinstance(c, SetFeed)]
    assert bottle.own
    assert [(p.name, p.ml_per_l) for p in bottle.parts] == [("Leaf", 3), ("Root", 2), ("Bloom", 1)]
    assert isinstance(found.changes[0], SetFeed)  # before the tower that uses it
    for rate in ("lots", "3 ml", "900 ml per l", "Leaf 3, Leaf 2 ml per l"):
        bad = answer(replace(own, rate=rate), town())
        assert bad.outcome == "clarify" and bad.changes == ()


def test_a_name_that_is_taken_gets_a_number() -> None:
    there = replace(KITCHEN, name="balcony")
    found = answer(DONE, town(there))
    assert [c.tower.name for c in found.changes if isinstance(c, AddTower)] == ["balcony 2"]


def test_a_question_asked_before_is_answered_at_the_end() -> None:
    pending = TopUp(level="half")
    first = answer(pending, town())
    assert first.intent == "newcomer"
    done = answer(replace(DONE, then=packed(pending)), town())
    assert any(isinstance(c, AddTower) for c in done.changes)
    assert "Balcony: add 6 gal water" in said(done)
    assert "A 48 mL" in said(done)  # 8 mL for each of 6 gal
    # and a pending question that needs one more thing asks just that
    check = answer(replace(DONE, then=packed(Check())), town())
    assert any(isinstance(c, AddTower) for c in check.changes)


def test_left_half_way_it_offers_to_go_on() -> None:
    draft = Open(question=Start(tank="12 gal"), field="place", at=MONDAY, here=False)
    found = answer(Start(), replace(town(), opened=(draft,)))
    assert [o.label.word for o in found.offers] == ["button.go_on", "button.start_again"]
    assert found.offers[0].question == Start(tank="12 gal")
    again = answer(found.offers[1].question, replace(town(), opened=(draft,)))
    assert "1 of 4" in said(again)


BALCONY = Tower(id=9, name="balcony", tank_l=12 * GAL, place="outdoor", feed="Saltmarsh two-part")


def test_the_door_of_a_tower_that_is_not_here_yet() -> None:
    """Sown on 4 May, moving in 18-25 May, leak run on Friday 8 May."""
    asked = answer(Door(tower="balcony", stage="coming"), town(BALCONY))
    assert said(asked).count("?") == 1
    when = answer(Door(tower="balcony", stage="coming", arrives="friday"), town(BALCONY))
    assert "Fri 8 May" in said(when)
    assert "6 plugs" in said(when) and "2 lettuce seeds each" in said(when)
    assert "68 °F" in said(when)
    assert "Mon 18 May" in said(when) and "Mon 25 May" in said(when)
    (edit,) = [c for c in when.changes if isinstance(c, EditTower)]
    assert dict(edit.facts)["arrives_on"] == date(2026, 5, 8)
    assert dict(edit.facts)["strength"] == 0.5
    sown = answer(when.offers[0].question, town(BALCONY))
    assert [type(c) for c in sown.changes] == [EditTower, AddEntry]
    assert "Fri 8 May" in said(sown)
    for bad in ("yesterday", "in 200 weeks", "blue"):
        wrong = answer(Door(tower="balcony", stage="coming", arrives=bad), town(BALCONY))
        assert wrong.outcome == "clarify" and wrong.changes == ()


def test_no_feed_before_the_day_ahead_of_the_plants() -> None:
    """12 gal at half label: A 48 mL, not before 17 May, about EC 1.2."""
    sown = replace(BALCONY, stage="coming", sown_on=date(2026, 5, 4), strength=0.5)
    text = said(answer(Dose(), town(sown)))
    assert text.startswith("Not before the day ahead of the plants: Sun 17 May at the earliest.")
    assert "A 48 mL (3 tbsp + 3/4 tsp)" in text
    assert "Expect EC about 1.2." in text
    later = replace(town(sown), now=datetime(2026, 5, 18, 12, 0, tzinfo=UTC))
    assert "Not before" not in plain(answer(Dose(), later), later)


def test_feed_that_may_not_go_in_yet_has_no_button_that_says_it_did() -> None:
    sown = replace(BALCONY, stage="coming", sown_on=date(2026, 5, 4))
    early = answer(TopUp(level="half"), town(sown))
    assert early.do[0].word == "dose.not_before" and early.offers == ()
    later = replace(town(sown), now=datetime(2026, 5, 18, 12, 0, tzinfo=UTC))
    assert answer(TopUp(level="half"), later).offers


def test_the_door_of_an_empty_tower_is_the_leak_run() -> None:
    found = answer(Door(tower="balcony", stage="empty"), town(BALCONY))
    text = said(found)
    assert "plain water" in text.lower() and "24 h" in text
    assert text.count("?") == 1
    sow = answer(found.offers[1].question, town(BALCONY))
    assert "6 plugs" in said(sow)


def test_the_door_of_growing_plants_is_the_first_topup() -> None:
    pen = replace(town(BALCONY), member=replace(town().member, has_ec_meter=True))
    found = answer(Door(tower="balcony", stage="growing"), pen)
    assert found.offers[0].form == "topup_metered"
    assert found.awaits is not None and found.awaits.field == "level"
    blind = answer(Door(tower="balcony", stage="growing"), town(BALCONY))
    assert {o.question for o in blind.offers if isinstance(o.question, TopUp)} >= {
        TopUp(tower="balcony", level="half")
    }


def test_full_ports_give_a_first_guess_of_the_next_topup() -> None:
    """FIRST_TEN_MINUTES 11: 30 grown lettuces outdoors, 8 gal: about 4-9 days.

    30 x 0.25 + 0.5 = 8 L a day at most, 30 x 0.1 + 0.2 = 3.2 at least; 30.3 L lasts 3.8 to 9.5.
    """
    full = replace(KITCHEN, stage="growing", levels=6, ports_per_level=5)
    text = said(answer(TopUp(level="half", ec="2.1"), town(full)))
    assert "in about 4-9 days" in text


def test_in_a_room_only_a_button_shows() -> None:
    found = answer(Start(), replace(town(), private=False))
    assert [o.label.word for o in found.offers] == ["button.just_for_me"]
    first = answer(TopUp(level="half"), replace(town(), private=False))
    assert [o.label.word for o in first.offers] == ["button.start"]
    assert "1 of 4" not in said(first)
