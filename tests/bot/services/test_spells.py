"""Heat, wind and frost: each member's own numbers (S9), and the coach's notice."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from bot.records.book import Book
from bot.records.changes import AddRule, TellOutdoors
from bot.records.facts import Community
from bot.records.questions import Heat, Notice
from bot.records.reminders import SPELL, Debt, Rule
from bot.render import plain
from bot.services import answer, say
from tests.bot.books import GAL, KITCHEN, PORCH, TAMSIN, book
from tests.bot.logs import NOW, entry, logged

COACH = replace(TAMSIN, role="coach")
ROOM = Community(id=1, name="Saltmarsh Growers", time_zone="America/New_York", room_id=5)


def kitchen() -> Book:
    """S9: 8 gal above the pump line (3.5 gal) at 1.25 a day."""
    return logged(
        entry(1, days=4, level_l=16.5 * GAL),
        entry(2, days=0, level_l=11.5 * GAL),
        base=book(replace(KITCHEN, tank_l=17 * GAL, timer_on_min=15.0, timer_off_min=45.0)),
    )


def coach() -> Book:
    return replace(book(member=COACH), community=ROOM)


def test_heat_says_both_marks_at_one_and_a_half_times_the_thirst() -> None:
    facts = kitchen()
    text = plain(answer(Heat(air="97F"), facts), facts)
    assert "thirst × 1.5 is 1.88 gal a day" in text
    # 8 gal / 1.875 = 4.3 days from Mon 11 May, 2 pm: Fri evening; 6.4 days without: Sun.
    assert "pump line Fri 15 May, evening (Sun 17 May, night without the heat)" in text
    assert "Fill to the line: 5.5 gal" in text
    assert "45 min between runs is long" in text
    # Water of 36.1 C at sea level: 6.8 mg/L (Benson & Krause 1984, in the checks of calc).
    assert "holds 6.8 mg/L" in text
    # 17 gal (64.4 kg): 64.4 x 4.19 / (372 + 4.19 x 35) = 0.52 kg a degree: 1.9 C = 3.5 F.
    assert "cools the full tank by about 3.5 °F" in text


def test_a_tower_without_a_pace_is_named_and_one_indoors_left_out() -> None:
    facts = book(replace(PORCH, place="outdoor"), replace(KITCHEN, place="indoor"))
    text = plain(answer(Heat(air="97F"), facts), facts)
    assert (
        "porch: I do not know its pace" in text.lower() or "Porch: I do not know its pace" in text
    )
    assert "kitchen" not in text.lower()
    inside = book(replace(KITCHEN, place="indoor"))
    assert "None of your towers stands outdoors" in plain(answer(Heat(air="97F"), inside), inside)


def test_the_coach_looks_at_a_notice_before_it_goes_out() -> None:
    first = answer(Notice(about="heat", temp="97F", until="wed"), coach())
    assert not first.changes
    assert "Towers outdoors: heat up to 97 °F (36 °C) until Wed 13" in plain(first, coach())
    sent = answer(first.offers[0].question, coach())
    each, room = sent.changes
    assert isinstance(room, AddRule) and isinstance(each, TellOutdoors)
    assert room.rule.room and room.rule.place == "outdoor"
    assert each.key == "heat:36.1:2026-05-13"


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Notice(), "Heat, wind or frost?"),
        (Notice(about="hail"), "Heat, wind or frost?"),
        (Notice(about="heat"), "How hot will it be"),
        (Notice(about="heat", temp="60F"), "no heat to warn of"),
        (Notice(about="frost", temp="60F"), "no frost"),
        (Notice(about="heat", temp="97F", until="25 Dec"), "two weeks at most"),
        (Notice(about="heat", temp="hot"), "hot"),
    ],
)
def test_what_is_missing_or_wrong_is_said_and_nothing_goes_out(asked: Notice, said: str) -> None:
    found = answer(asked, coach())
    assert said in plain(found, coach())
    assert not found.changes


def test_only_a_coach_gives_notice() -> None:
    found = answer(Notice(about="wind", sure="yes"), replace(coach(), member=TAMSIN))
    assert (found.outcome, found.changes) == ("refuse", ())


def spell(key: str, facts: Book) -> str | None:
    debt = Debt(id=1, rule=Rule(id=1, what=SPELL), key=key, due=facts.now)
    found = say([debt], facts).answer
    return None if found is None else plain(found, facts)


def test_each_member_reads_their_own_numbers_in_private() -> None:
    heat = spell("heat:36.1:2026-05-13", kitchen())
    assert heat is not None and "Heat up to 97 °F until Wed 13 May" in heat
    assert "pump line Fri 15 May, evening" in heat
    # 11.5 gal of water weigh 96 lb, 17 gal 142 lb (8.345 lb a gallon)
    wind = spell("wind::2026-05-13", kitchen())
    assert (
        wind is not None
        and "96 lb (43.5 kg) of water holds it down, 142 lb (64.4 kg) when full" in wind
    )
    frost = spell("frost:-2.0:2026-05-13", kitchen())
    assert frost is not None and "about 11.5 gal in it to drain" in frost


def test_nothing_is_said_once_it_is_over_or_with_no_tower_outdoors() -> None:
    over = replace(kitchen(), now=datetime(2026, 5, 14, 18, tzinfo=UTC))
    assert spell("heat:36.1:2026-05-13", over) is None
    assert spell("heat:36.1:2026-05-13", book(replace(KITCHEN, place="indoor"))) is None
    assert over.local(over.now) - date(2026, 5, 13) == timedelta(days=1)
    assert over.now > NOW
