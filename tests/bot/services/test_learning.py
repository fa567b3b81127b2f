"""What a member's own fills and marks teach, on Books; numbers of the acceptance list (D1-D3)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.records.book import Book
from bot.records.changes import AddEntry, EditTower
from bot.records.facts import Entry
from bot.records.questions import Forecast, Log, SettingsEdit, TopUp, TowerEdit, TowerShow
from bot.render import plain
from bot.services import answer
from tests.bot.books import FEED, GAL, INCH, PORCH, TAMSIN, book
from tests.bot.logs import NOW

PEN = replace(TAMSIN, has_ec_meter=True, calibrated_on=date(2026, 4, 20))


def fill(number: int, days: float, *, seen: float | None, level: float = 7.0) -> list[Entry]:
    """A porch (10 gal) at `level` gal and EC 1.08, 8 mL of each a gal of new water, tap 0.4.

    seen: what a mL/gal of each has added by the reading after it, [mS/cm].
    """
    at = NOW - timedelta(days=days)
    poured = (10 - level) * 8.0
    base = Entry(tower="porch", at=at, kind="level", id=number, level_l=level * GAL, ec=1.08)
    added = replace(base, id=number + 1, at=at + timedelta(minutes=1), kind="topup", ec=None,
                    level_l=10 * GAL, water_added_l=(10 - level) * GAL,
                    amounts=(("A", poured), ("B", poured)))  # fmt: skip
    if seen is None:
        return [base, added]
    blend = (level * 1.08 + (10 - level) * 0.4) / 10
    ec = blend + poured / 10 * seen
    after = replace(base, id=number + 2, at=at + timedelta(hours=1), kind="ec", level_l=None, ec=ec)
    return [base, added, after]


def taught(*seen: float, **facts: object) -> Book:
    """Fills that were read, and one more an hour ago that will be."""
    lines = [e for n, one in enumerate(seen) for e in fill(10 * n, 14 - 4 * n, seen=one, level=6.7)]
    lines += fill(90, 1 / 24, seen=None, level=6.7)
    towers = (replace(PORCH, set_on=date(2026, 3, 1)),)
    return replace(book(*towers, member=replace(PEN, **facts)), log=tuple(lines))  # type: ignore[arg-type]


def reading(seen: float) -> str:
    """What the pen shows when a mL/gal adds so much."""
    return f"{(6.7 * 1.08 + 3.3 * 0.4) / 10 + 3.3 * 8.0 / 10 * seen:.4f}"


def edits(found: object) -> dict[str, object]:
    changes = [c for c in found.changes if isinstance(c, EditTower)]  # type: ignore[attr-defined]
    return dict(changes[0].facts) if changes else {}


def test_three_measured_fills_move_the_gain_and_say_so() -> None:
    facts = taught(0.221, 0.229)
    found = answer(Log(tower="porch", ec=reading(0.235)), facts)
    learned = edits(found)
    # 0.22 a mL/gal against the label's 0.20.
    assert learned["gain_factor"] == pytest.approx(1.1, rel=1e-3)
    assert learned["learned_fills"] == 3
    assert "Learned from 3 fills" in plain(found, facts)
    back = next(o.question for o in found.offers if isinstance(o.question, TowerEdit))
    assert back == TowerEdit(tower="porch", gain="label")


def test_the_gain_factor_is_used_shown_and_taken_back() -> None:
    # D1: "porch 1.08 to 1.70 next time 28 mL, not 31". In a full tank: 0.62 / 0.22 x 10 gal.
    learned = replace(PORCH, gain_factor=1.1, learned_fills=3)
    before, after = (
        answer(TopUp(tower="porch", level="full", ec="1.08"), book(tower, member=PEN))
        for tower in (PORCH, learned)
    )
    assert [round(a.value) for a in before.amounts if a.name == "A"] == [31]
    assert [round(a.value) for a in after.amounts if a.name == "A"] == [28]
    text = plain(after, book(learned, member=PEN))
    assert "learned from 3 fills; the label says 1.6" in text
    reverted = edits(answer(TowerEdit(tower="porch", gain="label"), book(learned, member=PEN)))
    assert reverted["gain_factor"] is None


@pytest.mark.parametrize(
    ("seen", "facts"),
    [
        ((0.221,), {}),  # two fills are no three
        ((0.221, 0.9), {}),  # one of three is a slip of the pen
        ((0.221, 0.229), {"calibrated_on": date(2026, 3, 1)}),  # nobody knows what the pen shows
        ((0.221, 0.229), {"calibrated_on": None}),
    ],
)
def test_nothing_is_learned_from_too_little(
    seen: tuple[float, ...], facts: dict[str, object]
) -> None:
    known = taught(*seen, **facts)
    assert not edits(answer(Log(tower="porch", ec=reading(0.235)), known))


def lines(*seen: float, level: float = 6.7) -> list[Entry]:
    """Fills that were read, and one more an hour ago that will be."""
    read = [
        e for n, one in enumerate(seen) for e in fill(10 * n, 14 - 4 * n, seen=one, level=level)
    ]
    return read + fill(90, 1 / 24, seen=None, level=level)


def changed(**of_fills: object) -> Book:
    """The same fills, something of each pour or reading another."""
    facts = taught(0.221, 0.229)
    log = tuple(replace(e, **of_fills) if e.kind == "topup" else e for e in facts.log)  # type: ignore[arg-type]
    return replace(facts, log=log)


def test_levels_by_eye_teach_nothing() -> None:
    half = replace(taught(0.221, 0.229), log=tuple(lines(0.221, 0.229, level=5.0)))
    near = replace(half, log=tuple(lines(0.221, 0.229, level=5.2)))
    eyed, read = (
        f"{(g * 1.08 + (10 - g) * 0.4 + (10 - g) * 8 * 0.225) / 10:.4f}" for g in (5, 5.2)
    )
    assert not edits(answer(Log(tower="porch", ec=eyed), half))
    assert edits(answer(Log(tower="porch", ec=read), near))  # measured, it does


def test_one_part_alone_or_a_part_too_little_teaches_nothing() -> None:
    assert edits(answer(Log(tower="porch", ec=reading(0.235)), changed()))
    for amounts in ((("A", 26.4),), (("A", 26.4), ("B", 19.0))):
        assert not edits(answer(Log(tower="porch", ec=reading(0.235)), changed(amounts=amounts)))


def test_a_reading_a_day_later_belongs_to_no_fill() -> None:
    facts = taught(0.221, 0.229)
    late = replace(facts, now=NOW + timedelta(days=2))
    assert not edits(answer(Log(tower="porch", ec=reading(0.235)), late))


def test_another_keepers_pen_and_readings_from_before_the_calibration_teach_nothing() -> None:
    facts = taught(0.221, 0.229)
    theirs = tuple(replace(e, mine=False) for e in facts.log)
    assert not edits(answer(Log(tower="porch", ec=reading(0.235)), replace(facts, log=theirs)))
    fresh = taught(0.221, 0.229, calibrated_on=date(2026, 5, 10))
    assert not edits(answer(Log(tower="porch", ec=reading(0.235)), fresh))


def test_a_tower_without_a_feed_of_its_own_learns_nothing_of_one() -> None:
    facts = taught(0.221, 0.229)
    bare = replace(facts, towers=(replace(facts.towers[0], feed=None),))
    assert not edits(answer(Log(tower="porch", ec=reading(0.235)), bare))


def test_a_coach_who_changes_the_label_changes_what_is_reckoned_with() -> None:
    learned = replace(PORCH, gain_factor=1.1, learned_fills=3)
    strong = replace(
        FEED,
        parts=tuple(replace(p, ml_per_l=12 / GAL) for p in FEED.parts),
        ec_gain_ms_per_cm=2.4,
    )
    facts = replace(book(learned, member=PEN), feeds=(strong,))
    found = answer(TopUp(tower="porch", level="full", ec="1.08"), facts)
    # 0.62 short: 0.62 / (2.4 x 1.1) x 10 gal x 12 mL
    assert [round(a.value) for a in found.amounts if a.name == "A"] == [28]


def test_taking_the_reading_back_takes_back_what_it_taught() -> None:
    facts = taught(0.221, 0.229)
    found = answer(Log(tower="porch", ec=reading(0.235)), facts)
    stored = next(c.entry for c in found.changes if isinstance(c, AddEntry))
    learned = replace(facts.towers[0], **edits(found))  # type: ignore[arg-type]
    line = replace(stored, id=99, mine=True, recorded_at=facts.now)
    later = replace(facts, towers=(learned,), log=(*facts.log, line))
    assert edits(answer(found.offers[0].question, later))["gain_factor"] is None


def test_what_has_taught_does_not_teach_twice() -> None:
    facts = taught(0.221, 0.229)
    learned = replace(facts.towers[0], gain_factor=1.1, learned_on=date(2026, 5, 11))
    assert not edits(
        answer(Log(tower="porch", ec=reading(0.235)), replace(facts, towers=(learned,)))
    )


MARKS = "2.5 gal at 3.3 in, 5 at 6.2, 7.5 at 8.7, 10 at 11"


def test_jug_marks_give_the_tank_its_shape() -> None:
    found = edits(answer(TowerEdit(tower="porch", marks=MARKS), book(PORCH)))
    shaped = replace(PORCH, jug_marks=found["jug_marks"])  # type: ignore[arg-type]
    assert len(shaped.jug_marks) == 4
    level = answer(TopUp(tower="porch", level="7 in deep"), book(shaped))
    # D2: 5.8 gal stand there, so 4.2 go in (straight sides would say 6.4 and 3.6).
    assert [round(a.value / GAL, 1) for a in level.amounts if a.name == "left"] == [5.8]
    assert "shape is known by jug marks (4)" in plain(
        answer(TowerShow(), book(shaped)), book(shaped)
    )
    missing = answer(TopUp(tower="porch", level="4 in below full"), book(shaped))
    assert [round(a.value / GAL, 1) for a in missing.amounts if a.name == "left"] == [5.8]


def test_marks_in_any_order_and_bad_ones_in_words() -> None:
    jumbled = "10 gal at 11 in; 5 gal at 6.2 in; 2.5 gal at 3.3 in; 7.5 gal at 8.7 in"
    straight, shuffled = (
        edits(answer(TowerEdit(tower="porch", marks=text), book(PORCH)))["jug_marks"]
        for text in (MARKS, jumbled)
    )
    assert straight == shuffled
    for bad, said in (
        ("5 gal at 6 in, 4 gal at 7 in", "Those marks cross"),
        ("12 gal at 11 in", "holds more than the tank"),
        ("about yea deep", "no marks I can read"),
    ):
        found = answer(TowerEdit(tower="porch", marks=bad), book(PORCH))
        assert said in plain(found, book(PORCH))
        assert not found.changes
    gone = replace(PORCH, jug_marks=((5 * GAL, 5 * INCH),))
    assert edits(answer(TowerEdit(tower="porch", marks="none"), book(gone)))["jug_marks"] == ()


def test_marks_that_do_not_fill_the_tank_at_its_line_are_refused() -> None:
    deep = replace(PORCH, full_depth_cm=14 * INCH)
    found = answer(TowerEdit(tower="porch", marks="5 gal at 20 in"), book(deep))
    assert "not full at its full line" in plain(found, book(deep))
    assert not found.changes
    shaped = replace(PORCH, jug_marks=((2.5 * GAL, 3.3 * INCH), (8 * GAL, 9 * INCH)))
    shallow = answer(TowerEdit(tower="porch", depth="6 in"), book(shaped))
    assert "not full at its full line" in plain(shallow, book(shaped))


def test_a_size_told_a_little_better_keeps_its_marks() -> None:
    shaped = replace(PORCH, jug_marks=((5 * GAL, 6 * INCH),))
    assert "jug_marks" not in edits(answer(TowerEdit(tower="porch", tank="9.8 gal"), book(shaped)))
    assert edits(answer(TowerEdit(tower="porch", tank="20 gal"), book(shaped)))["jug_marks"] == ()


def test_marks_count_wherever_depths_do() -> None:
    marks = tuple((g * GAL, i * INCH) for g, i in ((2.5, 3.3), (5, 6.2), (7.5, 8.7), (10, 11)))
    facts = book(replace(PORCH, jug_marks=marks))
    found = answer(
        Forecast(before="10 gal", after="7 in deep", days="3 days", mark="2.5 gal"), facts
    )
    use = next(a.value for a in found.amounts if a.name == "use")
    assert use / GAL == pytest.approx((10 - 5.8) / 3)  # D2: 7 in are 5.8 gal


def test_a_finger_and_a_mug_of_ones_own() -> None:
    # D3: finger 17 mm, "my mug" 340 mL.
    found = answer(SettingsEdit(finger="17 mm", jug="340 mL"), book(PORCH))
    told = {c.setting: c.value for c in found.changes}  # type: ignore[union-attr]
    assert (told["finger_mm"], told["jug_l"]) == (17, pytest.approx(0.34))
    mine = replace(TAMSIN, finger_mm=17.0, jug_l=0.34)
    deep = replace(PORCH, full_depth_cm=11 * INCH)
    level = answer(TopUp(tower="porch", level="3 fingers below full"), book(deep, member=mine))
    # 51 mm of 279.4 mm missing in a straight tank of 10 gal
    assert [round(a.value / GAL, 2) for a in level.amounts if a.name == "water"] == [1.83]


def test_who_never_told_of_a_calibration_hears_what_it_would_teach() -> None:
    facts = taught(0.221, 0.229, calibrated_on=None)
    assert "pen calibrated" in plain(answer(Log(tower="porch", ec=reading(0.235)), facts), facts)
    known = taught(0.221, 0.229, calibrated_on=date(2026, 3, 1))
    assert "pen calibrated" not in plain(answer(Log(tower="porch", ec="1.7"), known), known)
    bare = replace(facts, log=())
    assert "pen calibrated" not in plain(answer(Log(tower="porch", ec="1.7"), bare), bare)
