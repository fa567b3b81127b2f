"""The store on a real SQLite file: books, changes once, handles, and what may not be written."""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from time import monotonic

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import create_engine

from bot.demo import saltmarsh
from bot.errors import NotStarted, Refusal
from bot.records.answer import Offer, Remember, line
from bot.records.changes import AddTower, Change, EditTower, SetMember
from bot.records.facts import Tower
from bot.records.people import Asker
from bot.records.questions import TopUp
from bot.storage import (
    Store,
    Unavailable,
    Writing,
    apply,
    check_schema,
    find_offer,
    keep_offers,
    load_book,
    named,
    tidy,
)
from bot.storage.engine import existing
from bot.storage.models import metadata
from bot.storage.schema import newest
from tests.bot.storage.asking import BRAM, NOW, TAMSIN, rows

STRANGER = BRAM
SHED = Tower(name="shed", tank_l=40.0)


async def write(
    store: Store, asker: Asker, changes: Sequence[Change], interaction_id: int, now: datetime
) -> bool:
    return await apply(store, asker, Writing(changes=changes), interaction_id, now)


def test_the_migrations_make_exactly_the_models(url: str) -> None:
    engine = create_engine(url.replace("+aiosqlite", ""))
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
    engine.dispose()


def test_an_empty_or_old_database_is_refused(tmp_path: Path, url: str) -> None:
    check_schema(url)
    with pytest.raises(NotStarted, match="no_schema"):
        check_schema(f"sqlite+aiosqlite:///{tmp_path / 'empty.db'}")
    with sqlite3.connect(url.split("///")[1]) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '0000'")
    connection.close()
    with pytest.raises(NotStarted, match="old_schema") as caught:
        check_schema(url)
    assert caught.value.values == {"found": "0000", "wanted": newest()}


def test_a_database_that_cannot_be_opened_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotStarted, match=r"operator\.database"):
        check_schema(f"sqlite+aiosqlite:///{tmp_path / 'no' / 'such' / 'folder.db'}")


@pytest.mark.asyncio
async def test_the_demo_town_is_put_in_once(store: Store) -> None:
    assert not await saltmarsh.fill(store)
    book = await load_book(store, TAMSIN, NOW)
    assert [t.name for t in book.towers] == ["kitchen"]
    assert book.member.name == "Tamsin"
    assert book.feeds[0].parts[1].name == "B"
    assert (book.coach, book.rule("tap_ec").by) == ("Wenna", "Wenna")


@pytest.mark.asyncio
async def test_a_stranger_sees_the_feed_but_nobodys_tower(store: Store) -> None:
    book = await load_book(store, STRANGER, NOW)
    assert (book.towers, book.member.id, book.member.time_zone) == ((), 0, "America/New_York")
    assert len(book.feeds) == 1
    elsewhere = await load_book(store, replace(TAMSIN, guild_id=99), NOW)
    assert (elsewhere.towers, elsewhere.feeds) == ((), ())


@pytest.mark.asyncio
async def test_in_private_a_member_is_at_home_and_a_stranger_is_not(store: Store) -> None:
    home = await load_book(store, replace(TAMSIN, guild_id=None), NOW)
    assert [t.name for t in home.towers] == ["kitchen"]
    nobody = await load_book(store, replace(STRANGER, guild_id=None), NOW)
    assert (nobody.towers, nobody.feeds) == ((), ())
    with pytest.raises(Refusal, match="no_home"):
        await write(store, replace(STRANGER, guild_id=None), [AddTower(tower=SHED)], 1, NOW)


@pytest.mark.asyncio
async def test_a_tower_comes_back_as_it_was_stored(store: Store) -> None:
    tower = replace(
        SHED, full_depth_cm=30.0, place="indoor", strength=0.5, pump_min_l=9.5, set_on=NOW.date()
    )
    assert await write(store, STRANGER, [AddTower(tower=tower)], 1, NOW)
    book = await load_book(store, STRANGER, NOW)
    assert replace(book.towers[0], id=0) == tower
    assert book.member.name == "Bram"


@pytest.mark.asyncio
async def test_the_same_interaction_has_one_effect(store: Store, url: str) -> None:
    done = await asyncio.gather(
        *[write(store, STRANGER, [AddTower(tower=SHED)], 42, NOW) for _ in range(5)]
    )
    assert sorted(done) == [False] * 4 + [True]
    assert rows(url, "SELECT count(*) FROM tower WHERE name = 'shed'") == [(1,)]
    assert rows(url, "SELECT what FROM audit") == [("AddTower",)]


