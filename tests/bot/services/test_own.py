"""Settings, records out and in, towers kept together."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from bot.records.book import Book
from bot.records.changes import (
    AddEntries,
    AddPlantings,
    AddTower,
    ForgetMe,
    LeaveTower,
    PackTower,
    SetFeed,
    SetMember,
    SetSupply,
    ShareTower,
)
from bot.records.facts import Member, Picked, Planting, Supply
from bot.records.questions import (
    Export,
    Forget,
    Import,
    SettingsEdit,
    TowerLeave,
    TowerPack,
    TowerShare,
)
from bot.render import plain
from bot.services import answer, exchange
from tests.bot.books import FEED, IFE, KITCHEN, LIBRARY, TAMSIN, book, no_towers
from tests.bot.logs import NOW, entry, logged


@pytest.mark.parametrize(
    ("question", "setting", "value"),
    [
        (SettingsEdit(zone="lisbon"), "time_zone", "Europe/Lisbon"),
        (SettingsEdit(meter="500"), "tds_scale", 500),
        (SettingsEdit(meter="none"), "has_ec_meter", False),
        (SettingsEdit(finger="17 mm"), "finger_mm", pytest.approx(17.0)),
        (SettingsEdit(jug="2 gal"), "jug_l", pytest.approx(7.5708, abs=1e-4)),
        (SettingsEdit(drops="24"), "drops_per_ml", 24.0),
        (SettingsEdit(morning="7:30 am"), "morning", "07:30"),
        (SettingsEdit(quiet="9 pm - 8 am"), "quiet_from", "21:00"),
        (SettingsEdit(answers="private"), "private_answers", True),
        (SettingsEdit(units="us"), "gallon", "us"),
    ],
)
def test_a_habit_is_stored_as_it_was_read(
    question: SettingsEdit, setting: str, value: object
) -> None:
    found = answer(question, book())
    stored = {c.setting: c.value for c in found.changes if isinstance(c, SetMember)}
    assert stored[setting] == value


@pytest.mark.parametrize(
    "question",
    [
        SettingsEdit(zone="Atlantis"), SettingsEdit(finger="3 m"), SettingsEdit(jug="0 l"),
        SettingsEdit(jug="2 jugs"), SettingsEdit(drops="0"), SettingsEdit(morning="25:00"),
        SettingsEdit(quiet="late"), SettingsEdit(units="stone"), SettingsEdit(meter="600"),
        SettingsEdit(answers="shout"), SettingsEdit(zone="lisbon", morning="x"),
    ],
)  # fmt: skip
def test_a_bad_habit_is_asked_about_and_none_is_stored(question: SettingsEdit) -> None:
    found = answer(question, book())
    assert found.outcome == "clarify" and found.changes == ()
    assert plain(found, book()).count("?") == 1


FULL = replace(
    KITCHEN, levels=6, ports_per_level=5, timer_kind="dial", timer_step_min=15.0, stage="growing",
    timer_on_min=15.0, timer_off_min=15.0, light_h=14.0, sown_on=date(2026, 4, 1),
    moved_in_on=date(2026, 4, 20), water="well", hardness_mg_per_l=154.0, alkalinity_mg_per_l=90.0,
)  # fmt: skip


PLUGS = (
    Planting(tower="kitchen", level=1, port=2, crop="kale", plants=2, sown=date(2026, 4, 1),
             planted=date(2026, 4, 20)),
    Planting(tower="kitchen", level=1, port=3, crop="basil", status="failed"),
)  # fmt: skip
BOTTLES = (
    Supply(item="A", left=900.0, unit="mL", at=NOW, size=1000.0, lead_days=5),
    Supply(item="spare pump", left=1.0, unit="count", at=NOW),
)


def everything() -> Book:
    own = replace(FEED, name="Cliff", own=True, id=9)
    base = replace(
        book(FULL, replace(LIBRARY, shared_with=("Perrin",))),
        feeds=(FEED, own),
        packed=(replace(KITCHEN, id=8, name="attic"),),
        member=replace(TAMSIN, finger_mm=17.0, quiet_from="21:00", quiet_to="08:00"),
    )
    base = replace(base, plantings=PLUGS, supplies=BOTTLES)
    return logged(
        entry(
            4,
            days=4,
            kind="harvest",
            picked=(Picked(crop="basil", g=142.0), Picked(crop="romaine", count=3)),
        ),
        entry(1, days=3, level_l=40.0, ec=1.7, ph=6.1, water_c=20.5, note="=HYPERLINK(1)"),
        entry(2, days=2, kind="topup", water_added_l=20.0, amounts=(("A", 40.0), ("B", 40.0))),
        entry(3, days=1, tower="library", by="Perrin", mine=False, note="a secret"),
        base=base,
    )


def files(at: Book) -> dict[str, str]:
    return {f.name: f.data.decode() for f in answer(Export(), at).files}


def test_an_export_read_again_is_the_same_book() -> None:
    """A round trip loses nothing; other people appear as "a member"."""
    at = everything()
    data = json.loads(files(at)["tankwren.json"])
    assert data["form"] == 1
    back = exchange.book(data, now=NOW)
    assert back.member == replace(at.member, id=0)
    same = [replace(t, id=0) for t in at.towers]
    same[1] = replace(same[1], shared_with=("a member",))
    assert list(back.towers) == same
    assert list(back.packed) == [replace(t, id=0) for t in at.packed]
    assert [replace(f, id=0, set_on=None) for f in at.feeds] == list(back.feeds)
    assert back.plantings == at.plantings and back.supplies == at.supplies
    for ours, theirs in zip(at.log, back.log, strict=True):
        blank = {"id": 0, "recorded_at": None}
        if not ours.mine:
            blank |= {"by": "a member", "note": ""}
        assert replace(ours, **blank) == theirs
    assert "Perrin" not in json.dumps(data) and "a secret" not in json.dumps(data)


def test_lines_from_before_the_tank_was_made_smaller_come_back() -> None:
    """KITCHEN holds 60.6 L and now 45; a 60 L line older than that is no slip, a later one is."""
    smaller = replace(KITCHEN, tank_l=45.0, set_on=(NOW - timedelta(days=2)).date())
    old = logged(entry(1, days=3, level_l=60.0), base=book(smaller))
    saved = files(old)["tankwren.json"]
    empty = replace(old, log=(), towers=())
    assert answer(Import(file="x.json", text=saved), empty).outcome == "answer"
    late = files(logged(entry(1, days=1, level_l=60.0), base=book(smaller)))["tankwren.json"]
    refused = answer(Import(file="x.json", text=late), empty)
    assert refused.outcome == "refuse"
    assert "60.0 L is more than the tank's 45.0 L" in plain(refused, empty)


def test_the_table_holds_no_formula() -> None:
    rows = list(csv.DictReader(io.StringIO(files(everything())["tankwren-log.csv"])))
    assert [row["kind"] for row in rows] == ["harvest", "level", "topup", "level"]
    assert rows[0]["picked"] == "basil 142 g; romaine 3"
    assert rows[1]["note"] == "'=HYPERLINK(1)"
    assert rows[2]["amounts"] == "A 40; B 40"


def test_an_import_adds_what_is_not_there() -> None:
    text = files(everything())["tankwren.json"]
    found = answer(Import(file="tankwren.json", text=text), no_towers(Member(id=3, name="Tamsin")))
    assert found.outcome == "answer"
    assert [c.tower.name for c in found.changes if isinstance(c, AddTower)] == [
        "kitchen", "library", "attic",
    ]  # fmt: skip
    assert sum(len(c.entries) for c in found.changes if isinstance(c, AddEntries)) == 4
    assert [c.feed.name for c in found.changes if isinstance(c, SetFeed)] == ["Cliff"]
    again = answer(Import(file="tankwren.json", text=text), everything())
    new = (AddTower, AddEntries, AddPlantings, SetSupply)
    assert [c for c in again.changes if isinstance(c, new)] == []
    assert [len(c.plantings) for c in found.changes if isinstance(c, AddPlantings)] == [2]
    assert [c.supply.item for c in found.changes if isinstance(c, SetSupply)] == ["A", "spare pump"]


def test_a_table_adds_lines_to_ones_own_towers() -> None:
    text = (
        "tower,at,kind,level_l,amounts\n"
        "kitchen,2026-05-10 07:00,level,40.5,\n"
        "kitchen,2026-05-10T09:00:00+00:00,dose,,A 20; B 20\n"
    )
    found = answer(Import(file="log.csv", text=text), book())
    assert [e.mine for c in found.changes if isinstance(c, AddEntries) for e in c.entries] == [
        True, True,
    ]  # fmt: skip
    lines = [e for c in found.changes if isinstance(c, AddEntries) for e in c.entries]
    assert [(e.kind, e.level_l) for e in lines] == [("level", 40.5), ("dose", None)]
    assert lines[0].at == datetime(2026, 5, 10, 11, 0, tzinfo=UTC)  # the member's own clock


def test_settings_that_a_file_does_not_hold_stay() -> None:
    found = answer(Import(file="x.json", text=json.dumps({"towers": []})), book())
    assert found.changes == ()
    told = json.dumps({"member": {"jug_l": 5.0}})
    found = answer(Import(file="x.json", text=told), book())
    assert found.changes == (SetMember(setting="jug_l", value=5.0),)


def bad_json(**row: object) -> str:
    line = {"tower": "kitchen", "at": "2026-05-10T07:00:00+00:00", "kind": "level", **row}
    return json.dumps({"log": [line], "towers": [{"name": "kitchen", "tank_l": 60}]})


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("x.json", "not json"),
        ("x.json", "[]"),
        ("x.json", "[" * 100_000),
        ("x.json", bad_json(at="yesterday")),
        ("x.json", bad_json(at="2026-05-10T07:00:00")),
        ("x.json", bad_json(kind="party")),
        ("x.json", bad_json(level_l=-3)),
        ("x.json", bad_json(level_l="half")),
        ("x.json", bad_json(ec=float("inf"))),
        ("x.json", json.dumps({"towers": [{"name": "x", "tank_l": 0}]})),
        ("x.json", json.dumps({"towers": ["x"]})),
        ("x.json", json.dumps({"towers": [{"name": "x", "tank_l": 40, "pump_min_l": 500}]})),
        ("x.json", json.dumps({"towers": [{"name": "x", "tank_l": 40, "refill_at_fraction": -3}]})),
        ("x.json", bad_json(at="2027-05-10T07:00:00+00:00")),
        ("x.json", bad_json(level_l=9000)),
        ("x.json", json.dumps({"member": {"time_zone": "Atlantis"}})),
        ("x.csv", "a,b\n1,2\n"),
        ("x.csv", "tower,at,kind,level_l\nkitchen,2026-05-10 07:00,level,=1+1\n"),
        ("x.csv", "tower,at,kind,level_l\nshed,2026-05-10 07:00,level,3\n"),
        ("x.csv", "tower,at,kind,level_l\nkitchen,2026-05-10 07:00,level,1_000\n"),
        ("x.csv", "tower,at,kind,level_l\nkitchen,2026-05-10 07:00,level\n"),
        ("x.csv", "tower,at,kind,amounts\nkitchen,2026-05-10 07:00,dose,lots\n"),
        ("x.csv", ""),
        ("x.zip", "PK"),
        ("x", "{}"),
    ],
)
def test_a_bad_file_is_refused_whole(name: str, text: str) -> None:
    found = answer(Import(file=name, text=text), book())
    assert found.outcome in ("refuse", "clarify")
    assert found.changes == ()


def test_every_bad_row_is_named_and_no_good_one_written() -> None:
    rows = ["tower,at,kind,level_l"]
    rows += [f"kitchen,2026-05-10 07:0{n},level,{'x' if n % 2 else 40}" for n in range(6)]
    found = answer(Import(file="log.csv", text="\n".join(rows)), book())
    assert found.changes == ()
    text = plain(found, book())
    assert "Rows that cannot be read: 3" in text
    assert "3: level_l" in text and "5: level_l" in text and "7: level_l" in text


def test_too_many_rows_or_bytes_are_refused() -> None:
    line = "kitchen,2026-05-10 07:00,level,40\n"
    many = "tower,at,kind,level_l\n" + line * 5001
    assert answer(Import(file="x.csv", text=many), book()).outcome == "refuse"
    assert answer(Import(file="x.csv", text="x" * 2_000_001), book()).outcome == "refuse"


def test_forgetting_is_asked_twice() -> None:
    found = answer(Forget(), everything())
    assert found.changes == ()
    assert plain(found, everything()).count("?") == 1
    sure = answer(found.offers[0].question, everything())
    assert sure.changes == (ForgetMe(),)
    assert answer(Forget(), no_towers(Member())).changes == ()


def test_a_tower_is_shared_left_and_packed_away() -> None:
    found = answer(TowerShare(person="9 Perrin"), book(LIBRARY, member=IFE))
    assert found.changes == (ShareTower(tower_id=3, user_id=9, name="Perrin"),)
    shared = replace(LIBRARY, shared_with=("Perrin",))
    assert answer(TowerShare(person="9 Perrin"), book(shared)).changes == ()
    asked = answer(TowerLeave(), book(shared))
    assert asked.changes == ()
    assert answer(asked.offers[0].question, book(shared)).changes == (LeaveTower(tower_id=3),)
    assert answer(TowerLeave(), book(LIBRARY)).outcome == "refuse"
    packed = answer(TowerPack(), book(LIBRARY))
    assert packed.changes == (PackTower(tower_id=3, packed=True),)
    away = replace(no_towers(), packed=(LIBRARY,))
    back = answer(TowerPack(back="yes"), away)
    assert back.changes == (PackTower(tower_id=3, packed=False),)
    assert answer(TowerPack(), away).outcome == "refuse"
    assert answer(TowerPack(back="yes"), book()).outcome == "refuse"
