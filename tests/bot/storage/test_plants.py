"""Ports, harvest and supplies in a real file: hung on the log, undone with it, one plug a port."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.errors import Refusal
from bot.records.changes import (
    AddEntry,
    AddPlantings,
    AddTower,
    ForgetMe,
    Replant,
    SetSupply,
    UndoEntry,
    UndoSupply,
)
from bot.records.facts import Entry, Picked, Planting, Supply, Tower
from bot.storage import Store, load_book
from tests.bot.storage.asking import BRAM, NOW, TAMSIN, rows
from tests.bot.storage.test_people import Writer

pytestmark = pytest.mark.asyncio
PLUG = Planting(tower="kitchen", level=4, port=5, crop="basil", planted=date(2026, 5, 11))


@pytest.fixture
def write(store: Store) -> Writer:
    return Writer(store)


def told(note: str, **facts: object) -> Entry:
    base = Entry(tower="kitchen", at=NOW, kind="note", note=note, recorded_at=NOW)
    return replace(base, **facts)  # type: ignore[arg-type]  # a test names real fields


async def tower_id(store: Store) -> int:
    return (await load_book(store, TAMSIN, NOW)).towers[0].id


async def growing(store: Store) -> list[tuple[int, int, str]]:
    store.facts_changed()
    book = await load_book(store, TAMSIN, NOW)
    return [(p.level, p.port, p.crop) for p in book.growing("kitchen")]


async def last_entry(store: Store) -> int:
    store.facts_changed()
    return max(e.id for e in (await load_book(store, TAMSIN, NOW)).log)


async def test_planted_moved_and_both_taken_back(store: Store, write: Writer) -> None:
    kitchen = await tower_id(store)
    await write(TAMSIN, Replant(tower_id=kitchen, entry=told("planted"), made=(PLUG,)))
    assert await growing(store) == [(4, 5, "basil")]
    (plug,) = (await load_book(store, TAMSIN, NOW)).plantings
    moved = replace(PLUG, level=1, port=1)
    await write(
        TAMSIN,
        Replant(tower_id=kitchen, entry=told("moved"), ended=((plug.id, "moved"),), made=(moved,)),
    )
    assert await growing(store) == [(1, 1, "basil")]
    await write(TAMSIN, UndoEntry(entry_id=await last_entry(store)))
    assert await growing(store) == [(4, 5, "basil")]
    await write(TAMSIN, UndoEntry(entry_id=await last_entry(store)))
    assert await growing(store) == []


async def test_a_beginning_is_not_taken_back_under_what_came_after(
    store: Store, write: Writer
) -> None:
    """Moved, then harvested: taking the move back would plant it again."""
    kitchen = await tower_id(store)
    await write(TAMSIN, Replant(tower_id=kitchen, entry=told("planted"), made=(PLUG,)))
    (plug,) = (await load_book(store, TAMSIN, NOW)).plantings
    moved = replace(PLUG, level=1, port=1)
    await write(
        TAMSIN,
        Replant(tower_id=kitchen, entry=told("moved"), ended=((plug.id, "moved"),), made=(moved,)),
    )
    move = await last_entry(store)
    (there,) = (await load_book(store, TAMSIN, NOW)).plantings
    end = ((there.id, "harvested"),)
    await write(TAMSIN, Replant(tower_id=kitchen, entry=told("picked"), ended=end))
    with pytest.raises(Refusal) as refused:
        await write(TAMSIN, UndoEntry(entry_id=move))
    assert refused.value.word == "no.undo_later"
    assert await growing(store) == []
    await write(TAMSIN, UndoEntry(entry_id=await last_entry(store)))  # from the newest back
    await write(TAMSIN, UndoEntry(entry_id=move))
    assert await growing(store) == [(4, 5, "basil")]


async def test_one_plug_a_port_whoever_is_quicker(store: Store, url: str, write: Writer) -> None:
    kitchen = await tower_id(store)
    await write(TAMSIN, Replant(tower_id=kitchen, entry=told("planted"), made=(PLUG,)))
    other = replace(PLUG, crop="kale")
    before = rows(url, "SELECT count(*) FROM entry")
    with pytest.raises(Refusal) as refused:
        await write(TAMSIN, Replant(tower_id=kitchen, entry=told("planted"), made=(other,)))
    assert refused.value.word == "no.ports_changed"
    assert rows(url, "SELECT count(*) FROM entry") == before  # nothing half written
    assert await growing(store) == [(4, 5, "basil")]


async def test_what_has_ended_is_not_ended_twice(store: Store, write: Writer) -> None:
    kitchen = await tower_id(store)
    await write(TAMSIN, Replant(tower_id=kitchen, entry=told("planted"), made=(PLUG,)))
    (plug,) = (await load_book(store, TAMSIN, NOW)).plantings
    end = Replant(tower_id=kitchen, entry=told("failed"), ended=((plug.id, "failed"),))
    await write(TAMSIN, end)
    with pytest.raises(Refusal):
        await write(TAMSIN, end)


async def test_an_end_taken_back_is_refused_where_another_stands_there_by_now(
    store: Store, write: Writer
) -> None:
    kitchen = await tower_id(store)
    await write(TAMSIN, Replant(tower_id=kitchen, entry=told("planted"), made=(PLUG,)))
    (plug,) = (await load_book(store, TAMSIN, NOW)).plantings
    await write(TAMSIN, Replant(tower_id=kitchen, entry=told("out"), ended=((plug.id, "cleared"),)))
    cleared = await last_entry(store)
    await write(
        TAMSIN,
        Replant(tower_id=kitchen, entry=told("next"), made=(replace(PLUG, crop="kale"),)),
    )
    with pytest.raises(Refusal) as refused:
        await write(TAMSIN, UndoEntry(entry_id=cleared))
    assert refused.value.word == "no.port_taken_since"
    assert await growing(store) == [(4, 5, "kale")]


async def test_nobody_plants_in_anothers_tower(store: Store, url: str, write: Writer) -> None:
    kitchen = await tower_id(store)
    with pytest.raises(Refusal):
        await write(BRAM, Replant(tower_id=kitchen, entry=told("planted"), made=(PLUG,)))
    with pytest.raises(Refusal):
        await write(BRAM, AddPlantings(tower_id=kitchen, plantings=(PLUG,)))
    assert rows(url, "SELECT count(*) FROM planting") == [(0,)]


async def test_a_harvest_hangs_on_its_line(store: Store, write: Writer) -> None:
    picked = (Picked(crop="basil", g=142.0), Picked(crop="romaine", count=3))
    kitchen = await tower_id(store)
    line = told("", kind="harvest", picked=picked)
    await write(TAMSIN, AddEntry(tower_id=kitchen, entry=line))
    (read,) = (await load_book(store, TAMSIN, NOW)).log
    assert read.picked == picked
    await write(TAMSIN, UndoEntry(entry_id=read.id))
    store.facts_changed()
    assert (await load_book(store, TAMSIN, NOW)).log == ()


async def test_the_whole_book_holds_what_grew_and_the_everyday_one_what_grows(
    store: Store, write: Writer
) -> None:
    kitchen = await tower_id(store)
    gone = replace(PLUG, crop="kale", port=1, status="failed")
    await write(TAMSIN, AddPlantings(tower_id=kitchen, plantings=(PLUG, gone)))
    everyday = (await load_book(store, TAMSIN, NOW)).plantings
    whole = (await load_book(store, TAMSIN, NOW, whole=True)).plantings
    assert [p.crop for p in everyday] == ["basil"]
    assert {(p.crop, p.status) for p in whole} == {("basil", "growing"), ("kale", "failed")}


async def test_a_room_is_told_nothing_of_plants_and_supplies(store: Store, write: Writer) -> None:
    kitchen = await tower_id(store)
    bottle = Supply(item="A", left=900.0, unit="mL", at=NOW)
    await write(TAMSIN, AddPlantings(tower_id=kitchen, plantings=(PLUG,)), SetSupply(supply=bottle))
    room = await load_book(store, replace(TAMSIN, private=False), NOW)
    assert room.plantings == () and room.supplies == () and room.towers


async def test_the_last_word_on_a_supply_counts_and_is_taken_back(
    store: Store, write: Writer
) -> None:
    first = Supply(item="A", left=900.0, unit="mL", at=NOW, size=1000.0, lead_days=5)
    second = replace(first, left=400.0, at=NOW + timedelta(hours=1))
    await write(TAMSIN, SetSupply(supply=first))
    await write(TAMSIN, SetSupply(supply=second))
    assert [s.left for s in (await load_book(store, TAMSIN, NOW)).supplies] == [400.0]
    await write(TAMSIN, UndoSupply(item="A", at=second.at))
    store.facts_changed()
    (left,) = (await load_book(store, TAMSIN, NOW)).supplies
    assert replace(left, id=0) == first
    assert (await load_book(store, BRAM, NOW)).supplies == ()


async def test_forgotten_with_all_that_grew(store: Store, url: str, write: Writer) -> None:
    kitchen = await tower_id(store)
    await write(TAMSIN, Replant(tower_id=kitchen, entry=told("planted"), made=(PLUG,)))
    await write(TAMSIN, SetSupply(supply=Supply(item="A", left=9.0, unit="mL", at=NOW)))
    await write(TAMSIN, ForgetMe())
    for table in ("planting", "supply", "tower", "entry"):
        assert rows(url, f"SELECT count(*) FROM {table}") == [(0,)]
    assert rows(url, "PRAGMA foreign_key_check") == []


async def test_a_new_tower_comes_with_its_plants(store: Store, write: Writer) -> None:
    shed = Tower(name="shed", tank_l=40.0)
    plug = replace(PLUG, tower="shed")
    await write(TAMSIN, AddTower(tower=shed), AddPlantings(tower_id=0, plantings=(plug,)))
    book = await load_book(store, TAMSIN, NOW)
    assert [(p.tower, p.crop) for p in book.plantings] == [("shed", "basil")]
