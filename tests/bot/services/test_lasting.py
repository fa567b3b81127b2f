"""How long the water lasts, leak or thirst, when the full change is due: plain rates."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.records.facts import PolicyValue
from bot.records.questions import ChangeDue, Check, Forecast, Leak, Log, Question
from bot.render import plain
from bot.services import answer
from tests.bot.books import GAL, KITCHEN, PORCH, book, no_towers
from tests.bot.logs import NOW, entry, logged


def amounts(question: Question, at: object = None) -> dict[str, float]:
    return {a.name: a.value for a in answer(question, at or book()).amounts}  # type: ignore[arg-type]  # a Book


def test_two_levels_and_the_days_between_tell_the_rest() -> None:
    """FEATURES M16: 15.4 gal Tue, 10.2 Sat -> 1.3 a day; pump line 3.5 gal in 5.2 days, 4.3-6.4."""
    asked = Forecast(before="15.4 gal", after="10.2 gal", days="4", mark="3.5 gal")
    found = amounts(asked)
    assert found["use"] / GAL == pytest.approx(1.3)
    assert found["days"] == pytest.approx(5.15, abs=0.01)
    one = answer(asked, book()).days[0]
    assert one.name == "at" and one.on.astimezone(NOW.tzinfo) - NOW == timedelta(  # type: ignore[union-attr]  # a moment
        days=found["days"]
    )
    half = amounts(replace(asked, mark="8 gal"))
    assert half["days"] == pytest.approx(1.69, abs=0.01)


def test_top_ups_between_are_counted_and_a_rise_is_never_fitted() -> None:
    both = Forecast(before="8 gal", after="10 gal", days="2", added="6 gal", mark="4 gal")
    assert amounts(both)["use"] / GAL == pytest.approx(2.0)
    rose = answer(replace(both, added=None), book())
    assert rose.outcome == "clarify" and rose.amounts == ()


def test_the_log_tells_the_pace_and_the_mark_follows_the_record() -> None:
    """RECORDS: refill fraction of the tank, else the pump line, else half the tank."""
    lines = (entry(1, days=4, level_l=16 * GAL), entry(2, level_l=11 * GAL))
    at = logged(*lines)
    assert amounts(Forecast(), at)["days"] == pytest.approx((11 - 3.5) / 1.25)
    marked = logged(*lines, base=book(replace(KITCHEN, refill_at_fraction=0.5)))
    assert amounts(Forecast(), marked)["days"] == pytest.approx((11 - 8) / 1.25)
    bare = logged(*lines, base=book(replace(KITCHEN, pump_min_l=None)))
    assert amounts(Forecast(), bare)["days"] == pytest.approx((11 - 8) / 1.25)


def test_what_is_not_known_is_asked() -> None:
    assert answer(Forecast(), book()).outcome == "clarify"
    assert answer(Forecast(after="10 gal", use="1 gal"), no_towers()).outcome == "clarify"
    assert answer(Leak(), book()).outcome == "clarify"
    assert answer(Leak(lost="3 gal"), book()).outcome == "clarify"
    assert answer(ChangeDue(), book()).outcome == "clarify"


@pytest.mark.parametrize(
    ("lost", "hours", "use", "ratio", "is_leak"),
    [
        ("7 gal", "10", "1.25 gal", 5.6, True),  # FEATURES S6
        ("7 gal", None, "1 gal", 7.0, True),
        ("2 gal", "24", "1.25 gal", 1.6, True),  # a jump within a day
        ("1.5 gal", "24", "1.25 gal", 1.2, False),
        ("6 gal", "72", "1.25 gal", 1.6, False),  # three days of thirst in heat
    ],
)
def test_leak_or_thirst(
    lost: str, hours: str | None, use: str, ratio: float, is_leak: bool
) -> None:
    """C17: over 3 x the own normal, or any jump within a day."""
    asked = Leak(lost=lost, hours=hours, use=use)
    assert amounts(asked)["ratio"] == pytest.approx(ratio, abs=0.01)
    text = plain(answer(asked, book()), book())
    assert text.startswith("Water near a plug: switch off at the breaker") == is_leak
    assert ("Leak first" in text) == is_leak


def test_a_level_far_below_the_pace_is_told_when_it_is_read_or_logged() -> None:
    at = logged(entry(1, days=5, level_l=16 * GAL), entry(2, days=1, level_l=11 * GAL))
    for question in (Check(level="4 gal"), Log(level="4 gal")):
        assert "Leak first" in plain(answer(question, at), at)
    for question in (Check(level="9.8 gal"), Log(level="9.8 gal")):
        assert "Leak first" not in plain(answer(question, at), at)
    assert "no jump that I can see" in plain(answer(Check(level="9.8 gal"), at), at)


def test_the_change_has_a_date_by_days_and_by_water() -> None:
    """FEATURES S7: changed 2 May, 17 gal since, 16 gal tank, 22 May: 7 gal more, about 30 May at
    0.85 a day, 1 Jun at the latest."""
    now = NOW + timedelta(days=11)  # Fri 22 May
    lines = (
        entry(1, days=9, kind="change", level_l=16 * GAL),  # Sat 2 May
        entry(2, days=-1, level_l=(16 - 8.5) * GAL),
        entry(3, days=-11, kind="topup", level_l=16 * GAL, water_added_l=17 * GAL),
    )
    at = replace(logged(*lines), now=now)
    found = answer(ChangeDue(), at)
    kept = {a.name: a.value for a in found.amounts}
    assert kept["until_due"] / GAL == pytest.approx(7.0)
    assert kept["added_total"] / GAL == pytest.approx(17.0)
    assert found.days[0].on == date(2026, 5, 30)
    text = plain(found, at)
    assert text.startswith("Not yet: full change about Sat 30 May")
    assert "Mon 1 Jun at the latest" in text


def test_told_in_the_text_it_needs_no_tower() -> None:
    at = no_towers()
    found = answer(ChangeDue(since="1 may", added="20 gal", tank="16 gal"), at)
    assert {a.name: a.value for a in found.amounts}["until_due"] / GAL == pytest.approx(4.0)
    # 20 gal in the ten days since 1 May: the last 4 gal go in two days, before the 31st.
    assert found.days[0].on == date(2026, 5, 13)


def test_overdue_says_so_and_names_the_coachs_rule() -> None:
    rule = {"change_every_days": PolicyValue(value=14, set_on=date(2026, 5, 1), by="Wenna")}
    at = logged(entry(1, days=20, kind="change", level_l=30.0, tower="porch"),
                base=book(PORCH, **rule))  # fmt: skip
    found = answer(ChangeDue(), at)
    assert {a.name: a.value for a in found.amounts}["overdue"] == 6
    text = plain(found, at)
    assert text.startswith("Due: full change since") and "coach's setting" in text