@pytest.mark.asyncio
async def test_a_change_that_fails_leaves_nothing_behind(store: Store, url: str) -> None:
    changes = [
        SetMember(setting="gallon", value="us"),
        EditTower(tower_id=1, name="shed", facts=(("tank_l", 1.0),)),
    ]
    with pytest.raises(Refusal, match="changed"):
        await write(store, STRANGER, changes, 5, NOW)
    assert rows(url, "SELECT count(*) FROM member WHERE user_id = 7") == [(0,)]
    assert rows(url, "SELECT count(*) FROM seen_interaction") == [(0,)]
    assert rows(url, "SELECT name FROM tower") == [("kitchen",)]


@pytest.mark.asyncio
async def test_nobody_edits_anothers_tower(store: Store, url: str) -> None:
    await write(store, STRANGER, [AddTower(tower=SHED)], 1, NOW)
    hers = (await load_book(store, TAMSIN, NOW)).towers[0]
    with pytest.raises(Refusal, match="changed"):
        await write(
            store,
            STRANGER,
            [EditTower(tower_id=hers.id, name="shed 2", facts=(("tank_l", 1.0),))],
            2,
            NOW,
        )
    assert rows(url, "SELECT count(*) FROM tower WHERE tank_l = 1.0") == [(0,)]


@pytest.mark.asyncio
async def test_two_commands_at_once_cannot_take_one_name(store: Store) -> None:
    results = await asyncio.gather(
        *[write(store, STRANGER, [AddTower(tower=SHED)], i, NOW) for i in (1, 2)],
        return_exceptions=True,
    )
    assert sum(result is True for result in results) == 1
    assert sum(isinstance(result, Refusal) for result in results) == 1


@pytest.mark.asyncio
async def test_two_edits_at_once_both_stay(store: Store) -> None:
    tower = (await load_book(store, TAMSIN, NOW)).towers[0]
    edits = [("tank_l", 55.0), ("target_ec", 1.1), ("strength", 0.5)]
    await asyncio.gather(
        *[
            write(
                store, TAMSIN, [EditTower(tower_id=tower.id, name=tower.name, facts=(e,))], i, NOW
            )
            for i, e in enumerate(edits)
        ]
    )
    after = (await load_book(store, TAMSIN, NOW)).towers[0]
    assert (after.tank_l, after.target_ec, after.strength) == (55.0, 1.1, 0.5)


@pytest.mark.asyncio
async def test_twenty_five_commands_at_once_make_twenty_towers(store: Store, url: str) -> None:
    results = await asyncio.gather(
        *[
            write(store, STRANGER, [AddTower(tower=replace(SHED, name=f"t{i}"))], i, NOW)
            for i in range(25)
        ],
        return_exceptions=True,
    )
    assert sum(result is True for result in results) == 20
    assert len((await load_book(store, STRANGER, NOW)).towers) == 20


@pytest.mark.asyncio
async def test_expired_buttons_and_old_interactions_go(store: Store, url: str) -> None:
    offer = Offer(label=line("button.half"), question=TopUp())
    await keep_offers(store, TAMSIN, named([offer, offer]), NOW)
    await keep_offers(store, TAMSIN, named([offer]), NOW + timedelta(days=31))
    await tidy(store, NOW + timedelta(days=31))
    assert rows(url, "SELECT count(*) FROM handle") == [(1,)]
    await write(store, STRANGER, [AddTower(tower=SHED)], 1, NOW)
    edit = SetMember(setting="gallon", value="us")
    await write(store, STRANGER, [edit], 2, NOW + timedelta(days=8))
    await tidy(store, NOW + timedelta(days=8))
    assert rows(url, "SELECT id FROM seen_interaction") == [(2,)]


