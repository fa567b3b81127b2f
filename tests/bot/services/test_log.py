"""Lines written, taken back and read again; the guard against a second dose; stale buttons."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from bot.records.changes import AddEntry, UndoEntry
from bot.records.facts import Entry
from bot.records.questions import Check, History, Log, TopUp, Undo
from bot.render import plain
from bot.services import answer, numbered, refreshed
from tests.bot.books import GAL, IFE, KITCHEN, LIBRARY, PORCH, book, no_towers
from tests.bot.logs import NOW, entry, logged


def stored(question: Log, *lines: Entry) -> list[Entry]:
    found = answer(question, logged(*lines))
    assert found.outcome == "answer", plain(found, book())
    return [change.entry for change in found.changes if isinstance(change, AddEntry)]


def test_water_and_feed_told_together_are_one_topup() -> None:
    """FEATURES M15: "added 6 gal and 48 ml each"."""
    (line,) = stored(Log(added="6 gal", poured="48 ml each"))
    assert line.kind == "topup"
    assert line.water_added_l == pytest.approx(6 * GAL)
    assert line.amounts == (("A", 48.0), ("B", 48.0))
    assert line.at == NOW


@pytest.mark.parametrize(
    ("question", "kind"),
    [
        (Log(level="half"), "level"),
        (Log(ec="1.9"), "ec"),
        (Log(ph="6.1"), "ph"),
        (Log(note="roots trimmed"), "note"),
        (Log(poured="A 20, B 20"), "dose"),
        (Log(change="yes", poured="104 ml each"), "change"),
    ],
)
def test_the_kind_is_what_was_told(question: Log, kind: str) -> None:
    assert stored(question)[-1].kind == kind


def test_a_full_change_leaves_a_full_tank() -> None:
    assert stored(Log(change="yes"))[0].level_l == pytest.approx(KITCHEN.tank_l)


def test_filled_as_shown_keeps_what_was_read_before_and_fills_to_the_line() -> None:
    """FIRST_TEN_MINUTES 12: a full tank, 8 gal and 36 mL of each."""
    shown = answer(TopUp(level="half", ec="2.1"), book())
    button = shown.offers[0]
    first, second = stored(button.question)  # type: ignore[arg-type]  # a Log
    assert (first.kind, first.level_l, first.ec) == ("level", pytest.approx(8 * GAL), 2.1)
    assert second.level_l == pytest.approx(16 * GAL)
    assert second.water_added_l == pytest.approx(8 * GAL)
    # mass balance by hand: (1.7 - 1.25) / (1.6 / 8 mL per gal) x 16 gal = 36 mL
    assert dict(second.amounts) == pytest.approx({"A": 36.0, "B": 36.0})
    assert second.ec is None


def test_different_works_the_water_out_from_both_levels() -> None:
    shown = answer(TopUp(level="half", ec="2.1"), book())
    button = shown.offers[1]
    assert button.form == "different"
    assert isinstance(button.question, Log)
    told = replace(button.question, level="7/8", poured="30 ml each")
    _, second = stored(told)
    assert second.water_added_l == pytest.approx(6 * GAL)
    assert second.level_l == pytest.approx(14 * GAL)


@pytest.mark.parametrize(
    ("text", "hours_ago"),
    [("2 h ago", 2.0), ("7:00", 7.0), ("yesterday 2 pm", 24.0), ("10 May 14:00", 24.0)],
)
def test_a_line_may_be_told_later(text: str, hours_ago: float) -> None:
    (line,) = stored(Log(level="half", at=text))
    assert (NOW - line.at) / timedelta(hours=1) == pytest.approx(hours_ago)


@pytest.mark.parametrize(
    "question",
    [
        Log(level="20 gal"),
        Log(added="40 gal"),
        Log(added="-3 gal"),
        Log(ph="61"),
        Log(ph="blue"),
        Log(ec="19"),
        Log(temp="200 C"),
        Log(temp="20"),
        Log(at="tomorrow", level="half"),
        Log(at="2099-01-01", level="half"),
        Log(at="30 February", level="half"),
        Log(poured="C 20"),
        Log(added="A 40 ml"),
        Log(added="A 40 ml, B 40 ml"),
        Log(poured="A 20 A 30"),
        Log(poured="4000 ml each"),
        Log(level="nan"),
        Log(ec="1e309"),
    ],
)
def test_bad_input_is_one_question_and_nothing_is_stored(question: Log) -> None:
    found = answer(question, book())
    assert found.outcome == "clarify"
    assert found.changes == ()
    assert plain(found, book()).count("?") == 1


def test_a_corrected_fill_must_add_up() -> None:
    """30 L were in and 30 L went in: 60 L, so "3/4" of 60.6 L is one of them wrong."""
    lines = entry(1, level_l=30.0), entry(2, kind="topup", level_l=60.0, water_added_l=30.0)
    at = logged(*lines)
    told = Log(level="3/4", added="30 l", replaces=NOW.isoformat())
    asked = answer(told, at)
    assert asked.outcome == "clarify" and asked.changes == ()
    fits = next(o.question for o in asked.offers if o.label.word == "button.water_was")
    found = answer(fits, at)
    (added,) = [c.entry for c in found.changes if isinstance(c, AddEntry)]
    assert added.water_added_l == pytest.approx(0.75 * KITCHEN.tank_l - 30.0)
    assert answer(Log(level="full", added="30 l", replaces=NOW.isoformat()), at).changes


def test_a_second_dose_within_hours_is_asked_about_first() -> None:
    """FEATURES M19: Ife logged 23 L + 46 mL; add yours too?"""
    first = entry(
        7, hours=3, tower="library", water_added_l=23.0, amounts=(("A", 46.0), ("B", 46.0)),
        by="Ife", mine=False, kind="topup",
    )  # fmt: skip
    library = replace(book(LIBRARY, member=IFE), now=NOW)
    found = answer(Log(added="23 l", poured="46 ml each"), logged(first, base=library))
    said = plain(found, library)
    assert found.changes == ()
    assert said.startswith("Ife logged 23 L water, 46 mL of each for library on Mon 11 May, 16:00")
    assert said.count("?") == 1
    yes = found.offers[0].question
    again = answer(yes, logged(first, base=library))
    assert [type(change) for change in again.changes] == [AddEntry]


def test_thirteen_hours_later_it_is_not() -> None:
    first = entry(7, hours=13, amounts=(("A", 46.0), ("B", 46.0)), kind="dose")
    assert stored(Log(poured="46 ml each"), first)


def test_a_dose_names_the_newest_line_it_knows() -> None:
    known = replace(logged(entry(7, days=2)), newest={KITCHEN.id: 7})
    (change,) = answer(Log(poured="46 ml each"), known).changes
    assert isinstance(change, AddEntry)
    assert change.after == 7
    (reading,) = answer(Log(level="half"), known).changes
    assert isinstance(reading, AddEntry)
    assert reading.after is None  # a reading may come in any order


def test_undo_takes_all_of_what_was_told_at_once() -> None:
    before = entry(1, days=2, level_l=58.0)
    pair = [entry(2, level_l=30.0), entry(3, level_l=60.0, water_added_l=30.0, kind="topup")]
    found = answer(Undo(), logged(before, *pair))
    assert [c.entry_id for c in found.changes if isinstance(c, UndoEntry)] == [2, 3]
    assert "15.3 gal in the tank, Sat 9 May" in plain(found, book())  # 58 L is the last one now


def test_undo_leaves_others_lines_and_old_ones_alone() -> None:
    theirs = entry(1, hours=1, by="Ife", mine=False)
    old = entry(2, days=8)
    assert answer(Undo(), logged(theirs, old)).changes == ()
    assert answer(Undo(entry="1"), logged(theirs)).changes == ()


def test_a_changed_line_stands_for_the_old_one() -> None:
    old = entry(5, hours=1, level_l=30.0)
    mark = old.recorded_at.isoformat() if old.recorded_at else ""
    found = answer(Log(level="3/4", replaces=mark), logged(old))
    assert [type(change) for change in found.changes] == [AddEntry, UndoEntry]


def test_a_changed_dose_is_no_second_one() -> None:
    old = entry(5, hours=1, amounts=(("A", 40.0), ("B", 40.0)), kind="dose")
    mark = old.recorded_at.isoformat() if old.recorded_at else ""
    found = answer(Log(poured="44 ml each", replaces=mark), logged(old))
    assert found.outcome == "answer"


def test_a_changed_line_keeps_its_time_and_what_was_read_before_it() -> None:
    """Filled as shown tells two lines; a change stands for the fill alone."""
    before = entry(5, hours=3, level_l=30.0, ec=2.1)
    fill = replace(entry(6, hours=3, level_l=60.0, kind="topup", water_added_l=30.0,
                         amounts=(("A", 36.0), ("B", 36.0))), ec=None)  # fmt: skip
    mark = fill.recorded_at.isoformat() if fill.recorded_at else ""
    found = answer(Log(poured="30 ml each", added="8 gal", replaces=mark), logged(before, fill))
    (added,) = [c.entry for c in found.changes if isinstance(c, AddEntry)]
    assert added.at == fill.at
    assert added.ec is None
    assert [c.entry_id for c in found.changes if isinstance(c, UndoEntry)] == [6]


def test_a_line_taken_back_already_cannot_be_changed() -> None:
    found = answer(Log(level="half", replaces=NOW.isoformat()), logged(entry(5, days=1)))
    assert found.outcome == "refuse" and found.changes == ()


def test_parts_out_of_ratio_are_asked_about() -> None:
    for poured in ("A 48", "A 480, B 48"):
        found = answer(Log(added="6 gal", poured=poured), book())
        assert found.outcome == "clarify" and found.changes == ()
        sure = answer(found.offers[0].question, book())
        assert sure.changes
    assert stored(Log(poured="48"))[0].amounts == (("A", 48.0), ("B", 48.0))


def test_a_button_means_its_tower_by_number() -> None:
    shown = answer(TopUp(level="half"), book()).offers[0].question
    kept = numbered(shown, book())
    assert isinstance(kept, Log) and kept.tower == "#1"
    renamed = replace(book(), towers=(replace(KITCHEN, name="roof"), replace(PORCH, id=3)))
    (_, line) = [c.entry for c in answer(kept, renamed).changes if isinstance(c, AddEntry)]
    assert line.tower == "roof"
    gone = replace(book(), towers=(replace(PORCH, name="kitchen"),))
    refused = answer(kept, gone)
    assert refused.outcome == "refuse" and refused.changes == ()


def test_history_has_pages_newest_first() -> None:
    lines = [entry(n, days=20 - n, level_l=float(20 + n)) for n in range(1, 13)]
    found = answer(History(), logged(*lines))
    said = plain(found, book())
    assert "page 1 of 3" in said
    assert said.index("1. Sun 3 May") < said.index("2. Sat 2 May")
    labels = [offer.label.word for offer in found.offers]
    assert labels[0] == "button.older"
    last = answer(History(page="3"), logged(*lines))
    assert [o.label.word for o in last.offers].count("button.take_back") == 2
    for bad in ("4", "0", "x", "1.5"):
        assert answer(History(page=bad), logged(*lines)).outcome == "clarify"


def test_which_tower_is_asked_when_two_fit() -> None:
    found = answer(Log(level="half"), book(KITCHEN, PORCH))
    assert found.outcome == "clarify"
    assert [o.question for o in found.offers] == [
        Log(level="half", tower="kitchen"),
        Log(level="half", tower="porch"),
    ]


def test_without_a_tower_the_set_up_begins_and_the_question_is_kept() -> None:
    found = answer(Log(level="half"), no_towers())
    assert found.intent == "newcomer"
    assert found.awaits is not None
    assert '"kind":"log"' in str(found.awaits.question.then)  # type: ignore[union-attr]  # a Start


def test_in_a_room_it_is_behind_a_button() -> None:
    for question in (Log(level="half"), Undo(), History(), Check(ec="1.9")):
        found = answer(question, replace(book(), private=False))
        assert [o.label.word for o in found.offers] == ["button.just_for_me"]
        assert found.offers[0].question == question
        assert found.changes == ()


def test_an_offer_is_void_after_a_newer_line_or_a_day() -> None:
    made = NOW - timedelta(hours=2)
    shown = answer(TopUp(level="half"), book()).offers[0].question
    assert refreshed(shown, made, logged(entry(1, hours=3))) == (shown, False)
    assert refreshed(shown, made, logged(entry(1, hours=1))) == (TopUp(tower="kitchen"), True)
    day = NOW - timedelta(hours=25)
    assert refreshed(shown, day, logged()) == (TopUp(tower="kitchen"), True)
    asked = TopUp(level="half", ec="1.9")
    assert refreshed(asked, day, logged()) == (TopUp(), True)
    # what somebody typed as done stays as true as it was
    told = Log(added="6 gal", poured="48 ml each")
    assert refreshed(told, day, logged()) == (told, False)


def test_a_line_of_another_tower_makes_no_offer_stale() -> None:
    shown = answer(TopUp(level="half"), book()).offers[0].question
    other = entry(1, hours=1, tower="porch")
    both = replace(logged(other), towers=(KITCHEN, PORCH))
    assert refreshed(shown, NOW - timedelta(hours=2), both) == (shown, False)
