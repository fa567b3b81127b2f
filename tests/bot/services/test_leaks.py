"""A drop is thirst or a leak, a rise rain or a fill: numbers of the acceptance list (S6, S29)."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.records.book import Book
from bot.records.changes import AddEntry, UndoEntry
from bot.records.facts import Entry, Planting
from bot.records.questions import Leak, Log, TopUp
from bot.render import plain
from bot.services import answer
from bot.services.log.use import reaches, use_of
from bot.understanding import hear
from tests.bot.books import GAL, KITCHEN, book
from tests.bot.logs import NOW, entry, logged

BED = tuple(
    Planting(tower="kitchen", level=n // 6 + 1, port=n % 6 + 1, crop="lettuce", id=n + 1,
             planted=date(2026, 3, 12))
    for n in range(30)
)  # fmt: skip


def steady(*more: Entry, plants: bool = True) -> Book:
    """1.25 gal a day for twelve days, read every third; the last time yesterday: 13.2 gal."""
    lines = [
        entry(1, days=13, level_l=16 * GAL),
        entry(2, days=10, level_l=12.25 * GAL),
        entry(3, days=9.99, kind="topup", level_l=16 * GAL, water_added_l=3.75 * GAL),
        entry(4, days=7, level_l=12.25 * GAL),
        entry(5, days=6.99, kind="topup", level_l=16 * GAL, water_added_l=3.75 * GAL),
        entry(6, days=4, level_l=12.25 * GAL),
        entry(7, days=3.99, kind="topup", level_l=16 * GAL, water_added_l=3.75 * GAL),
        entry(8, days=1, level_l=12.25 * GAL),
    ]
    base = replace(book(replace(KITCHEN, stage="growing")), plantings=BED if plants else ())
    return logged(*lines, *more, base=base)


@pytest.mark.parametrize("plants", [True, False])
def test_seven_gallons_overnight_are_a_leak_and_electricity_comes_first(plants: bool) -> None:
    facts = steady(plants=plants)
    found = answer(Log(tower="kitchen", level="5.25 gal"), facts)
    words = [one.word for one in found.expect]
    assert words.index("leak.electric") < words.index("leak.sudden")
    # S6: 7 gal against 1.25 a day: 5.6 times; plants that grow or not make a tenth.
    times = float(re.search(r"([\d.]+) × its normal day", plain(found, facts))[1])  # type: ignore[index]
    assert times == pytest.approx(5.6, abs=0.15)
    assert [o.question for o in found.offers[:2]] == [
        Leak(tower="kitchen", found="leak"),
        Leak(tower="kitchen", found="thirst"),
    ]


def test_what_thirst_alone_would_have_left_stands_beside_it() -> None:
    facts = steady()
    text = plain(answer(Log(tower="kitchen", level="5.25 gal"), facts), facts)
    low, high = (
        float(part.split()[0]) for part in text.split("have left ")[1].split(".\n")[0].split(" to ")
    )
    assert 8 < low < 11 < high < 12.25  # 12.25 less a day of 1.25, a swing and an eye's error


@pytest.mark.parametrize("plants", [True, False])
@pytest.mark.parametrize("level", ["11 gal", "10.4 gal"])
def test_a_hot_day_is_no_leak(level: str, plants: bool) -> None:
    found = answer(Log(tower="kitchen", level=level), steady(plants=plants))
    assert all(one.word != "leak.sudden" for one in found.expect)


def test_closed_with_what_was_found() -> None:
    facts = steady()
    leaked = answer(Leak(tower="kitchen", found="leak", where="seam at level 2"), facts)
    (kept,) = leaked.changes
    assert isinstance(kept, AddEntry)
    assert (kept.entry.kind, kept.entry.note) == ("leak", "seam at level 2")
    assert "it leaked" in plain(leaked, facts)


def test_a_drop_that_was_looked_into_counts_as_thirst() -> None:
    drop = entry(9, hours=2, level_l=8.0 * GAL)
    closed = answer(Leak(tower="kitchen", found="thirst"), steady(drop)).changes[0]
    assert isinstance(closed, AddEntry)
    looked = replace(closed.entry, at=NOW - timedelta(hours=0.5))
    fill = entry(10, hours=1, kind="topup", level_l=16 * GAL, water_added_l=8 * GAL)
    for told in ((drop,), (drop, fill)):  # whoever fills first and presses then, too
        before, after = use_of(KITCHEN, steady(*told)), use_of(KITCHEN, steady(*told, looked))
        assert before is not None and after is not None
        assert after.l_per_d > before.l_per_d


def test_a_rise_with_nothing_logged_is_asked_about_once_and_never_fitted() -> None:
    # S29: 6 gal yesterday, 8 today.
    facts = logged(entry(1, days=3, level_l=8.5 * GAL), entry(2, days=1, level_l=6 * GAL))
    before = use_of(KITCHEN, facts)
    found = answer(Log(tower="kitchen", level="8 gal"), facts)
    text = plain(found, facts)
    assert "2 gal more than should be there" in text
    assert text.count("?") == 1
    filled, rain = (o.question for o in found.offers[:2])
    assert isinstance(filled, Log) and isinstance(rain, Log)
    assert rain.note == "rain got in"
    after = use_of(KITCHEN, replace(facts, log=(*facts.log, entry(3, level_l=8 * GAL))))
    assert before is not None and after is not None
    assert after.l_per_d == pytest.approx(before.l_per_d)


def test_i_filled_it_puts_the_fill_in_the_place_of_the_reading() -> None:
    facts = logged(entry(1, days=3, level_l=8.5 * GAL), entry(2, days=1, level_l=6 * GAL))
    first = answer(Log(tower="kitchen", level="8 gal"), facts)
    stored = next(c.entry for c in first.changes if isinstance(c, AddEntry))
    later = replace(
        facts, now=NOW + timedelta(minutes=1), log=(*facts.log, replace(stored, id=3, mine=True))
    )
    again = answer(first.offers[0].question, later)
    added = [c.entry for c in again.changes if isinstance(c, AddEntry)]
    # 1.25 gal a day: 2 gal of rise, and 1.25 that was drunk since yesterday. The pace stays.
    assert [round((e.water_added_l or 0) / GAL, 2) for e in added] == [3.25]
    filled = replace(facts, log=(*facts.log, *added))
    before, after = use_of(KITCHEN, facts), use_of(KITCHEN, filled)
    assert before is not None and after is not None
    assert after.l_per_d == pytest.approx(before.l_per_d)
    assert [c.entry_id for c in again.changes if isinstance(c, UndoEntry)] == [3]


@pytest.mark.parametrize("level", ["6 gal", "6.8 gal", "5 gal"])
def test_what_an_eye_errs_by_is_no_rise(level: str) -> None:
    facts = logged(entry(1, days=3, level_l=8.5 * GAL), entry(2, days=1, level_l=6 * GAL))
    found = answer(Log(tower="kitchen", level=level), facts)
    assert all(one.word != "leak.rise_by" for one in found.expect)


@pytest.mark.parametrize("found", ["leak", "thirst"])
def test_a_level_that_was_looked_into_is_what_stands_there(found: str) -> None:
    drop = entry(9, hours=2, level_l=5.25 * GAL)
    closed = answer(Leak(tower="kitchen", found=found), steady(drop)).changes[0]
    assert isinstance(closed, AddEntry)
    facts = steady(drop, replace(closed.entry, at=NOW - timedelta(hours=1)))
    plain_, after = use_of(KITCHEN, steady()), use_of(KITCHEN, facts)
    assert plain_ is not None and after is not None
    assert after.level_l / GAL == pytest.approx(5.25, abs=0.1)
    # Never later than before the drop; a leak says nothing of thirst.
    assert reaches(after, 3.5 * GAL)[0] < reaches(plain_, 3.5 * GAL)[0]
    if found == "leak":
        assert after.l_per_d == pytest.approx(plain_.l_per_d, rel=0.1)


def test_the_last_word_on_a_drop_counts() -> None:
    drop = entry(9, hours=2, level_l=5.25 * GAL)
    kinds = [
        entry(10 + n, hours=1 - 0.1 * n, kind=kind) for n, kind in enumerate(("no_leak", "leak"))
    ]
    leaked, both = (use_of(KITCHEN, steady(drop, *some)) for some in (kinds[1:], kinds))
    assert leaked is not None and both is not None
    assert both.l_per_d == pytest.approx(leaked.l_per_d)


def test_what_was_read_last_stands_there_however_odd_it_is() -> None:
    # Nobody has pressed anything: a dry tank waits for no second reading.
    seen = use_of(KITCHEN, steady(entry(9, hours=1, level_l=3 * GAL)))
    assert seen is not None
    assert seen.level_l / GAL == pytest.approx(3, abs=0.6)  # an eye's error at a mark


def test_a_top_up_with_such_a_level_says_the_leak_before_any_amount() -> None:
    facts = steady()
    found = answer(TopUp(tower="kitchen", level="5.25 gal"), facts)
    assert [one.word for one in found.do[:2]] == ["leak.electric", "leak.sudden"]
    assert any(a.name == "water" for a in found.amounts)
    assert [o.question for o in found.offers[:1]] == [Leak(tower="kitchen", found="leak")]
    calm = answer(TopUp(tower="kitchen", level="11 gal"), facts)
    assert all(not one.word.startswith("leak") for one in calm.do)


def test_in_the_room_the_electric_line_comes_before_the_button() -> None:
    room = replace(steady(), private=False)
    found = answer(Leak(tower="kitchen", lost="7 gal"), room)
    assert [one.word for one in found.do] == ["leak.electric", "room.private"]


def test_more_than_before_is_no_pace() -> None:
    facts = book()
    assert hear("kitchen was at 3 gal now at 9 gal, leak?", facts) == Leak(
        tower="kitchen", rise="yes"
    )
