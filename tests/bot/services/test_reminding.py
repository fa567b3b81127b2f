"""What records owe and what a reminder says: decisions on Books, the dates counted by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from bot.records.book import Book
from bot.records.changes import AddRule, CloseDebt, EditRule, Postpone, StopRules
from bot.records.facts import Entry, Planting, Tower
from bot.records.questions import (
    Log,
    Remind,
    Reminded,
    Reminders,
    RemindStop,
    Schedule,
    TowerEdit,
)
from bot.records.reminders import Debt, Owed, Pattern, Reminding, Rule
from bot.render import plain
from bot.services import answer, owed, say, say_in_room
from tests.bot.books import GAL, KITCHEN, TAMSIN, book

# Mon 11 May 2026, 2:00 pm in New York
NOW = datetime(2026, 5, 11, 18, 0, tzinfo=UTC)


def level(number: int, at: datetime, gallons: float, **facts: float) -> Entry:
    return Entry(id=number, tower="kitchen", at=at, recorded_at=at, kind="level",
                 level_l=gallons * GAL, **facts)  # type: ignore[arg-type]  # fmt: skip


def thirsty(tower: Tower = KITCHEN) -> Book:
    """FEATURES M16: 15.4 gal, four days later 10.2: 1.3 gal a day, half a tank in 1.7 days."""
    morning = datetime(2026, 5, 11, 11, 0, tzinfo=UTC)  # 7 am in New York
    lines = (level(1, morning - timedelta(days=4), 15.4), level(2, morning, 10.2))
    return replace(book(tower), log=lines)


def due(found: tuple[Owed, ...], what: str) -> list[str]:
    return [one.due.strftime("%a %d %b %H:%M") for one in found if one.what == what]


def test_a_refill_is_told_the_evening_before_and_the_pump_line_while_it_is_ahead() -> None:
    found = owed(thirsty(), {})
    # Half a tank (8 gal) in 2.2 / 1.3 = 1.7 days: Tue 12 May, 11:37 pm. The evening before is
    # Mon 11 May, 6:30 pm = 22:30 UTC.
    assert due(found, "refill") == ["Mon 11 May 22:30"]
    # The pump line (3.5 gal) at a fifth more use: 6.7 / 1.56 = 4.3 days: Fri 15 May, 2 pm; ten
    # hours before is 4 am: the evening before that is Thu 14 May, 6:30 pm.
    # Most likely dry on Sat 16 May (6.7 / 1.3 = 5.2 days): that morning and two more, until one
    # has looked.
    assert due(found, "pump_line") == [
        "Thu 14 May 22:30", "Sat 16 May 12:00", "Sun 17 May 12:00", "Mon 18 May 12:00",
    ]  # fmt: skip
    assert {one.key for one in found if one.again} >= {"refill:1:0", "pump_line:1:0"}


def test_an_hour_of_ones_own_and_the_last_fill_in_the_key() -> None:
    full = replace(level(3, NOW, 16.0), kind="topup", water_added_l=5.8 * GAL)
    facts = replace(thirsty(), log=(*thirsty().log, full), now=NOW + timedelta(minutes=1))
    found = owed(facts, {"refill": "20:00"})
    (refill,) = [one for one in found if one.what == "refill"]
    assert refill.key == "refill:1:3"
    assert refill.due.strftime("%H:%M") == "00:00"  # 8 pm in New York


def test_a_full_change_the_evening_before() -> None:
    changed = Entry(id=1, tower="kitchen", at=NOW - timedelta(days=28), kind="change",
                    level_l=16 * GAL, recorded_at=NOW)  # fmt: skip
    found = owed(replace(book(), log=(changed,)), {})
    # 30 days after Mon 13 Apr is Wed 13 May; the evening before is Tue 12 May, 6:30 pm
    assert due(found, "change") == ["Tue 12 May 22:30"]


@pytest.mark.parametrize(
    ("strength", "moved", "expected"),
    [
        (0.5, date(2026, 5, 4), ["Thu 14 May 22:30"]),  # ten days after
        (0.75, date(2026, 5, 4), ["Thu 21 May 22:30"]),  # a week later
        (1.0, date(2026, 5, 4), []),
        (0.5, None, []),
        (0.5, date(2026, 1, 4), []),  # long ago: nobody asks about last winter
    ],
)
def test_a_stronger_feed_is_asked_about_never_set(
    strength: float, moved: date | None, expected: list[str]
) -> None:
    tower = replace(KITCHEN, strength=strength, moved_in_on=moved, stage="growing")
    assert due(owed(book(tower), {}), "stage") == expected


def test_a_newcomer_hears_of_one_step_at_a_time() -> None:
    coming = replace(KITCHEN, stage="coming", arrives_on=date(2026, 5, 15),
                     sown_on=date(2026, 5, 11))  # fmt: skip
    found = owed(book(coming), {})
    # FIRST_TEN_MINUTES: it comes Fri, "I'll write on Thu, 6:30 pm"
    # then jug it out on Sat 16 May; plants two weeks after sowing (25 May), the first fill the day
    # before; on the last day of the window (1 Jun) whether they are in
    assert due(found, "step") == [
        "Thu 14 May 22:30", "Fri 15 May 22:30", "Sat 23 May 22:30", "Sun 24 May 22:30",
        "Mon 01 Jun 22:30",
    ]  # fmt: skip
    assert {one.what for one in found} == {"step"}


def test_a_pen_is_calibrated_monthly_and_asked_about_twice_a_year_where_nobody_told() -> None:
    pen = replace(TAMSIN, has_ec_meter=True, calibrated_on=date(2026, 5, 1))
    assert due(owed(book(member=pen), {}), "calibrate") == ["Sun 31 May 22:30"]
    unknown = owed(book(member=replace(pen, calibrated_on=None)), {})
    (never,) = [one for one in unknown if one.what == "calibrate"]
    assert never.key == "calibrate:2026-1"
    assert never.due.strftime("%a") == "Sat"


def planted(*lines: Entry) -> Book:
    """A grown kitchen of 30 leafy ports outdoors, moved in 60 days ago."""
    bed = tuple(
        Planting(tower="kitchen", level=n // 6 + 1, port=n % 6 + 1, crop="lettuce", id=n + 1,
                 sown=date(2026, 2, 20), planted=date(2026, 3, 12))
        for n in range(30)
    )  # fmt: skip
    return replace(book(replace(KITCHEN, stage="growing")), log=lines, plantings=bed)


def refill_due(facts: Book) -> datetime:
    return next(one.due for one in owed(facts, {}) if one.what == "refill")


def test_a_refill_moves_when_a_reading_comes_in() -> None:
    # 30 grown lettuces outdoors drink about 5 L (1.3 gal) a day: common practice, no source.
    past = [level(n, NOW - timedelta(days=5 - 3 * n), 16.0 - 2.4 * n) for n in range(2)]
    before = refill_due(planted(*past))
    slow = refill_due(planted(*past, level(3, NOW - timedelta(hours=1), 13.4)))
    fast = refill_due(planted(*past, level(3, NOW - timedelta(hours=1), 9.6)))
    assert fast <= before < slow
    assert slow - before > timedelta(days=1)


def test_a_guess_from_plants_and_one_reading_asks_for_a_look_and_is_named_a_guess() -> None:
    facts = planted(level(1, NOW - timedelta(hours=2), 16.0))
    assert due(owed(facts, {}), "look")
    text = texts([debt("look", "look:1:1")], facts)
    assert "It was last read on" in text
    assert "Down to 8 gal between" in text
    dry = replace(facts, now=NOW + timedelta(days=6))
    alarm = texts([debt("pump_line", "pump_line:1:0", at=dry.now)], dry)
    assert "is a guess, by its plants and one reading" in alarm
    bare = replace(facts, plantings=())
    assert not due(owed(bare, {}), "refill")  # it does not know
    assert not due(owed(bare, {}), "pump_line")


def test_one_look_is_asked_for_where_the_level_is_not_known_any_more() -> None:
    # One level, no plants known, no pace: a week later somebody should look, once.
    facts = replace(book(), log=(level(4, NOW - timedelta(days=2), 14.0),))
    assert due(owed(facts, {}), "look") == ["Sat 16 May 22:30"]
    text = texts([debt("look", "look:1:4")], facts)
    assert "Kitchen: how high is the water? It was last read on Sat 9 May" in text
    read = replace(facts, log=(*facts.log, level(5, NOW, 13.0)))
    assert say([debt("look", "look:1:4")], read).answer is None


def test_no_look_is_asked_for_beside_the_refill_itself() -> None:
    assert due(owed(thirsty(), {}), "refill")
    assert not due(owed(thirsty(), {}), "look")


def debt(what: str, key: str, at: datetime = NOW, **rule: object) -> Debt:
    return Debt(id=7, rule=Rule(id=3, what=what, **rule), key=key, due=at)  # type: ignore[arg-type]


def texts(debts: list[Debt], facts: Book) -> str:
    found = say(debts, facts).answer
    assert found is not None
    return plain(found, facts)


def test_a_refill_says_amounts_and_why_it_came() -> None:
    text = texts([debt("refill", "refill:1:0")], thirsty())
    # C6: 8 gal of new water at full label rate, 8 mL of each per gal: 64 mL, poured as 65
    assert "8 gal water" in text
    assert "65 mL" in text
    assert "Its last 2 readings say 1.3 gal a day" in text
    found = say([debt("refill", "refill:1:0")], thirsty()).answer
    assert found is not None
    done = found.offers[0].question
    assert isinstance(done, Log)
    assert (done.level, done.added, done.shown) == ("full", None, "reminded")


def test_what_the_log_shows_done_is_not_said() -> None:
    full = replace(level(3, NOW, 16.0), kind="topup", water_added_l=5.8 * GAL)
    facts = replace(thirsty(), log=(*thirsty().log, full))
    found = say([debt("refill", "refill:1:0")], facts)
    assert (found.answer, found.void) == (None, (7,))


@pytest.mark.parametrize(
    ("now", "first"),
    [
        # 6.7 gal above the pump line: at 1.3 x 1.2 a day until Fri 15 May, 2 pm, at 1.3 until
        # Sat 16 May, 10:40 am
        (
            datetime(2026, 5, 14, 22, 30, tzinfo=UTC),
            "Kitchen: top up before Fri 15 May, afternoon: from then on the pump may run dry"
            " (most likely Sat 16 May, morning).",
        ),
        (
            datetime(2026, 5, 16, 12, 0, tzinfo=UTC),
            "Kitchen: top up now: the pump may run dry any hour (most likely Sat 16 May, morning).",
        ),
    ],
)
def test_the_pump_line_alarm_says_before_when_or_now(now: datetime, first: str) -> None:
    facts = replace(thirsty(), now=now)
    said = say([debt("pump_line", "pump_line:1:0")], facts).answer
    assert said is not None
    assert plain(said, facts).startswith(first)


def test_a_thirst_that_dropped_is_told_of_later() -> None:
    slow = replace(thirsty(), log=(level(1, NOW - timedelta(days=4), 15.4), level(2, NOW, 15.0)))
    assert say([debt("refill", "refill:1:0")], slow).answer is None
    assert say([debt("pump_line", "pump_line:1:0")], slow).answer is None


def test_the_stage_question_offers_the_next_strength() -> None:
    tower = replace(KITCHEN, strength=0.5, moved_in_on=date(2026, 5, 1), stage="growing")
    found = say([debt("stage", "stage:1:2026-05-01:50")], book(tower)).answer
    assert found is not None
    assert "growing away?" in plain(found, book(tower))
    go = found.offers[0].question
    assert isinstance(go, TowerEdit)
    assert answer(go, book(tower)).changes


def test_late_missed_and_soon_are_said() -> None:
    rule = {"text": "rinse", "pattern": Pattern(start_local="2026-05-08T08:00", rrule="FREQ=DAILY")}
    late = replace(debt("note", "2026-05-09T14:00", NOW - timedelta(days=2), **rule), missed=2)
    text = texts([late], book())
    assert text.startswith("Rinse")
    assert "Late: it was due Sat 9 May, 2:00 pm" in text
    assert "2 more came due since" in text
    assert "your clock has moved" in texts(
        [replace(debt("note", "2026-05-11T14:00", **rule), soon=True)], book()
    )


def test_an_hourly_one_that_is_long_over_is_only_told_of() -> None:
    pattern = Pattern(
        start_local="2026-05-08T08:00", rrule="FREQ=HOURLY;INTERVAL=6", kind="elapsed"
    )
    over = debt("note", "k", NOW - timedelta(hours=9), text="rinse", pattern=pattern,
                late="expire")  # fmt: skip
    assert "left out" in texts([over], book())


def test_several_make_one_message_with_a_number_each() -> None:
    pattern = Pattern(start_local="2026-05-11T14:00")
    both = [
        replace(debt("note", "2026-05-11T14:00", text="rinse the filter", pattern=pattern), id=1),
        replace(debt("refill", "refill:1:0"), id=2),
    ]
    found = say(both, thirsty()).answer
    assert found is not None
    text = plain(found, thirsty())
    assert "2 reminders:" in text
    assert "8 gal water + 65 mL of each" in text
    assert isinstance(found.offers[-2].question, Reminded)
    assert found.offers[-2].question.debts == "1,2"


def test_a_room_reads_it_on_its_own_clocks_and_nothing_private() -> None:
    pattern = Pattern(start_local="2026-05-11T14:00")
    one = debt("note", "2026-05-11T14:00", text="seed day", pattern=pattern, room=True,
               place="indoor", ahead_min=60)  # fmt: skip
    found = say_in_room([one], NOW)
    assert "Towers indoors: seed day" in plain(found, book())
    assert found.offers == ()


def listed(*rules: Rule, coach: bool = False) -> Book:
    member = replace(TAMSIN, role="coach") if coach else TAMSIN
    return replace(book(member=member), reminding=Reminding(rules=rules))


DAILY = Rule(id=4, text="rinse", next_due=NOW + timedelta(hours=2),
             pattern=Pattern(start_local="2026-05-11T16:00", rrule="FREQ=DAILY",
                             zone="America/New_York"))  # fmt: skip


def test_the_list_numbers_them_and_stops_each() -> None:
    facts = listed(DAILY, Rule(id=5, what="refill"), Rule(id=6, what="stage", stopped=True))
    found = answer(Reminders(), facts)
    text = plain(found, facts)
    assert "1. rinse, every day at 4:00 pm; next Mon 11 May, 4:00 pm" in text
    assert "No date yet: top-up." in text
    assert "Stopped: stronger feed." in text
    assert found.offers[0].question == RemindStop(which="#4")
    stopped = answer(RemindStop(which="1"), facts)
    assert stopped.changes == (StopRules(rule_ids=(4,)),)
    assert answer(RemindStop(which="9"), facts).outcome == "refuse"
    assert answer(RemindStop(which="all"), facts).changes == (StopRules(rule_ids=(4, 5)),)


def test_a_change_keeps_what_is_not_named() -> None:
    found = answer(Remind(which="1", when="every day 9 am"), listed(DAILY))
    (change,) = found.changes
    assert isinstance(change, EditRule)
    assert change.text is None
    assert change.pattern is not None
    assert change.pattern.start_local == "2026-05-12T09:00"
    (bare,) = answer(Remind(which="1", when="9 am"), listed(DAILY)).changes
    assert isinstance(bare, EditRule)
    assert bare.pattern == replace(DAILY.pattern or Pattern(start_local=""),
                                   start_local="2026-05-11T09:00")  # fmt: skip
    text = answer(Remind(which="1", about="rinse it well"), listed(DAILY)).changes
    assert text == (EditRule(rule_id=4, text="rinse it well"),)
    hour = answer(Remind(which="#5", when="8 pm"), listed(Rule(id=5, what="refill")))
    assert hour.changes == (EditRule(rule_id=5, hour="20:00"),)


def test_a_day_that_months_have_not_is_chosen_once() -> None:
    asked = answer(Remind(about="rinse", when="31st of every month 9 am"), listed())
    assert asked.outcome == "clarify"
    assert asked.changes == ()
    last = answer(asked.offers[1].question, listed())
    (change,) = last.changes
    assert isinstance(change, AddRule)
    assert change.rule.pattern is not None
    assert change.rule.pattern.overflow == "clamp"


def test_done_and_later() -> None:
    done = answer(
        Reminded(debts="7", act="done", about="rinse the filter", tower="kitchen"), book()
    )
    assert done.changes[0] == CloseDebt(debt_id=7)
    (later,) = answer(Reminded(debts="7,8", act="tomorrow", hour="08:00"), book()).changes
    assert later == Postpone(debt_ids=(7, 8), until=datetime(2026, 5, 12, 12, 0, tzinfo=UTC))
    (hour,) = answer(Reminded(debts="7", act="hour"), book()).changes
    assert hour == Postpone(debt_ids=(7,), until=NOW + timedelta(hours=1))


def test_the_week_names_ones_reminders() -> None:
    facts = replace(thirsty(), reminding=Reminding(rules=(DAILY,)))
    assert "Mon 11 May: rinse, 4:00 pm" in plain(answer(Schedule(), facts), facts)


def test_below_the_pump_line_the_alarm_comes_first_and_alone() -> None:
    low = replace(thirsty(), log=(*thirsty().log[:1], level(2, NOW - timedelta(hours=1), 3.0)))
    found = owed(low, {})
    assert due(found, "refill") == []
    assert due(found, "pump_line")[0] == "Mon 11 May 22:30"  # the next hour of theirs there is


def test_a_level_that_rose_with_nothing_logged_keeps_the_pace() -> None:
    full = replace(thirsty(), log=(*thirsty().log, level(3, NOW, 16.0)))
    # 8 gal at 1.3 a day is 6.2 days from Mon 11 May, 2 pm: Sun 17 May, 5:40 pm; the evening before
    assert due(owed(full, {}), "refill") == ["Sat 16 May 22:30"]


def test_when_the_tank_is_half_is_done_unasked() -> None:
    coming = Rule(id=5, what="refill", next_due=NOW + timedelta(days=2))
    asked = Remind(about="x", when="when the tank is half")
    assert "next Wed 13 May, 2:00 pm" in plain(answer(asked, listed(coming)), book())
    stopped = answer(asked, listed(replace(coming, stopped=True)))
    assert "You stopped that" in plain(stopped, book())
    assert stopped.offers[0].question == RemindStop(which="#5", back="yes")


@pytest.mark.parametrize(("units", "six"), [("us", "6:00 pm"), ("metric", "18:00")])
def test_times_in_another_year_say_which_on_the_clock_of_ones_units(units: str, six: str) -> None:
    # 1 Feb 2027 is a Monday, 1 Mar too (proleptic Gregorian calendar)
    facts = book(member=replace(TAMSIN, units=units))

    def said(when: str) -> str:
        return plain(answer(Remind(about="filter", when=when), facts), facts)

    every = said("every 2 months on the 1st 6 pm")
    assert f"at {six}" in every
    assert f"Tue 1 Dec, {six}, Mon 1 Feb 2027, {six}." in every
    assert f"filter, Mon 1 Mar 2027, {six}" in said("1 mar 2027 6 pm")
    assert "until Mon 1 Feb 2027" in said("every day 6 pm until 1 feb 2027")
    assert "(29 Feb 2028, 29 Feb 2032, 29 Feb 2036, 29 Feb 2040)" in said("every year on 29 feb")


def test_the_list_names_another_year() -> None:
    assert DAILY.pattern is not None
    far = datetime(2027, 3, 1, 21, 0, tzinfo=UTC)  # 4 pm in New York in winter
    start = replace(DAILY.pattern, start_local="2027-03-01T16:00", rrule="")
    facts = listed(replace(DAILY, next_due=far, pattern=start))
    assert "Mon 1 Mar 2027, 4:00 pm" in plain(answer(Reminders(), facts), facts)
