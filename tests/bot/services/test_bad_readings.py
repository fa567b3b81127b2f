"""Readings that cannot be, come late or come twice, and a tank that was replaced: in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.records.book import Book
from bot.records.changes import AddEntry, EditTower, UndoEntry
from bot.records.facts import Entry, Planting
from bot.records.questions import Log, TowerEdit, Undo
from bot.render import plain
from bot.services import answer, owed
from bot.services.log.judging import foretold
from bot.services.log.use import use_of
from tests.bot.books import GAL, KITCHEN, book
from tests.bot.logs import NOW, entry, logged


def steady(*more: Entry, plants: bool = False) -> Book:
    """1.25 gal a day: 16 gal four days ago, 11 now."""
    lines = (entry(1, days=4, level_l=16 * GAL), entry(2, hours=3, level_l=11.2 * GAL))
    bed = tuple(
        Planting(tower="kitchen", level=1, port=n, crop="lettuce", planted=date(2026, 3, 1), id=n)
        for n in range(1, 25)
    )
    facts = replace(book(replace(KITCHEN, stage="growing")), plantings=bed if plants else ())
    return logged(*lines, *more, base=facts)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Log(level="18 gal"), "is more than the 16 gal"),
        (Log(level="400 gal"), "is more than the 16 gal"),
        (Log(level="-3 gal"), "3 gal is no amount"),
        (Log(level="9 gal", at="tomorrow"), "in the future"),
        (Log(level="9 gal", at="3 years ago"), "year"),
        (Log(ec="80"), "80"),
        (Log(ph="61"), "6.1"),
        (Log(temp="400F"), "400"),
        (Log(added="50 gal"), "50 gal"),
    ],
)
def test_what_cannot_be_is_asked_about_and_nothing_is_kept(asked: Log, said: str) -> None:
    found = answer(asked, steady())
    assert said in plain(found, steady())
    assert not found.changes


def test_a_reading_from_before_the_last_takes_its_place_and_moves_nothing() -> None:
    found = answer(Log(level="13.5 gal", at="2 days ago"), steady())
    text = plain(found, steady())
    assert "Put in its place; the newest level is still that of Mon 11 May, 11:00 am" in text
    late = entry(9, days=2, level_l=13.5 * GAL, recorded_at=NOW)
    before, after = use_of(KITCHEN, steady()), use_of(KITCHEN, steady(late))
    assert before is not None and after is not None
    assert after.l_per_d == pytest.approx(before.l_per_d)
    assert after.at == before.at


def test_the_same_reading_twice_is_kept_once_and_said_so() -> None:
    facts = logged(entry(1, days=3, level_l=15 * GAL), entry(2, hours=0.05, level_l=11 * GAL))
    found = answer(Log(level="11 gal"), facts)
    assert not found.changes
    assert "Already there: kitchen, 11 gal in the tank" in plain(found, facts)
    assert answer(Log(level="10.5 gal"), facts).changes  # another reading is another reading
    older = logged(entry(2, hours=3, level_l=11 * GAL))
    assert answer(Log(level="11 gal"), older).changes  # and so is the same one hours later


@pytest.mark.parametrize("plants", [True, False])
def test_levels_of_a_tank_that_was_replaced_count_no_more(plants: bool) -> None:
    facts = steady(plants=plants)
    found = answer(TowerEdit(tower="kitchen", tank="30 gal"), facts)
    edit, added = found.changes
    assert isinstance(edit, EditTower) and isinstance(added, AddEntry)
    assert "Another tank" in plain(found, facts)
    bigger = replace(facts.towers[0], **dict(edit.facts))  # type: ignore[arg-type]
    note = replace(added.entry, id=3)
    now = replace(facts, towers=(bigger,), log=(*facts.log, note), now=NOW + timedelta(hours=1))
    assert use_of(bigger, now) is None
    assert {one.what for one in owed(now, {})}.isdisjoint({"refill", "pump_line"})
    assert not foretold(now)
    read = entry(4, hours=-2, level_l=29 * GAL)
    again = replace(now, log=(*now.log, read), now=NOW + timedelta(hours=3))
    seen = use_of(bigger, again)
    assert (seen is not None) == plants  # plants tell a pace from one reading on
    assert seen is None or seen.level_l / GAL == pytest.approx(29, abs=1.5)


def test_a_jug_that_corrects_the_size_begins_nothing_anew() -> None:
    found = answer(TowerEdit(tower="kitchen", tank="15 gal"), steady())
    assert [type(change) for change in found.changes] == [EditTower]
    assert answer(TowerEdit(tower="kitchen", tank="30 gal"), book()).changes[1:] == ()


def test_a_day_of_nothing_but_nonsense_leaves_the_forecast_where_it_was() -> None:
    good = steady(plants=True)
    odd = [
        entry(11, hours=2, level_l=400 * GAL),
        entry(12, hours=1.5, water_added_l=9000.0, kind="topup"),
        entry(13, hours=-30, level_l=1.0),
    ]
    before, after = (use_of(KITCHEN, one) for one in (good, steady(*odd, plants=True)))
    assert before is not None and after is not None
    assert after.level_l == pytest.approx(before.level_l, rel=0.05)
    assert after.l_per_d == pytest.approx(before.l_per_d, rel=0.1)


def test_undo_asks_before_it_takes_back_a_line_of_days_ago() -> None:
    old = logged(entry(1, days=2, level_l=9 * GAL))
    asked = answer(Undo(), old)
    assert (asked.outcome, asked.changes) == ("clarify", ())
    assert "Take that one back?" in plain(asked, old)
    taken = answer(asked.offers[0].question, old)
    assert [change.entry_id for change in taken.changes if isinstance(change, UndoEntry)] == [1]
    fresh = logged(entry(1, hours=2, level_l=9 * GAL))
    assert answer(Undo(), fresh).changes


def test_what_was_told_to_be_poured_is_said_as_told_and_what_was_shown_as_shown() -> None:
    told = answer(Log(added="9 gal", poured="72 ml each"), steady())
    assert "72 mL of each" in plain(told, steady())  # 70 is what a beaker can do
    shown = answer(Log(added="8.9 gal", poured="A 61.357, B 61.357"), steady())
    assert "60 mL of each" in plain(shown, steady())
