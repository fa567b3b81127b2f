"""People, logs, coaches and buttons in a real file: what is written once, refused, or found."""

from __future__ import annotations

import asyncio
import contextlib
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy.dialects import sqlite

from bot.errors import NotStarted, Refusal
from bot.records.answer import Awaits, Offer, line
from bot.records.changes import (
    AddEntries,
    AddEntry,
    AddTower,
    Change,
    EditTower,
    ForgetMe,
    JoinTower,
    LeaveTower,
    SetCommunity,
    SetFeed,
    SetMember,
    SetNote,
    SetPolicy,
    SetRole,
    ShareTower,
    UndoEntry,
)
from bot.records.facts import Entry, Tower
from bot.records.questions import Start, TopUp
from bot.storage import Store, Writing, apply, find_offer, keep_offers, load_book, migrate, named
from bot.storage import schema as schema_of
from bot.storage.books import _in_community
from tests.bot.books import FEED
from tests.bot.storage.asking import BRAM, NOW, TAMSIN, Writer, kitchen, rows

PERRIN = replace(TAMSIN, user_id=8, name="Perrin")


def told(tower: str = "kitchen", **facts: object) -> Entry:
    base = Entry(tower=tower, at=NOW, kind="level", level_l=30.0, recorded_at=NOW)
    return replace(base, **facts)  # type: ignore[arg-type]  # a test names real fields


pytestmark = pytest.mark.asyncio


async def test_a_line_is_refused_when_another_hand_was_quicker(store: Store, write: Writer) -> None:
    at = (await kitchen(store)).id
    await write(TAMSIN, AddEntry(tower_id=at, entry=told(), after=0))
    with pytest.raises(Refusal, match="newer_entry"):
        await write(TAMSIN, AddEntry(tower_id=at, entry=told(), after=0))
    book = await load_book(store, TAMSIN, NOW)
    assert len(book.log) == 1
    await write(TAMSIN, AddEntry(tower_id=at, entry=told(), after=book.newest[at]))


async def test_a_backdated_line_does_not_lock_a_tower(store: Store, write: Writer) -> None:
    at = (await kitchen(store)).id
    many = tuple(told(at=NOW - timedelta(hours=n)) for n in range(150))
    await write(TAMSIN, AddEntries(tower_id=at, entries=many))
    old = told(at=NOW - timedelta(days=300))
    await write(TAMSIN, AddEntries(tower_id=at, entries=(old,)))
    book = await load_book(store, TAMSIN, NOW)
    assert len(book.log) == 100  # the newest of that tower
    await write(TAMSIN, AddEntry(tower_id=at, entry=told(), after=book.newest[at]))
    assert len((await load_book(store, TAMSIN, NOW, whole=True)).log) == 152


async def test_undo_is_a_counter_line_of_ones_own_and_once(
    store: Store, write: Writer, url: str
) -> None:
    at = (await kitchen(store)).id
    await write(TAMSIN, AddEntry(tower_id=at, entry=told()))
    (mine,) = (await load_book(store, TAMSIN, NOW)).log
    with pytest.raises(Refusal, match="undone"):
        await write(BRAM, UndoEntry(entry_id=mine.id))
    await write(TAMSIN, UndoEntry(entry_id=mine.id))
    with pytest.raises(Refusal, match="undone"):
        await write(TAMSIN, UndoEntry(entry_id=mine.id))
    assert (await load_book(store, TAMSIN, NOW)).log == ()
    assert rows(url, "SELECT count(*) FROM entry") == [(2,)]


async def test_sharing_takes_the_others_yes(store: Store, write: Writer) -> None:
    at = (await kitchen(store)).id
    await write(TAMSIN, AddEntry(tower_id=at, entry=told(note="mine")))
    await write(TAMSIN, ShareTower(tower_id=at, user_id=BRAM.user_id, name="Bram"))
    invited = await load_book(store, BRAM, NOW)
    assert invited.towers == () and invited.log == ()
    assert [(i.tower, i.host) for i in invited.invited] == [("kitchen", "Tamsin")]
    with pytest.raises(Refusal, match="changed"):  # an invitation is no key yet
        await write(BRAM, EditTower(tower_id=at, name="x", facts=(("name", "x"),)))
    assert (await load_book(store, TAMSIN, NOW)).towers[0].shared_with == ()
    await write(BRAM, JoinTower(tower_id=at, accept=True))
    joined = await load_book(store, BRAM, NOW)
    assert [t.name for t in joined.towers] == ["kitchen"]
    assert [(e.by, e.mine) for e in joined.log] == [("Tamsin", False)]
    await write(BRAM, LeaveTower(tower_id=at))
    with pytest.raises(Refusal, match="last_keeper"):
        await write(TAMSIN, LeaveTower(tower_id=at))


