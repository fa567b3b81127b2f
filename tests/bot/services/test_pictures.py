"""What a picture shows, on Books: the numbers behind it, in the reader's units, and in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from bot.pictures import draw
from bot.records.book import Book
from bot.records.drawings import Chart, Sheet
from bot.records.questions import Away, Picture
from bot.render import card, plain
from bot.services import answer
from tests.bot.books import GAL, IFE, INCH, METRIC_FEED, PORCH, book
from tests.bot.logs import NOW, entry, logged


def thirsty() -> Book:
    """D8: 0.95, 1.2 and 1.55 gal a day in three weeks; a reading a week, filled in between."""
    lines = [entry(1, days=21, level_l=16 * GAL)]
    for week, use in enumerate((0.95, 1.2, 1.55)):
        days = 14 - 7 * week
        lines.append(entry(10 + week, days=days, level_l=(16 - 7 * use) * GAL,
                           water_c=27.0 if week == 2 else 20.0))  # fmt: skip
        lines.append(
            entry(20 + week, days=days, hours=-0.1, kind="topup", level_l=16 * GAL,
                  water_added_l=7 * use * GAL)
        )  # fmt: skip
    return logged(*(e for e in lines if e.at <= NOW))


def shown(question: Picture | Away, facts: Book) -> Chart | Sheet:
    ((_, drawing),) = card(answer(question, facts), facts).drawings
    return drawing


def test_use_a_day_by_weeks_and_what_a_rise_may_mean() -> None:
    facts = thirsty()
    chart = shown(Picture(what="use"), facts)
    assert isinstance(chart, Chart)
    (panel,) = chart.panels
    assert [bar.label for bar in panel.bars] == ["0.95", "1.2", "1.55"]
    assert [bar.hot for bar in panel.bars] == [False, False, True]
    assert panel.unit == "gal a day"
    text = plain(answer(Picture(what="use"), facts), facts)
    assert "0.95 gal, 1.2 gal, 1.55 gal" in text
    assert "Rising 29 % since the week before: bigger plants, heat, or a leak?" in text
    assert text.replace("\n", " ") in chart.alt.replace("Kitchen: use a day. ", "")


def test_the_level_with_its_marks_and_what_comes() -> None:
    facts = logged(entry(1, days=4, level_l=15.4 * GAL), entry(2, days=0, level_l=10.2 * GAL))
    chart = shown(Picture(what="level"), facts)
    assert isinstance(chart, Chart)
    (panel,) = chart.panels
    assert [(round(one.at, 1), one.alarm) for one in panel.ruled] == [
        (16.0, False), (8.0, False), (3.5, True),
    ]  # fmt: skip
    assert [round(level, 1) for _, level in panel.path] == [15.4, 10.2]
    # M16: 1.3 gal a day, so 10.2 - 2 x 1.3 two days on; a fifth more and less beside it.
    two_days = next(one for one in panel.ahead if one.at == NOW + timedelta(days=2))
    assert two_days.likely == pytest.approx(7.6)
    assert (two_days.low, two_days.high) == pytest.approx((10.2 - 3.12, 10.2 - 2.08))
    assert min(one.low for one in panel.ahead) >= 0
    # 2.2 gal to half at 1.3 a day: 1.7 days from Mon 11 May, 2 pm.
    assert "refill mark about Wed 13 May" in chart.alt


def test_metric_readers_see_litres() -> None:
    facts = logged(entry(1, days=4, level_l=50.0), entry(2, level_l=40.0), base=book(member=IFE))
    chart = shown(Picture(what="level"), facts)
    assert isinstance(chart, Chart)
    assert (chart.panels[0].unit, round(chart.panels[0].path[0][1], 1)) == ("L", 50.0)


def test_ec_and_ph_against_where_they_should_lie() -> None:
    facts = logged(
        entry(1, days=6, kind="ec", ec=1.7, ph=6.0),
        entry(2, days=3, kind="ec", ec=2.4),
        entry(3, days=1, kind="ph", ph=6.9),
    )
    chart = shown(Picture(what="readings"), facts)
    assert isinstance(chart, Chart)
    ec, ph = chart.panels
    assert ec.stripe is not None and ph.stripe is not None
    # C9: near the aim is 0.75 to 1.25 times 1.7; C10: 5.5 to 6.5.
    assert (ec.stripe.low, ec.stripe.high) == pytest.approx((1.275, 2.125))
    assert (ph.stripe.low, ph.stripe.high) == (5.5, 6.5)
    assert "1 of 2 readings lay near the aim" in chart.alt
    assert "1 of 2 readings lay in the band" in chart.alt


def test_the_lid_table_says_water_and_feed_for_each_inch() -> None:
    sheet = shown(Picture(what="lid"), book())
    assert isinstance(sheet, Sheet)
    # D4: 16 gal, 14 in: each inch missing is 1.14 gal and 9.1 mL of each.
    assert sheet.rows[0] == ("1", "1.14", "9", "9")
    assert sheet.rows[6] == ("7", "8", "65", "65")
    assert sheet.rows[13] == ("14", "16", "130", "130")
    assert "1.14 gal of water" in sheet.alt


def test_the_lid_table_follows_the_jug_marks_and_the_metric_rule() -> None:
    marks = tuple((g * GAL, i * INCH) for g, i in ((2.5, 3.3), (5, 6.2), (7.5, 8.7), (10, 11)))
    sheet = shown(Picture(what="lid"), book(replace(PORCH, jug_marks=marks)))
    assert isinstance(sheet, Sheet)
    # 4 in missing is 7 in deep: 5.8 gal stand there (D2), so 4.2 go in.
    assert sheet.rows[3][:2] == ("4", "4.2")
    square = replace(PORCH, tank_l=40.0, full_depth_cm=40.0, feed=METRIC_FEED.name)
    metric = shown(Picture(what="lid"), book(square, member=IFE))
    assert isinstance(metric, Sheet)
    assert metric.rows[0] == ("2", "2", "4", "4")  # 2 cm: 2 L, 2 mL of each a litre


def test_what_is_not_known_is_asked_for() -> None:
    assert "depth" in plain(answer(Picture(what="lid"), book(PORCH)), book(PORCH))
    assert "Nothing was read lately" in plain(answer(Picture(), book()), book())
    which = answer(Picture(what="moon"), book())
    assert [o.question.what for o in which.offers] == ["level", "readings", "use", "lid"]  # type: ignore[union-attr]


def test_the_helpers_sheet_has_bottles_steps_and_days() -> None:
    # S5: 9 days, 16 gal, 1.3 a day; hot 6.4 days: a helper on day 3, then every third.
    facts = book()
    asked = Away(days="9 days", use="1.3 gal a day", leaving="sat")
    first = answer(asked, facts)
    (offer,) = first.offers
    sheet = shown(offer.question, facts)  # type: ignore[arg-type]
    assert isinstance(sheet, Sheet)
    assert [day for day, _ in sheet.days] == ["Tue 19 May", "Fri 22 May"]  # Sat 16 May + 3, + 6
    # 3.9 gal at 8 mL a gal: 31 mL of each.
    assert [(name, amount.split(" (")[0]) for name, amount in sheet.bottles] == [
        ("A", "31 mL"), ("B", "31 mL"),
    ]  # fmt: skip
    assert any("3.9 gal, 5.9 gal in heat" in step for step in sheet.steps)
    assert any("Never two bottles" in step for step in sheet.steps)
    text = plain(answer(offer.question, facts), facts)
    assert "Tue 19 May, Fri 22 May" in text
    assert "Keep your dates out of the room" in text


def test_no_sheet_where_the_tank_lasts() -> None:
    assert not answer(Away(days="3 days", use="1.3 gal a day"), book()).offers


def test_dates_and_levels_are_for_private_places_and_a_lid_table_is_not() -> None:
    room = replace(book(), private=False)
    for question in (Picture(what="level"), Away(days="9 days", sheet="yes")):
        found = answer(question, room)
        assert found.outcome == "clarify"
        assert not found.pictures
    assert answer(Picture(what="lid"), room).pictures


def test_a_long_absence_still_makes_one_page() -> None:
    asked = Away(days="60 days", use="5 gal a day", level="full", sheet="yes")
    sheet = shown(asked, book())
    assert isinstance(sheet, Sheet)
    assert len(sheet.days) == 14
    assert sheet.foot[0] == "And so on at that pace until Fri 10 Jul."  # Mon 11 May + 60
    assert len(draw(sheet)) <= 150_000


def test_a_tray_two_fingers_deep_has_a_lid_table_too() -> None:
    tray = replace(PORCH, tank_l=5.0, full_depth_cm=2.0)
    sheet = shown(Picture(what="lid"), book(tray))
    assert isinstance(sheet, Sheet)
    assert len(sheet.rows) >= 4
