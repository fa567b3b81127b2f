"""Times as people say them, zones by their names, labels as they are printed."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.errors import Refusal
from bot.services.coach.labels import read_parts
from bot.services.moments import read_clock, read_day, read_past, read_quiet
from bot.services.own.zones import read_zone
from calc.errors import CalcError
from calc.units import Measures

NOW = datetime(2026, 5, 11, 18, 0, tzinfo=UTC)  # Mon 2 pm in New York
ZONE = "America/New_York"


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("7:30", (11, 11, 30)),
        ("7 pm", (10, 23, 0)),  # this evening is still to come
        ("yesterday 7 pm", (10, 23, 0)),
        ("last night", (11, 1, 0)),
        ("this morning", (11, 12, 0)),
        ("2 h ago", (11, 16, 0)),
        ("an hour ago", (11, 17, 0)),
        ("half an hour ago", (11, 17, 30)),
        ("sat 7pm", (9, 23, 0)),
        ("3 May 18:00", (3, 22, 0)),
        ("2026-05-10 07:00", (10, 11, 0)),
        ("2026-05-10", (10, 16, 0)),
        ("2026-05-10T07:00:00+00:00", (10, 7, 0)),
        ("now", (11, 18, 0)),
    ],
)
def test_a_moment_that_is_over(text: str, at: tuple[int, int, int]) -> None:
    day, hour, minute = at
    assert read_past(text, now=NOW, zone=ZONE) == datetime(2026, 5, day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize("text", ["soon", "9**9", "", "30 February", "25:00", "13 pm", "2025"])
def test_what_is_no_moment(text: str) -> None:
    with pytest.raises(CalcError):
        read_past(text, now=NOW, zone=ZONE)


@pytest.mark.parametrize("text", ["tomorrow", "2099-01-01", "2024-01-01", "in 3 days"])
def test_what_is_not_over_or_too_old(text: str) -> None:
    with pytest.raises(CalcError):
        read_past(text, now=NOW, zone=ZONE)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("friday", 15), ("fri", 15), ("tomorrow", 12), ("today", 11), ("in 2 weeks", 25),
        ("20 May", 20), ("may 20", 20), ("2026-05-20", 20), ("monday", 11),
    ],
)  # fmt: skip
def test_a_day_ahead(text: str, day: int) -> None:
    assert read_day(text, now=NOW, zone=ZONE) == date(2026, 5, day)


@pytest.mark.parametrize("text", ["yesterday", "8 May", "in 200 weeks", "2030-01-01", "someday"])
def test_no_day_ahead(text: str) -> None:
    with pytest.raises(CalcError):
        read_day(text, now=NOW, zone=ZONE)


@given(st.text(max_size=40))
def test_any_text_is_a_moment_or_refused(text: str) -> None:
    for read in (read_past, read_day):
        try:
            read(text, now=NOW, zone=ZONE)
        except CalcError:
            continue


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("9 pm-8 am", ("21:00", "08:00")),
        ("21-8", ("21:00", "08:00")),
        ("22:00 to 07:30", ("22:00", "07:30")),
        ("none", None),
    ],
)
def test_quiet_hours(text: str, hours: tuple[str, str] | None) -> None:
    assert read_quiet(text) == hours


@pytest.mark.parametrize("text", ["9 pm", "9-9", "always", "25-8", ""])
def test_no_quiet_hours(text: str) -> None:
    with pytest.raises(CalcError):
        read_quiet(text)


def test_a_time_of_day() -> None:
    assert [read_clock(t) for t in ("7:30 am", "19:30", "noon", "8")] == [
        "07:30", "19:30", "12:00", "08:00",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        ("America/New_York", "America/New_York"),
        ("new york", "America/New_York"),
        ("Eastern", "America/New_York"),
        ("lisbon", "Europe/Lisbon"),
        ("europe/london", "Europe/London"),
        ("UTC", "UTC"),
    ],
)
def test_a_zone_by_its_name(typed: str, zone: str) -> None:
    assert read_zone(typed) == zone


@pytest.mark.parametrize("typed", ["Atlantis", "../etc/passwd", "", "new yrok", "x" * 200])
def test_no_zone_is_guessed(typed: str) -> None:
    with pytest.raises(Refusal, match=r"no\.zone"):
        read_zone(typed)


GAL = 3.785411784


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("8 ml of A and of B per gal", {"A": 8 / GAL, "B": 8 / GAL}),
        ("8 mL of each per US gal", {"A": 8 / GAL, "B": 8 / GAL}),
        ("2 ml of A and of B per litre", {"A": 2.0, "B": 2.0}),
        ("Leaf 3, Root 2, Bloom 1 ml per l", {"Leaf": 3.0, "Root": 2.0, "Bloom": 1.0}),
        ("A 4 ml, B 2 ml per l", {"A": 4.0, "B": 2.0}),
        ("0.6 g of powder and 0.4 g of salt per litre", {"powder": 0.6, "salt": 0.4}),
        ("1 g per l", {"feed": 1.0}),
        ("2 ml/l", {"feed": 2.0}),
    ],
)
def test_a_label_as_it_is_printed(text: str, parts: dict[str, float]) -> None:
    found = read_parts(text, Measures(gallon="us"))
    assert {p.name: p.rate_per_l for p in found} == pytest.approx(parts)


@pytest.mark.parametrize(
    "text",
    [
        "lots",
        "8 per gal",
        "8 ml",
        "",
        "A 3 A 2 ml per l",
        "A -3 ml per l",
        "A 900 ml per l",
        "1e309 ml/l",
    ],
)
def test_no_label(text: str) -> None:
    with pytest.raises(CalcError):
        read_parts(text, Measures(gallon="us"))