async def test_invitations_are_few_and_never_to_oneself(store: Store, write: Writer) -> None:
    at = (await kitchen(store)).id
    with pytest.raises(Refusal, match="share_self"):
        await write(TAMSIN, ShareTower(tower_id=at, user_id=TAMSIN.user_id, name="Tamsin"))
    for number in range(12):
        await write(TAMSIN, AddTower(tower=Tower(name=f"t{number}", tank_l=10.0)))
    towers = (await load_book(store, TAMSIN, NOW)).towers
    sent = 0
    for tower in towers:
        with contextlib.suppress(Refusal):
            await write(TAMSIN, ShareTower(tower_id=tower.id, user_id=7, name="Bram"))
            sent += 1
    assert sent == 10


async def test_a_shared_towers_new_name_is_free_for_every_keeper(
    store: Store, write: Writer
) -> None:
    at = (await kitchen(store)).id
    await write(BRAM, AddTower(tower=Tower(name="deck", tank_l=40.0)))
    await write(TAMSIN, ShareTower(tower_id=at, user_id=BRAM.user_id, name="Bram"))
    await write(BRAM, JoinTower(tower_id=at, accept=True))
    with pytest.raises(Refusal, match="tower_taken_other"):
        await write(TAMSIN, EditTower(tower_id=at, name="Deck", facts=(("name", "Deck"),)))
    assert (await kitchen(store)).name == "kitchen"


async def test_only_a_coach_of_now_writes_what_is_the_coachs(
    store: Store, write: Writer, url: str
) -> None:
    coachs: list[Change] = [
        SetCommunity(setting="units", value="uk"),
        SetPolicy(key="ph_low", value=5.4, set_on=NOW.date()),
        SetFeed(feed=FEED),
        SetNote(note_id=0, about="a", text="b", set_on=NOW.date()),
        SetRole(user_id=TAMSIN.user_id, role="coach", name="Tamsin"),
    ]
    for change in coachs:
        with pytest.raises(Refusal, match="coach_only"):
            await write(BRAM, change)
    await write(BRAM, SetRole(user_id=None, role="coach"))  # let in by the platform's word
    for change in coachs:
        await write(BRAM, change)
    await write(TAMSIN, SetRole(user_id=BRAM.user_id, role="member", name="Bram"))
    for change in coachs:
        with pytest.raises(Refusal, match="coach_only"):
            await write(BRAM, change)
    with pytest.raises(Refusal, match="last_coach"):
        await write(TAMSIN, SetRole(user_id=TAMSIN.user_id, role="member", name="Tamsin"))
    assert rows(url, "SELECT coach FROM community") == [("Tamsin",)]


async def test_a_feed_is_one_whatever_its_capitals(store: Store, write: Writer, url: str) -> None:
    await write(BRAM, SetRole(user_id=None, role="coach"))
    await write(BRAM, SetFeed(feed=replace(FEED, name="SALTMARSH two-part")))
    assert rows(url, "SELECT count(*) FROM feed") == [(1,)]


async def test_two_corrections_of_one_note_do_not_both_stand(store: Store, write: Writer) -> None:
    await write(BRAM, SetRole(user_id=None, role="coach"))
    await write(BRAM, SetNote(note_id=0, about="leaves", text="one", set_on=NOW.date()))
    (note,) = (await load_book(store, BRAM, NOW)).notes
    await write(BRAM, SetNote(note_id=note.id, about="leaves", text="two", set_on=NOW.date()))
    with pytest.raises(Refusal, match="note_changed"):
        await write(BRAM, SetNote(note_id=note.id, about="leaves", text="three", set_on=NOW.date()))
    assert [n.text for n in (await load_book(store, BRAM, NOW)).notes] == ["two"]


async def test_a_zone_set_late_is_followed_by_who_never_chose(store: Store, write: Writer) -> None:
    await write(BRAM, SetRole(user_id=None, role="coach"))
    await write(PERRIN, SetMember(setting="time_zone", value="Pacific/Auckland"))
    await write(BRAM, SetCommunity(setting="time_zone", value="Europe/Lisbon"))
    assert (await load_book(store, BRAM, NOW)).member.time_zone == "Europe/Lisbon"
    assert (await load_book(store, PERRIN, NOW)).member.time_zone == "Pacific/Auckland"


