"""The exchange form of a person's records."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.commands.ask import ask, ask_batch
from bot.errors import NotStarted
from bot.services.exchange import BadRecords, book
from bot.stepping import SetClock

NOW = datetime(2026, 5, 12, tzinfo=UTC)
RECORDS: dict[str, object] = {
    "now": "2026-05-12T18:20:00-05:00",
    "member": {"name": "Tamsin", "units": "us", "time_zone": "America/Chicago", "gallon": None},
    "policy": {"no_meter_topup_strength": 0.6, "transplant_days": [14, 21], "crops": []},
    "feeds": [
        {
            "name": "feed one",
            "parts": [{"name": "A", "ml_per_l": 2}, {"name": "B", "g_per_l": 0.5}],
            "ec_gain_ms_per_cm": 1.6,
        }
    ],
    "towers": [{"name": "kitchen", "tank_l": 60.6, "feed": "feed one", "something_new": 1}],
    "log": [
        {
            "tower": "kitchen",
            "at": "2026-05-10T08:00:00-05:00",
            "kind": "dose",
            "amounts": [{"name": "A", "ml": 30}, {"name": "B", "g": 5}],
        }
    ],
}


def test_reads_every_fact_and_ignores_unknown_keys() -> None:
    found = book(RECORDS, now=NOW)
    assert found.now == datetime(2026, 5, 12, 23, 20, tzinfo=UTC)
    assert found.towers[0].tank_l == 60.6
    assert [p.dry for p in found.feeds[0].parts] == [False, True]
    assert found.rule("no_meter_topup_strength").value == 0.6
    assert found.rule("transplant_to_days").value == 21
    assert found.rule("ph_low").value == 5.5
    assert found.log[0].amounts == (("A", 30), ("B", 5))


def test_missing_keys_are_unknown_facts() -> None:
    assert book({}, now=NOW).towers == ()


@pytest.mark.parametrize(
    ("key", "value", "named"),
    [
        ("now", "yesterday", "now"),
        ("now", "2026-05-12T18:20:00", "offset"),
        ("towers", [{"name": "x"}], "tank_l"),
        ("towers", [{"name": "x", "tank_l": "big"}], "tank_l"),
        ("towers", [{"name": "x", "tank_l": True}], "tank_l"),
        ("towers", [{"name": "x", "tank_l": 1e300}], "tank_l"),
        ("towers", ["kitchen"], "towers"),
        ("member", {"time_zone": "Mars/North"}, "time_zone"),
        ("feeds", [{"name": "f", "parts": [{"ml_per_l": 2}]}], "name"),
        ("log", [{"tower": "x", "at": "2026-05-10", "kind": "ec"}], "at"),
        ("now", "0001-01-01T00:00:00+14:00", "range"),
        ("member", {"time_zone": "America"}, "time_zone"),
        ("member", {"gallon": "xx"}, "gallon"),
        ("member", {"tds_scale": 0}, "tds_scale"),
        ("member", {"drops_per_ml": 1e8}, "drops_per_ml"),
        ("towers", [{"name": " ", "tank_l": 10}], "name"),
        ("towers", [{"name": "x", "tank_l": 0}], "tank_l"),
        ("towers", [{"name": "x", "tank_l": 10**400}], "tank_l"),
        ("towers", [{"name": "x", "tank_l": 10, "strength": 0}], "strength"),
        ("policy", {"mix_minutes": -1}, "mix_minutes"),
        ("feeds", [{"name": "f", "parts": [{"name": "A"}]}], "parts"),
    ],
)
def test_a_wrong_value_is_refused_by_name(key: str, value: object, named: str) -> None:
    with pytest.raises(BadRecords, match=named):
        book({**RECORDS, key: value}, now=NOW)


def test_ask_answers_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / "records.json"
    path.write_text(json.dumps(RECORDS))
    reply = ask(path, "kitchen's at half", SetClock(NOW))
    assert reply["outcome"] == "answer"
    named = {a["name"]: a["value"] for a in reply["amounts"]}  # type: ignore[attr-defined]  # JSON
    assert named["water"] == pytest.approx(30.3)
    assert named["A"] == pytest.approx(30.3 * 2 * 0.6)
    assert named["B"] == pytest.approx(30.3 * 0.5 * 0.6)


def test_ask_names_a_file_that_is_none(tmp_path: Path) -> None:
    with pytest.raises(NotStarted, match=r"operator\.records"):
        ask(tmp_path / "nothing.json", "hi", SetClock(NOW))


def test_a_bad_line_of_a_batch_stops_nothing() -> None:
    good = json.dumps({"id": 2, "text": "half", "records": RECORDS})
    bad = [
        "{",
        json.dumps({"id": 1, "text": "half"}),
        "[]",
        json.dumps({"id": 3, "text": "x", "records": 5}),
    ]
    replies = list(ask_batch([*bad, "", good], SetClock(NOW)))
    assert [r["id"] for r in replies] == [None, 1, None, 3, 2]
    assert [r["outcome"] for r in replies] == ["refuse"] * 4 + ["answer"]
    deep = '{"id": 4, "text": "x", "records": ' + "[" * 50_000 + "]" * 50_000 + "}"
    assert [r["outcome"] for r in ask_batch([deep, good], SetClock(NOW))] == ["refuse", "answer"]
