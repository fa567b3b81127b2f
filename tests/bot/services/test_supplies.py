"""Bottles and seeds at home, sums for a group, what a head costs, what is in the tank."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.records.book import Book
from bot.records.changes import SetFeed, SetSupply, UndoSupply
from bot.records.facts import Part, Supply
from bot.records.questions import Contents, Cost, FeedSet, Plugs, Question, Shares, Stock
from bot.render import plain
from bot.services import answer
from bot.services.coach.contents import in_tank, read_label
from calc.errors import OutOfRange, Unreadable
from tests.bot.books import FEED, IFE, TAMSIN, book
from tests.bot.logs import NOW, entry, logged

WENNA = replace(TAMSIN, name="Wenna", role="coach")


def amounts(question: Question, at: Book | None = None) -> dict[str, float]:
    return {a.name: a.value for a in answer(question, at or book()).amounts}


def said(question: Question, at: Book | None = None) -> str:
    return plain(answer(question, at or book()), at or book())


# ---- stock


def test_weeks_left_with_and_without_a_change() -> None:
    """FEATURES S12: 900 mL left, 48 mL weekly -> 18 full weeks; with one 128 mL change 16."""
    asked = Stock(item="A", left="900 ml", use="48 ml weekly")
    assert amounts(asked)["weeks"] == 18
    assert amounts(replace(asked, planned="128 ml"))["weeks"] == 16


def test_order_in_time() -> None:
    """C24: the last day less the shipping days."""
    asked = Stock(item="A", left="480 ml", use="48 ml", lead="5 days")
    found = answer(asked, book())
    assert found.days[0].on == date(2026, 5, 11) + timedelta(days=70 - 5)
    late = replace(asked, left="40 ml", lead="14")
    assert "Order now" in said(late)


def test_a_share_of_a_bottle_needs_its_size() -> None:
    found = answer(Stock(item="A", left="2/5", size="1 l"), book())
    (change,) = found.changes
    assert isinstance(change, SetSupply) and change.supply.left == pytest.approx(400.0)
    assert answer(Stock(item="A", left="2/5"), book()).outcome == "clarify"
    known = replace(book(), supplies=(change.supply,))
    again = answer(Stock(item="A", left="half"), known).changes[0]
    assert isinstance(again, SetSupply) and again.supply.left == pytest.approx(500.0)


def test_logged_doses_use_it_up_and_an_undone_one_gives_it_back() -> None:
    """Nothing is booked off: what is left follows from the log, so undoing a dose restores it."""
    bottle = Supply(item="A", left=900.0, unit="mL", at=NOW - timedelta(days=20))
    fed = entry(1, days=3, kind="topup", water_added_l=20.0, amounts=(("A", 48.0), ("B", 48.0)))
    before = replace(logged(), supplies=(bottle,))
    after = replace(logged(fed), supplies=(bottle,))
    assert amounts(Stock(item="a"), before)["left"] == 900.0
    assert amounts(Stock(item="a"), after)["left"] == 852.0
    theirs = replace(logged(replace(fed, mine=False)), supplies=(bottle,))
    assert amounts(Stock(item="a"), theirs)["left"] == 900.0


def test_the_pace_of_the_log_counts_full_changes() -> None:
    bottle = Supply(item="A", left=900.0, unit="mL", at=NOW - timedelta(days=1))
    lines = [
        entry(n, days=28 - 7 * n, kind="change" if n == 1 else "topup",
              amounts=(("A", 128.0 if n == 1 else 48.0),))
        for n in range(4)
    ]  # fmt: skip
    at = replace(logged(*lines), supplies=(bottle,))
    weekly = (128 + 48 + 48) / 21 * 7  # the newest is for the days to come
    assert amounts(Stock(item="A"), at)["weeks"] == int(900 / weekly)


def test_everything_at_home_and_no_pump_to_spare() -> None:
    assert "Spare pump: not counted" in said(Stock())
    told = (
        Supply(item="A", left=900.0, unit="mL", at=NOW),
        Supply(item="spare pump", left=1.0, unit="count", at=NOW),
    )
    text = said(Stock(), replace(book(), supplies=told))
    assert "A: 900 mL" in text and "Spare pump: 1" in text


def test_a_telling_is_taken_back() -> None:
    offer = answer(Stock(item="A", left="900 ml"), book()).offers[0].question
    assert answer(offer, book()).changes == (UndoSupply(item="A", at=NOW),)


# ---- group sums


def test_plugs_and_seeds_for_a_sowing_day() -> None:
    """FEATURES S20: 27 people x 9 plugs, 15 % spare, 2 seeds -> 280 plugs, 560 seeds."""
    assert amounts(Plugs(people="27 people", each="9", spare="15 %", seeds="2")) == {
        "plugs": 280, "seeds": 560,
    }  # fmt: skip
    assert amounts(Plugs(people="10", each="4", crop="basil"))["seeds"] == 40 * 4


def test_a_bill_in_shares() -> None:
    """FEATURES S21: 124.50 + 24 shipping, 11 shares, 2 mine -> $13.50 each, $27."""
    asked = Shares(total="$124.50", shipping="24", shares="11", mine="2")
    assert amounts(asked) == pytest.approx({"each": 13.5, "owe": 27.0})
    text = said(asked)
    assert "$13.50 a share of $148.50" in text and "Your 2: $27.00" in text


def test_shares_that_do_not_divide_come_to_the_cent() -> None:
    text = said(Shares(total="100", shares="3"))
    assert "1 with 1 share: $33.34" in text and "2 with 1 share: $33.33" in text
    yen = book(member=replace(IFE, currency="JPY"))
    assert "¥33" in said(Shares(total="100", shares="3"), yen)
    assert ".33" not in said(Shares(total="100", shares="3"), yen)


@pytest.mark.parametrize(
    "question",
    [Shares(total="much", shares="3"), Shares(total="12.345", shares="3"),
     Shares(total="10", shares="0"), Shares(total="10"), Plugs(people="0", each="9"),
     Plugs(people="a few", each="9"), Plugs(people="2.5", each="9"), Cost(costs="x", heads="3"),
     Cost(costs="3", heads="0"), Stock(item="A", left="some"), Stock(item="A", left="-3 ml")],
)  # fmt: skip
def test_what_cannot_be_counted_is_asked(question: Question) -> None:
    found = answer(question, book())
    assert found.outcome == "clarify" and found.amounts == () and found.changes == ()


def test_cost_a_head() -> None:
    """FEATURES S14: 22.40 + 9.00 + 6.40 over 35 heads -> $1.08."""
    asked = Cost(costs="22.40 + 9.00 + 6.40", heads="35")
    assert amounts(asked)["per_head"] == pytest.approx(1.08)
    assert "$1.08 a head" in said(asked) and "tower's own price apart" in said(asked)


# ---- what is in the tank


def test_a_label_as_it_is_printed() -> None:
    assert dict(read_label("4-18-38")) == {"N": 4.0, "P2O5": 18.0, "K2O": 38.0}
    assert dict(read_label("15.5 % N, 26 % CaO")) == {"N": 15.5, "CaO": 26.0}
    assert dict(read_label("N 5, Ca 4, Mg 1")) == {"N": 5.0, "Ca": 4.0, "Mg": 1.0}
    for bad in ("good stuff", "", "4-18"):
        with pytest.raises(Unreadable):
            read_label(bad)
    with pytest.raises(OutOfRange):
        read_label("N 80")


def test_elements_in_the_tank_by_the_labels() -> None:
    """Calcium nitrate 15.5 % N and 19 % Ca at 0.64516 g/L: 100 and 122.6 mg/L (Cornell e-GRO Edible
    Alert 3(5)); 1 g/L of 52 % P2O5 is 226.9 mg/L P by its 22.69 % (the same sheet)."""
    calcium = Part(name="A", g_per_l=0.64516, label=(("N", 15.5), ("Ca", 19.0)))
    phosphate = Part(name="B", g_per_l=1.0, label=(("P2O5", 52.0),))
    found = in_tank(replace(FEED, parts=(calcium, phosphate)), 1.0)
    assert found["N"] == pytest.approx(100, rel=0.001)
    assert found["Ca"] == pytest.approx(122.58, rel=0.001)
    assert found["P"] == pytest.approx(226.9, rel=0.002)
    half = in_tank(replace(FEED, parts=(calcium, phosphate)), 0.5)
    assert half["N"] == pytest.approx(50, rel=0.001)


def test_the_coach_tells_a_label_and_looks_into_the_tank() -> None:
    at = book(member=WENNA)
    told = answer(Contents(part="A", label="N 5, Ca 4", weight="1.2 kg/l"), at)
    (change,) = told.changes
    assert isinstance(change, SetFeed)
    assert change.feed.parts[0].label == (("N", 5.0), ("Ca", 4.0))
    other = replace(FEED.parts[1], label=(("P2O5", 3.0), ("S", 1.0)))
    labelled = replace(change.feed, parts=(change.feed.parts[0], other))
    here = replace(at, feeds=(labelled,))
    found = {a.name: a.value for a in answer(Contents(), here).amounts}
    assert found["N"] == pytest.approx(FEED.parts[0].rate_per_l * 1.2 * 1000 * 0.05)
    text = plain(answer(Contents(), here), here)
    assert "A carries calcium" in text and "gypsum" in text and "not as a target" in text
    assert answer(Contents(), at).outcome == "clarify"


def test_what_is_in_the_tank_is_the_coachs() -> None:
    assert "coach's to set" in said(Contents(part="A", label="N 5"))
    assert answer(Contents(), book()).outcome == "refuse"


def test_a_feed_set_anew_keeps_the_labels_of_its_parts() -> None:
    labelled = replace(FEED, parts=(replace(FEED.parts[0], label=(("N", 5.0),)), FEED.parts[1]))
    at = replace(book(member=WENNA), feeds=(labelled,))
    found = answer(FeedSet(name=FEED.name, parts="10 ml of A and of B per gal"), at)
    (change,) = [c for c in found.changes if isinstance(c, SetFeed)]
    assert change.feed.parts[0].label == (("N", 5.0),)
    assert change.feed.parts[0].rate_per_l > labelled.parts[0].rate_per_l


def test_a_unit_that_is_none_is_no_count() -> None:
    found = answer(Stock(item="A", left="9 furlongs"), book())
    assert found.outcome == "clarify" and found.changes == ()