async def test_where_two_gallons_meet_none_is_taken_for_granted(
    store: Store, write: Writer
) -> None:
    """The town is set to US units: an American client agrees, a British one has to be asked."""
    us = await load_book(store, replace(BRAM, locale="en-US"), NOW)
    assert (us.member.units, us.member.gallon) == ("us", None)
    uk = await load_book(store, replace(BRAM, locale="en-GB"), NOW)
    assert (uk.member.units, uk.member.gallon) == ("uk", None)
    await write(BRAM, SetRole(user_id=None, role="coach"))
    await write(BRAM, SetCommunity(setting="units", value="uk"))
    other = await load_book(store, replace(PERRIN, locale="en-US"), NOW)
    assert other.member.units == "uk"


async def test_nothing_is_written_for_somebody_forgotten_meanwhile(
    store: Store, write: Writer, url: str
) -> None:
    me = (await load_book(store, TAMSIN, NOW)).member.id
    await write(TAMSIN, ForgetMe())
    with pytest.raises(Refusal, match="forgotten"):
        await write(TAMSIN, SetMember(setting="jug_l", value=5.0), member_id=me)
    offer = Offer(label=line("button.half"), question=TopUp(level="half"))
    await keep_offers(store, TAMSIN, named([offer]), NOW, me)
    assert rows(url, "SELECT count(*) FROM handle") == [(0,)]
    assert rows(url, f"SELECT count(*) FROM member WHERE user_id = {TAMSIN.user_id}") == [(0,)]


async def test_what_others_began_with_a_person_is_forgotten_too(
    store: Store, write: Writer, url: str
) -> None:
    await write(PERRIN, SetMember(setting="jug_l", value=5.0))
    pending = '{"kind":"tower_share","person":"8 Perrin"}'
    await write(TAMSIN, awaits=Awaits(question=Start(then=pending), field="tank"))
    offer = Offer(label=line("button.start"), question=Start(then=pending))
    await keep_offers(store, TAMSIN, named([offer]), NOW)
    await write(PERRIN, ForgetMe())
    assert rows(url, "SELECT count(*) FROM handle") == [(0,)]
    assert rows(url, "SELECT count(*) FROM conversation") == [(0,)]


async def test_a_used_button_does_its_work_once(store: Store, write: Writer) -> None:
    offer = Offer(label=line("button.half"), question=TopUp(level="half"))
    ((key, _),) = kept = named([offer])
    await keep_offers(store, TAMSIN, kept, NOW)
    at = (await kitchen(store)).id
    await write(TAMSIN, AddEntry(tower_id=at, entry=told()), pressed=key)
    with pytest.raises(Refusal, match=r"no\.used"):
        await write(TAMSIN, AddEntry(tower_id=at, entry=told()), pressed=key)
    found = await find_offer(store, TAMSIN, key, NOW)
    assert found is not None and found.used
    assert len((await load_book(store, TAMSIN, NOW)).log) == 1


async def test_buttons_of_many_answers_are_kept_together_and_each_is_found(store: Store) -> None:
    offer = Offer(label=line("button.half"), question=TopUp(level="half"))
    many = [named([offer]) for _ in range(40)]
    await asyncio.gather(*[keep_offers(store, TAMSIN, kept, NOW) for kept in many])
    for ((key, _),) in many:
        assert await find_offer(store, TAMSIN, key, NOW) is not None


async def test_a_button_of_another_version_is_as_good_as_expired(store: Store, url: str) -> None:
    offer = Offer(label=line("button.half"), question=TopUp(level="half"))
    ((key, _),) = kept = named([offer])
    await keep_offers(store, TAMSIN, kept, NOW)
    await keep_offers(store, BRAM, [], NOW)
    with sqlite3.connect(url.split("///")[1]) as connection:
        connection.execute("UPDATE handle SET action = '{}'")
    connection.close()
    assert await find_offer(store, TAMSIN, key, NOW) is None


