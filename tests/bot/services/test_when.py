"""When a reminder comes: texts as members type them, the dates counted off a calendar by hand."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import islice

import pytest

from bot.clock import recurring, zone_of
from bot.errors import Refusal
from bot.records.answer import Answer, line
from bot.records.book import Book
from bot.records.facts import Member
from bot.render import plain
from bot.services.reminding.spoken import said
from bot.services.reminding.when import read_ahead, read_when
from calc.errors import CalcError, OutOfRange, Unreadable

ZONE = "America/New_York"
# Wed 21 Oct 2026, 10:00 am in New York; mornings are 8:00, evenings 6:30 pm
BOOK = Book(
    now=datetime(2026, 10, 21, 14, 0, tzinfo=UTC), member=Member(units="us", time_zone=ZONE)
)


def times(text: str, count: int = 3) -> list[str]:
    found = read_when(text, BOOK, zone=ZONE).pattern
    moments = recurring(
        start_local=found.start_local, rrule=found.rrule, zone=found.zone, kind=found.kind
    )
    return [at.astimezone(zone_of(ZONE)).strftime("%a %d %b %y %H:%M") for _, at in
            islice(moments, count)]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # FEATURES M17
        ("every 2nd Sun 7:30 pm", ["Sun 25 Oct 26 19:30", "Sun 08 Nov 26 19:30",
                                   "Sun 22 Nov 26 19:30"]),
        ("every other sunday at 19:30", ["Sun 25 Oct 26 19:30", "Sun 08 Nov 26 19:30",
                                         "Sun 22 Nov 26 19:30"]),
        ("2nd sunday 8 am", ["Sun 08 Nov 26 08:00", "Sun 13 Dec 26 08:00",
                             "Sun 10 Jan 27 08:00"]),
        ("the second sunday of every month at 9", ["Sun 08 Nov 26 09:00", "Sun 13 Dec 26 09:00",
                                                   "Sun 10 Jan 27 09:00"]),
        ("last friday of the month 8 am", ["Fri 30 Oct 26 08:00", "Fri 27 Nov 26 08:00",
                                           "Fri 25 Dec 26 08:00"]),
        ("last day of the month 20:00", ["Sat 31 Oct 26 20:00", "Mon 30 Nov 26 20:00",
                                         "Thu 31 Dec 26 20:00"]),
        ("every day at 7 am until 23 oct", ["Thu 22 Oct 26 07:00", "Fri 23 Oct 26 07:00"]),
        ("every 3 days 8 am", ["Thu 22 Oct 26 08:00", "Sun 25 Oct 26 08:00",
                               "Wed 28 Oct 26 08:00"]),
        ("every morning", ["Thu 22 Oct 26 08:00", "Fri 23 Oct 26 08:00", "Sat 24 Oct 26 08:00"]),
        ("weekdays 7 am", ["Thu 22 Oct 26 07:00", "Fri 23 Oct 26 07:00", "Mon 26 Oct 26 07:00"]),
        ("weekends 9 am", ["Sat 24 Oct 26 09:00", "Sun 25 Oct 26 09:00", "Sat 31 Oct 26 09:00"]),
        ("mondays and thursdays 18:00", ["Thu 22 Oct 26 18:00", "Mon 26 Oct 26 18:00",
                                         "Thu 29 Oct 26 18:00"]),
        ("every mon, thu 6 pm 2 times", ["Thu 22 Oct 26 18:00", "Mon 26 Oct 26 18:00"]),
        ("every 2 weeks on friday 4 pm", ["Fri 23 Oct 26 16:00", "Fri 06 Nov 26 16:00",
                                          "Fri 20 Nov 26 16:00"]),
        ("every wednesday 9 am", ["Wed 28 Oct 26 09:00", "Wed 04 Nov 26 09:00",
                                  "Wed 11 Nov 26 09:00"]),
        ("every wednesday 11 am", ["Wed 21 Oct 26 11:00", "Wed 28 Oct 26 11:00",
                                   "Wed 04 Nov 26 11:00"]),
        ("31st of every month 9:00", ["Sat 31 Oct 26 09:00", "Thu 31 Dec 26 09:00",
                                      "Sun 31 Jan 27 09:00"]),
        ("every 2 months on the 5th 9 am", ["Thu 05 Nov 26 09:00", "Tue 05 Jan 27 09:00",
                                            "Fri 05 Mar 27 09:00"]),
        ("every 29 february 7:30", ["Tue 29 Feb 28 07:30", "Sun 29 Feb 32 07:30",
                                    "Fri 29 Feb 36 07:30"]),
        ("every 6 hours", ["Wed 21 Oct 26 16:00", "Wed 21 Oct 26 22:00", "Thu 22 Oct 26 04:00"]),
        ("every sunday starting 1 nov at 8 am", ["Sun 01 Nov 26 08:00", "Sun 08 Nov 26 08:00",
                                                 "Sun 15 Nov 26 08:00"]),
        ("tomorrow evening", ["Thu 22 Oct 26 18:30"]),
        ("sat evening", ["Sat 24 Oct 26 18:30"]),
        ("friday", ["Fri 23 Oct 26 08:00"]),
        ("in 3 hours", ["Wed 21 Oct 26 13:00"]),
        ("in half an hour", ["Wed 21 Oct 26 10:30"]),
        ("in 2 days", ["Fri 23 Oct 26 10:00"]),
        ("8 may 7:30", ["Sat 08 May 27 07:30"]),
        ("29 feb 9:00", ["Tue 29 Feb 28 09:00"]),
        ("12/24/2026 8 am", ["Thu 24 Dec 26 08:00"]),
        ("9 pm", ["Wed 21 Oct 26 21:00"]),
        ("9 am", ["Thu 22 Oct 26 09:00"]),
        ("tonight", ["Wed 21 Oct 26 21:00"]),
    ],
)  # fmt: skip
def test_what_members_type(text: str, expected: list[str]) -> None:
    assert times(text) == expected


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("yesterday 7 am", "bad.when_over"), ("today 8 am", "bad.when_over"),
        ("2020-01-01 9:00", "bad.when_over"), ("30 february 8 am", "bad.no_such_day"),
        ("31 june", "bad.no_such_day"), ("every 32nd", "bad.no_such_day"),
        ("every 4 minutes", "bad.too_often"), ("12 june 2040", "bad.when_far"),
        ("every day at 8 until 1 oct 2027 ", None), ("every day 8 am until 20 oct 2026", None),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_sentence(text: str, word: str | None) -> None:
    if word is None:
        try:
            read_when(text, BOOK, zone=ZONE)
        except (Refusal, CalcError):
            return
        return
    with pytest.raises(Refusal) as refused:
        read_when(text, BOOK, zone=ZONE)
    assert refused.value.word == word


@pytest.mark.parametrize(
    "text", ["blah", "", "every", "25:00", "every day at 8 and 18:00", "until friday",
             "every day when it rains", "half", "8 gal"],
)  # fmt: skip
def test_a_word_without_a_place_is_never_dropped(text: str) -> None:
    with pytest.raises((Unreadable, Refusal)):
        read_when(text, BOOK, zone=ZONE)


@pytest.mark.parametrize("text", ["every 0 days", "every 1000 days", "daily 1001 times"])
def test_bounds(text: str) -> None:
    with pytest.raises(OutOfRange):
        read_when(text, BOOK, zone=ZONE)


def test_a_room_is_not_reminded_every_five_minutes() -> None:
    assert times("every 5 minutes", 1)
    with pytest.raises(Refusal, match="too_often"):
        read_when("every 10 minutes", BOOK, zone=ZONE, room=True)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("every 2nd sun 7:30 pm", "every second Sunday at 7:30 pm"),
        ("weekdays 7 am", "Monday to Friday at 7:00 am"),
        ("mondays and thursdays 18:00", "every Monday, Thursday at 6:00 pm"),
        ("every 3 days 8 am", "every 3 days at 8:00 am"),
        ("31st of every month 9:00", "on the 31st of every month at 9:00 am"),
        ("second sunday of the month 9 am", "on the second Sunday of every month at 9:00 am"),
        ("last day of the month 8 am", "on the last day of every month at 8:00 am"),
        ("every 29 february 7:30", "every year on 29 Feb at 7:30 am"),
        ("every 6 hours", "every 6 h"),
        ("every day 7 am 5 times", "every day at 7:00 am, 5 times"),
        ("tomorrow 6 pm", "Thu 22 Oct, 6:00 pm"),
    ],
)
def test_it_is_said_back_in_plain_words(text: str, words: str) -> None:
    pattern = read_when(text, BOOK, zone=ZONE).pattern
    answer = Answer(
        outcome="answer", intent="reminder",
        do=(line("remind.changed", what=(), when=said(pattern, BOOK)),),
    )  # fmt: skip
    assert plain(answer, BOOK) == f"Changed: , {words}."


@pytest.mark.parametrize(("text", "minutes"), [("1 h", 60), ("30 min before", 30),
                                               ("half an hour", 30)])  # fmt: skip
def test_how_long_before(text: str, minutes: int) -> None:
    assert read_ahead(text) == minutes


def test_an_elapsed_end_is_the_end_of_the_local_day() -> None:
    found = read_when("every 6 hours until 23 oct", BOOK, zone=ZONE).pattern
    assert found.rrule.endswith("UNTIL=20261024T035959Z")  # midnight in New York is 4:00 UTC
