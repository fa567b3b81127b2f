"""Sowing, ports, sharing a tank, harvest: the acceptance examples and what is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.records.answer import Dated
from bot.records.book import Book
from bot.records.changes import AddEntry, Replant
from bot.records.facts import Picked, Planting
from bot.records.questions import (
    Door,
    Harvest,
    Plan,
    PortClear,
    PortMove,
    PortPlant,
    Ports,
    Question,
)
from bot.render import plain
from bot.services import answer
from bot.services.plants.crops import known_crop
from bot.services.plants.harvest import read_harvest
from bot.services.plants.places import port_names, read_ports
from bot.services.plants.sharing import share_line, verdict
from calc.errors import CalcError, Unreadable
from calc.tables import Crop
from calc.units import to_si
from tests.bot.books import IFE, KITCHEN, book
from tests.bot.logs import entry, logged

PORTED = replace(KITCHEN, levels=6, ports_per_level=5)


def plug(number: int, level: int, port: int, crop: str) -> Planting:
    return Planting(tower="kitchen", level=level, port=port, crop=crop, id=number,
                    planted=date(2026, 5, 1))  # fmt: skip


def planted(*plugs: Planting) -> Book:
    return replace(book(PORTED), plantings=plugs)


def amounts(question: Question, at: Book) -> dict[str, float]:
    return {a.name: a.value for a in answer(question, at).amounts}


def said(question: Question, at: Book) -> str:
    return plain(answer(question, at), at)


def days(question: Question, at: Book) -> dict[str, object]:
    return {d.name: d.on for d in answer(question, at).days if isinstance(d, Dated)}


# ---- sowing


def test_seeds_and_ports_for_heads_a_week() -> None:
    """FEATURES S1: 5 heads a week, 70 % -> 8 seeds weekly; 5 weeks in port -> 25 ports of 30."""
    asked = Plan(crop="lettuce", per_week="5", germination="70 %", days="35")
    assert amounts(asked, planted()) == pytest.approx({"seeds": 8, "ports": 25})
    assert "25 of kitchen's 30 ports" in said(asked, planted())


def test_spinach_in_a_warm_room_and_in_the_cool() -> None:
    """FEATURES S1: 5 spinach at 77 F, 28 % -> 18 seeds; 82 % at 59 F -> 7."""
    asked = Plan(crop="spinach", per_week="5", warmth="77F")
    assert amounts(asked, planted())["seeds"] == 18
    assert "at 59 °F 82 % come up, 7 seeds" in said(asked, planted())


def test_ones_own_seed_test_outranks_the_table() -> None:
    """FEATURES D7: 11 of 16 sprouted -> 69 %; 5 heads a week -> sow 8."""
    assert (
        amounts(Plan(crop="spinach", per_week="5", germination="11 of 16"), planted())["seeds"] == 8
    )


def test_no_seed_comes_up_where_it_is_too_hot() -> None:
    found = answer(Plan(crop="lettuce", per_week="5", warmth="95F"), planted())
    assert found.outcome == "clarify" and found.amounts == ()


def test_back_from_a_day_by_the_crops_own_seedling_age() -> None:
    """FEATURES S2: plate on 22 Aug, 48 days (18 as seedling + 30 in port): sow 5 Jul, in 23 Jul."""
    found = days(Plan(crop="lettuce", by="22 aug", days="48"), planted())
    assert found == {"sow_date": date(2026, 7, 5), "move_date": date(2026, 7, 23)}
    coachs = replace(planted(), crop_days={"lettuce": 48.0})
    assert days(Plan(crop="lettuce", by="22 aug"), coachs) == found


@pytest.mark.parametrize("crop", ["strawberry", "rosemary", "mint"])
def test_what_starts_from_a_plant_has_no_sowing_date(crop: str) -> None:
    """FEATURES S2"""
    asked = Plan(crop=crop, by="22 aug")
    assert "sow_date" not in days(asked, planted())
    assert "no sowing date" in said(asked, planted())


def test_too_late_says_when_it_would_be_ready() -> None:
    text = said(Plan(crop="lettuce", by="20 may"), planted())
    assert text.startswith("Too late for that") and "Sown today" in text


def test_the_day_without_a_crop_needs_the_days() -> None:
    assert answer(Plan(by="22 aug"), planted()).outcome == "clarify"
    assert days(Plan(by="22 aug", days="48"), planted()) == {"sow_date": date(2026, 7, 5)}


# ---- crops and neighbours


@pytest.mark.parametrize(
    ("text", "crop"),
    [("lettuce", "lettuce_butterhead"), ("Cilantro", "coriander"), ("tomatoes", "tomato"),
     ("zucchini", "squash_summer"), ("bok choy", "pak_choi"), ("letuce", "lettuce_butterhead"),
     ("strawberries", "strawberry"), ("romaine lettuce", "lettuce_romaine"), ("rocket", "arugula"),
     ("stawbery", "strawberry"), ("swiss chard", "chard")],
)  # fmt: skip
def test_a_crop_by_the_name_people_use(text: str, crop: str) -> None:
    found = known_crop(text)
    assert found is not None and found.id == crop


@pytest.mark.parametrize("text", ["gold bars", "x", "", "my neighbour", "1234"])
def test_what_is_no_crop_of_the_table(text: str) -> None:
    assert known_crop(text) is None


def crop(name: str) -> Crop:
    found = known_crop(name)
    assert found is not None
    return found


def test_who_shares_a_tank_and_who_gives_way() -> None:
    """FEATURES S31: lettuce + tomato, gap 0.2 -> about 1.9, tomato gives way; + broccoli, gap 1.0
    -> another tower."""
    _, ec = verdict(crop("lettuce"), crop("tomato"))
    assert ec.gap == pytest.approx(0.2) and ec.verdict == "compromise"
    told = share_line(crop("lettuce"), crop("tomato"))
    assert told is not None and told.word == "share.ec"
    assert dict(told.values)["other"] == "tomato"
    _, far = verdict(crop("lettuce"), crop("broccoli"))
    assert far.gap == pytest.approx(1.0) and far.verdict == "separate"
    assert share_line(crop("lettuce"), crop("basil")) is None


# ---- ports


@pytest.mark.parametrize(
    ("text", "ports"),
    [("L4P5", "L4P5"), ("level 4 port 5", "L4P5"), ("4-5", "L4P5"), ("l4 p5", "L4P5"),
     ("4/5", "L4P5"), ("L1P1-L1P4", "L1P1-L1P4"), ("level 2", "L2P1-L2P5"),
     ("L1P1, L3P2", "L1P1, L3P2"),
     ("L1P4 to L2P2", "L1P4-L1P5, L2P1-L2P2"), ("all", "L1P1-L1P5, L2P1-L2P5, L3P1-L3P5, "
      "L4P1-L4P5, L5P1-L5P5, L6P1-L6P5"), ("L4P5 and L4P5", "L4P5"), ("level 4, port 5", "L4P5")],
)  # fmt: skip
def test_ports_as_people_name_them(text: str, ports: str) -> None:
    assert port_names(read_ports(text, PORTED)) == ports


@pytest.mark.parametrize("text", ["somewhere", "", "5", "L4P5 or so", "the top"])
def test_what_is_no_port(text: str) -> None:
    with pytest.raises(Unreadable):
        read_ports(text, PORTED)


def test_a_plug_is_kept_with_its_day() -> None:
    """FEATURES S4: "parsley level 4 port 5" -> L4P5 parsley, planted today."""
    found = answer(PortPlant(crop="parsley", ports="level 4 port 5", sown="1 apr"), planted())
    (change,) = found.changes
    assert isinstance(change, Replant)
    (made,) = change.made
    assert (made.level, made.port, made.crop, made.plants) == (4, 5, "parsley", 3)
    assert made.planted == date(2026, 5, 11) and made.sown == date(2026, 4, 1)
    assert change.entry.note == "planted parsley, L4P5"
    assert plain(found, planted()).startswith("Kitchen L4P5: parsley, planted 11 May.")


def test_a_taken_port_asks() -> None:
    """FEATURES S4"""
    at = planted(plug(7, 4, 5, "basil"))
    found = answer(PortPlant(crop="parsley", ports="L4P5"), at)
    assert found.outcome == "clarify" and found.changes == ()
    assert "L4P5 holds basil, planted 1 May" in plain(found, at)
    instead = answer(found.offers[0].question, at)
    (change,) = instead.changes
    assert isinstance(change, Replant) and change.ended == ((7, "cleared"),)


def test_a_port_that_is_not_there_is_refused_in_words() -> None:
    found = answer(PortPlant(crop="kale", ports="L9P9"), planted())
    assert found.changes == () and "6 levels of 5" in plain(found, planted())


def test_moved_and_swapped() -> None:
    at = planted(plug(7, 4, 5, "basil"), plug(8, 1, 2, "kale"))
    moved = answer(PortMove(port="L4P5", to="L1P1"), at)
    (change,) = moved.changes
    assert isinstance(change, Replant) and change.ended == ((7, "moved"),)
    assert (change.made[0].level, change.made[0].port, change.made[0].planted) == (
        1, 1, date(2026, 5, 1),
    )  # fmt: skip
    asked = answer(PortMove(port="L4P5", to="L1P2"), at)
    assert asked.outcome == "clarify" and asked.changes == ()
    swapped = answer(PortMove(port="L4P5", to="L1P2", swap="yes"), at)
    (both,) = swapped.changes
    assert isinstance(both, Replant)
    assert {(p.crop, p.level, p.port) for p in both.made} == {("basil", 1, 2), ("kale", 4, 5)}
    for bad in (PortMove(port="L2P2", to="L1P1"), PortMove(port="L4P5", to="L4P5"),
                PortMove(port="level 4", to="L1P1")):  # fmt: skip
        assert answer(bad, at).changes == ()


def test_cleared_with_its_reason() -> None:
    at = planted(plug(7, 4, 5, "basil"), plug(8, 1, 2, "kale"))
    found = answer(PortClear(ports="L4P5", how="failed", why="wilted"), at)
    (change,) = found.changes
    assert isinstance(change, Replant) and change.ended == ((7, "failed"),)
    assert change.entry.note == "failed basil, L4P5: wilted"
    every = answer(PortClear(ports="all"), at).changes[0]
    assert isinstance(every, Replant) and len(every.ended) == 2
    assert answer(PortClear(ports="L2P2"), at).changes == ()


def test_the_map_counts_what_is_empty() -> None:
    at = planted(plug(7, 4, 5, "basil"), plug(8, 1, 2, "kale"), plug(9, 1, 3, "kale"))
    assert amounts(Ports(), at) == {"empty_ports": 27}
    text = said(Ports(), at)
    assert "3 of 30 ports grow, 27 empty" in text
    assert "Level 1: kale 2-3 (day 10)." in text and "levels 2-3, 5-6" in text
    assert "nothing planted" in said(Ports(), planted())
    assert answer(Ports(), book()).outcome == "clarify"


def test_tall_plants_and_poor_ones_are_told_of_before_they_stand() -> None:
    text = said(PortPlant(crop="tomato", ports="L5P1"), planted())
    assert "2 ports" in text and "lowest levels" in text and "from memory" in text
    assert "suits a tower poorly" in said(PortPlant(crop="leek", ports="L5P1"), planted())
    near = planted(plug(7, 1, 1, "lettuce"))
    assert "want different tanks" in said(PortPlant(crop="broccoli", ports="L1P2"), near)


def test_the_first_plug_in_an_empty_tower_offers_to_count_from_now() -> None:
    at = book(replace(PORTED, stage="empty"))
    offers = answer(PortPlant(crop="basil", ports="L1P1"), at).offers
    assert offers[1].question == Door(tower="kitchen", stage="growing")


# ---- harvest


@pytest.mark.parametrize(
    ("text", "picked"),
    [
        ("340 g lettuce + 5 oz basil", [("lettuce", 340.0, None), ("basil", 141.7476, None)]),
        ("lettuce 240g, basil 3 oz", [("lettuce", 240.0, None), ("basil", 85.0486, None)]),
        ("3 heads romaine", [("romaine", None, 3)]),
        ("2 lb of tomatoes and 1 cucumber", [("tomatoes", 907.1847, None), ("cucumber", None, 1)]),
        ("log harvest 1.2 kg kale", [("kale", 1200.0, None)]),
    ],
)
def test_a_harvest_in_any_unit(
    text: str, picked: list[tuple[str, float | None, int | None]]
) -> None:
    found = read_harvest(text)
    assert [(p.crop, p.count) for p in found] == [(c, n) for c, _, n in picked]
    for one, (_, grams, _) in zip(found, picked, strict=True):
        assert one.g == (pytest.approx(grams, abs=0.001) if grams else None)


@pytest.mark.parametrize("text", ["lots", "340 g", "", "lettuce", "3 gal lettuce", "-3 g basil"])
def test_what_is_no_harvest(text: str) -> None:
    with pytest.raises(CalcError):
        read_harvest(text)


def test_a_harvest_is_logged_with_both_units() -> None:
    """FEATURES S13: 340 g + 5 oz -> 482 g (17.0 oz)."""
    at = book(PORTED, member=IFE)
    found = answer(Harvest(what="340 g lettuce, 5 oz basil"), at)
    assert found.amounts[0].value == pytest.approx(340 + to_si(5, "oz"))
    assert "482 g (17.0 oz)" in plain(found, at)
    (change,) = found.changes
    assert isinstance(change, AddEntry) and change.entry.kind == "harvest"
    assert "Wash hands" in plain(found, at)


def test_a_harvest_empties_its_ports_in_one_line_of_the_log() -> None:
    at = planted(plug(7, 4, 5, "basil"))
    (change,) = answer(Harvest(what="200 g basil", ports="L4P5"), at).changes
    assert isinstance(change, Replant)
    assert change.ended == ((7, "harvested"),) and change.entry.picked == (
        Picked(crop="basil", g=200.0),
    )


def test_harvests_add_up() -> None:
    before = entry(1, days=7, kind="harvest", picked=(Picked(crop="basil", g=300.0),))
    at = logged(before, base=book(PORTED, member=IFE))
    assert "500 g (17.6 oz) from it so far" in said(Harvest(what="200 g basil"), at)
    assert "first harvest" in said(Harvest(what="200 g basil"), book(PORTED))