@pytest.mark.asyncio
async def test_waiting_writers_do_not_hold_up_a_reader(store: Store, url: str) -> None:
    await load_book(store, STRANGER, NOW)
    holder = sqlite3.connect(url.split("///")[1], isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    writing = [
        asyncio.create_task(
            write(store, STRANGER, [AddTower(tower=replace(SHED, name=f"t{i}"))], i, NOW)
        )
        for i in range(12)
    ]
    async with asyncio.timeout(1):
        assert (await load_book(store, replace(TAMSIN, name="seen anew"), NOW)).towers
    holder.execute("COMMIT")
    holder.close()
    assert await asyncio.gather(*writing) == [True] * 12


def test_a_file_is_opened_and_never_made(tmp_path: Path) -> None:
    opened = existing(f"sqlite+aiosqlite:///{tmp_path / 'x.db'}")
    assert opened.query == {"mode": "rw", "uri": "true"}
    assert opened.database == f"file:{tmp_path / 'x.db'}"


@pytest.mark.asyncio
async def test_a_button_opens_only_for_its_owner_in_its_place_and_time(store: Store) -> None:
    offer = Offer(
        label=line("button.half"),
        question=TopUp(tower="kitchen", level="half"),
        remember=(Remember(setting="gallon", value="us"),),
    )
    ((key, _),) = kept = named([offer])
    await keep_offers(store, TAMSIN, kept, NOW)
    assert len(key) == 26
    found = await find_offer(store, TAMSIN, key, NOW)
    assert found is not None
    assert (found.offer.question, found.offer.remember) == (offer.question, offer.remember)
    for other in (STRANGER, replace(TAMSIN, guild_id=99), replace(TAMSIN, guild_id=None)):
        assert await find_offer(store, other, key, NOW) is None
    assert await find_offer(store, TAMSIN, "a" * 26, NOW) is None
    assert await find_offer(store, TAMSIN, key, NOW + timedelta(days=31)) is None


@pytest.mark.asyncio
async def test_what_was_just_changed_is_what_is_read(store: Store) -> None:
    for size in (10.0, 20.0, 30.0):
        tower = (await load_book(store, TAMSIN, NOW)).towers[0]
        change = EditTower(tower_id=tower.id, name=tower.name, facts=(("tank_l", size),))
        await write(store, TAMSIN, [change], int(size), NOW)
        assert (await load_book(store, TAMSIN, NOW)).towers[0].tank_l == size


@pytest.mark.asyncio
async def test_what_another_process_changed_is_seen_within_seconds(
    store: Store, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    await load_book(store, TAMSIN, NOW)
    other = sqlite3.connect(url.split("///")[1])
    other.execute("UPDATE tower SET tank_l = 12.5")
    other.commit()
    other.close()
    later = monotonic() + 5.1
    monkeypatch.setattr("bot.storage.engine.monotonic", lambda: later)
    assert (await load_book(store, TAMSIN, NOW)).towers[0].tank_l == 12.5


@pytest.mark.asyncio
async def test_a_book_kept_for_one_is_never_shown_to_another(store: Store) -> None:
    mine = await load_book(store, TAMSIN, NOW)
    assert mine.towers
    for other in (STRANGER, replace(TAMSIN, guild_id=99)):
        assert (await load_book(store, other, NOW)).towers == ()
    moved = await load_book(store, TAMSIN, NOW + timedelta(days=1))
    assert moved.now == NOW + timedelta(days=1)


@pytest.mark.asyncio
async def test_hostile_text_is_only_text(store: Store, url: str) -> None:
    nasty = replace(SHED, name="'; DROP TABLE tower; --")
    await write(store, STRANGER, [AddTower(tower=nasty)], 1, NOW)
    assert (await load_book(store, STRANGER, NOW)).towers[0].name == nasty.name


@pytest.mark.asyncio
async def test_a_locked_database_is_waited_for_then_named(
    store: Store, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    await load_book(store, TAMSIN, NOW)
    holder = sqlite3.connect(url.split("///")[1], isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    assert (await load_book(store, TAMSIN, NOW)).towers  # readers never wait for a writer
    writing = asyncio.create_task(write(store, STRANGER, [AddTower(tower=SHED)], 1, NOW))
    await asyncio.wait([writing], timeout=0.2)
    assert not writing.done()
    holder.execute("COMMIT")
    holder.close()
    assert await writing


@pytest.mark.asyncio
async def test_a_write_cut_short_gives_its_lock_back_at_once(store: Store) -> None:
    begun = asyncio.Event()

    async def cut() -> None:
        async with store.write() as connection:
            await connection.exec_driver_sql("CREATE TABLE scratch (n INTEGER)")
            begun.set()
            await connection.exec_driver_sql(
                "INSERT INTO scratch VALUES (?)", [(n,) for n in range(300_000)]
            )

    writing = asyncio.create_task(cut())
    await begun.wait()
    await asyncio.sleep(0.01)
    writing.cancel()
    # The error is held, as a log or a debugger may: its traceback holds the cursor.
    with pytest.raises(asyncio.CancelledError) as held:
        await writing
    async with store.write() as connection:
        tables = await connection.exec_driver_sql(
            "SELECT 1 FROM sqlite_master WHERE name='scratch'"
        )
        assert tables.all() == []
    assert held.value is not None


@pytest.mark.asyncio
async def test_a_file_that_is_no_database_says_so(tmp_path: Path) -> None:
    (tmp_path / "broken.db").write_bytes(b"not a database, but long enough to be read as one" * 40)
    broken = Store(f"sqlite+aiosqlite:///{tmp_path / 'broken.db'}")
    with pytest.raises(Unavailable):
        await load_book(broken, TAMSIN, NOW)
    await broken.close()