async def test_an_open_question_of_another_version_is_set_aside(
    store: Store, write: Writer, url: str
) -> None:
    await write(TAMSIN, awaits=Awaits(question=Start(), field="tank"))
    with sqlite3.connect(url.split("///")[1]) as connection:
        connection.execute('UPDATE conversation SET question = \'{"kind": "dance"}\'')
    connection.close()
    store.facts_changed()
    assert (await load_book(store, TAMSIN, NOW)).opened == ()


async def test_a_new_towers_button_means_it_by_number(store: Store, url: str) -> None:
    offer = Offer(label=line("button.half"), question=TopUp(tower="shed", level="half"))
    ((key, _),) = kept = named([offer])
    made = AddTower(tower=Tower(name="shed", tank_l=40.0))
    await apply(store, TAMSIN, Writing(changes=[made], offers=kept), 1, NOW)
    found = await find_offer(store, TAMSIN, key, NOW)
    ((number,),) = rows(url, "SELECT id FROM tower WHERE name = 'shed'")
    assert found is not None
    assert found.offer.question == TopUp(tower=f"#{number}", level="half")


async def test_a_books_query_never_walks_through_other_peoples_lines(
    store: Store, url: str
) -> None:
    query = str(
        _in_community().compile(
            dialect=sqlite.dialect(), compile_kwargs={"render_postcompile": True}
        )
    )
    values = query.count("?")
    with closing(sqlite3.connect(url.split("///")[1])) as connection:
        rows = connection.execute(f"EXPLAIN QUERY PLAN {query}", [1] * values).fetchall()
    plan = "\n".join(str(row[3]) for row in rows)
    steps = [step for step in plan.splitlines() if " entry " in f"{step} "]
    assert steps
    assert all("tower_id=?" in step for step in steps), plan
    assert not any(step.startswith("SCAN entry") for step in steps)


def upgraded(url: str, revision: str, *, down: bool = False) -> None:
    config = schema_of._config(str(Path(__file__).parents[3] / "migrations"), url)
    (command.downgrade if down else command.upgrade)(config, revision)


def seed(url: str, lines: Sequence[str]) -> None:
    with sqlite3.connect(url.split("///")[1]) as connection:
        for one in lines:
            connection.execute(one)
    connection.close()


OLD = (
    "INSERT INTO community (id, guild_id, name) VALUES (1, 10, 'x')",
    "INSERT INTO member (id, community_id, user_id, name, units, time_zone)"
    " VALUES (1, 1, 7, 'Bram', 'us', 'UTC')",
    "INSERT INTO tower (id, community_id, name, tank_l) VALUES (1, 1, 'shed', 40)",
    "INSERT INTO keeper VALUES (1, 1)",
    "INSERT INTO entry (id, tower_id, member_id, at, kind, level_l)"
    " VALUES (1, 1, 1, '2026-03-01 10:00:00', 'level', 20)",
)


@pytest.mark.asyncio(loop_scope="function")
async def test_old_records_come_along_and_go_back(tmp_path: Path) -> None:
    url = f"sqlite+aiosqlite:///{tmp_path / 'old.db'}"
    await asyncio.to_thread(upgraded, url, "0001")
    seed(url, OLD)
    await asyncio.to_thread(migrate, url)
    assert rows(url, "SELECT recorded_at = at, level_l FROM entry") == [(1, 20.0)]
    assert rows(url, "SELECT accepted FROM keeper") == [(1,)]
    await asyncio.to_thread(upgraded, url, "0001", down=True)
    assert rows(url, "SELECT level_l FROM entry") == [(20.0,)]
    await asyncio.to_thread(migrate, url)


@pytest.mark.asyncio(loop_scope="function")
async def test_a_migration_that_fails_leaves_the_old_file_whole(tmp_path: Path) -> None:
    url = f"sqlite+aiosqlite:///{tmp_path / 'old.db'}"
    await asyncio.to_thread(upgraded, url, "0001")
    twice = "INSERT INTO entry (tower_id, at, kind, undoes_id) VALUES (1, '2026-03-02', 'undo', 1)"
    seed(url, (*OLD, twice, twice))
    with pytest.raises(NotStarted):
        await asyncio.to_thread(migrate, url)
    assert rows(url, "SELECT version_num FROM alembic_version") == [("0001",)]
    tables = {str(name) for (name,) in rows(url, "SELECT name FROM sqlite_master")}
    assert "note" not in tables and not any("tmp" in name for name in tables)
    seed(url, ("DELETE FROM entry WHERE kind = 'undo'",))
    await asyncio.to_thread(migrate, url)
