"""Records from a file: every row is read before anything is written, and all of it or none is."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.clock import zone_of
from bot.errors import Refusal
from bot.records.answer import Answer, line
from bot.records.book import Book
from bot.records.changes import (
    MOST_TOWERS,
    AddEntries,
    AddPlantings,
    AddTower,
    Change,
    PackTower,
    SetFeed,
    SetMember,
    SetSupply,
)
from bot.records.facts import MOST_PORTS, Entry, Member, Planting, Tower
from bot.records.questions import Import
from bot.services import exchange
from bot.services.exchange import BadRecords
from bot.services.towers import sound, well_named
from calc.errors import CalcError

LARGEST_BYTES = 2_000_000
_MOST_ROWS = 5_000
_MOST_SHOWN = 8
_MOST = {"log": _MOST_ROWS, "towers": 100, "feeds": 100, "plantings": 2_000, "stock": 60}
_SLACK = timedelta(days=1)
_OVER = 1.1  # a tank that was measured anew may have been read a little over
_SETTINGS = ("units", "gallon", "time_zone", "tds_scale", "finger_mm", "jug_l", "drops_per_ml",
             "has_ec_meter", "morning", "quiet_from", "quiet_to", "private_answers",
             "currency")  # fmt: skip


def import_(question: Import, book: Book) -> Answer:
    """All rows good: towers and lines that are not there yet are added. One bad: none is.

    Raises
    ------
    Refusal
    """
    if len(question.text.encode(errors="replace")) > LARGEST_BYTES:
        raise Refusal("no.file_size", outcome="refuse")
    name = question.file.casefold()
    if name.endswith(".csv"):
        troubles, told = _from_csv(question.text, book)
    elif name.endswith(".json"):
        troubles, told = _from_json(question.text, book)
    else:
        raise Refusal("no.file_type", outcome="refuse", name=question.file[:60])
    if troubles:
        rows = tuple(line("data.bad_row", where=w, what=t) for w, t in troubles[:_MOST_SHOWN])
        head = line("data.refused", count=len(troubles))
        return Answer(outcome="refuse", intent="mydata", do=(head, *rows))
    return _added(told, book)


Trouble = tuple[str, str]


def _from_json(text: str, book: Book) -> tuple[list[Trouble], Book]:
    """Each tower and line read by itself, so that every bad one is named."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise Refusal("no.file_json", outcome="refuse") from None
    if not isinstance(data, dict):
        raise Refusal("no.file_json", outcome="refuse")
    for key, most in _MOST.items():
        rows = data.get(key)
        rows = [] if rows is None else rows
        if not isinstance(rows, list):
            raise Refusal("no.file_json", outcome="refuse")
        if len(rows) > most:
            raise Refusal("no.file_rows", outcome="refuse", what=key, count=most)
    troubles: list[Trouble] = []
    for key in ("towers", "feeds", "log"):
        rows = data.get(key)
        for number, row in enumerate(rows if isinstance(rows, list) else [], 1):
            _try({key: [row]}, f"{key} {number}", troubles, book.now)
    rest = {k: v for k, v in data.items() if k not in ("towers", "feeds", "log")}
    _try(rest, "member", troubles, book.now)
    told = book
    try:
        told = exchange.book(data, now=book.now) if not troubles else book
    except BadRecords as error:
        troubles.append(("file", str(error)[:120]))
    troubles += _untrue(replace(told, now=book.now), book)
    return troubles, replace(told, member=_settled(told, data.get("member"), book))


def _try(part: object, where: str, troubles: list[Trouble], now: datetime) -> None:
    try:
        exchange.book(part, now=now)  # type: ignore[arg-type]  # it says itself what is no object
    except BadRecords as error:
        troubles.append((where, str(error)[:120]))


def _settled(told: Book, given: object, book: Book) -> Member:
    """The person's settings with those that the file really holds."""
    named = given if isinstance(given, dict) else {}
    values = {name: getattr(told.member, name) for name in _SETTINGS if name in named}
    return replace(book.member, **values)


def _untrue(told: Book, book: Book) -> list[Trouble]:
    """Lines and towers that cannot be: in the future, over the line, a pump line above the tank."""
    troubles: list[Trouble] = []
    for number, tower in enumerate((*told.towers, *told.packed), 1):
        try:
            sound(tower)
            if not well_named(tower.name):
                raise BadRecords(f"name: {tower.name[:40]!r} is no name for a tower")
        except (CalcError, BadRecords) as error:
            troubles.append((f"towers {number}", str(error)[:120]))
    towers = {t.name.casefold(): t for t in (*told.towers, *told.packed)}
    for number, line_ in enumerate(told.log, 1):
        if line_.at > told.now + _SLACK:
            troubles.append((f"log {number}", f"at: {line_.at.isoformat()} is in the future"))
        of = towers.get(line_.tower.casefold())
        # A line from before the tank was last changed may tell of a larger one.
        since = of is not None and (of.set_on is None or told.local(line_.at) > of.set_on)
        level = line_.level_l or 0.0
        if of is not None and since and level > of.tank_l * _OVER:
            said = f"level_l: {level:.1f} L is more than the tank's {of.tank_l:.1f} L"
            troubles.append((f"log {number}", said))
    here = {t.name.casefold(): t for t in (*book.towers, *book.packed)}
    return troubles + _unplanted(told, {**towers, **here})


def _unplanted(told: Book, towers: dict[str, Tower]) -> list[Trouble]:
    """Plugs in no port of their tower, days and supplies that are still to come."""
    troubles: list[Trouble] = []
    today = told.local(told.now + _SLACK)
    for number, one in enumerate(told.plantings, 1):
        of = towers.get(one.tower.casefold())
        said = None
        if of is None:
            said = f"tower: {one.tower[:40]!r} is none of yours"
        elif one.status == "growing" and not _has_port(of, one):
            said = f"port: {of.name} has no L{one.level}P{one.port}"
        elif any(day is not None and day > today for day in (one.sown, one.planted)):
            said = "planted: that day is still to come"
        if said:
            troubles.append((f"plantings {number}", said))
    for number, supply in enumerate(told.supplies, 1):
        if supply.at > told.now + _SLACK:
            troubles.append((f"stock {number}", f"at: {supply.at.isoformat()} is in the future"))
    return troubles


def _has_port(tower: Tower, one: Planting) -> bool:
    levels, ports = tower.levels or MOST_PORTS, tower.ports_per_level or MOST_PORTS
    return one.level <= levels and one.port <= ports


def _from_csv(text: str, book: Book) -> tuple[list[Trouble], Book]:
    """The log's table: the columns that the export writes, in any order."""
    try:
        rows = list(csv.DictReader(io.StringIO(text)))
    except csv.Error:
        raise Refusal("no.file_csv", outcome="refuse") from None
    if not rows or not {"tower", "at", "kind"} <= set(rows[0]):
        raise Refusal("no.file_csv", outcome="refuse")
    if len(rows) > _MOST_ROWS:
        raise Refusal("no.file_rows", outcome="refuse", what="log", count=_MOST_ROWS)
    troubles: list[Trouble] = []
    entries: list[object] = []
    zone = zone_of(book.member.time_zone)
    known = {t.name.casefold() for t in (*book.towers, *book.packed)}
    for number, row in enumerate(rows, 2):
        try:
            told = _row(row, zone)
            if str(told["tower"]).casefold() not in known:
                raise BadRecords(f"tower: {str(told['tower'])[:40]!r} is none of yours")
            exchange.book({"log": [told]}, now=book.now)
            entries.append(told)
        except BadRecords as error:
            troubles.append((str(number), str(error)[:120]))
    me = {"name": book.member.name}
    records = {"member": me, "log": entries}
    found = exchange.book(records, now=book.now) if not troubles else book
    troubles += _untrue(replace(found, towers=book.towers, packed=book.packed), book)
    return troubles, replace(found, member=book.member)


def _row(row: dict[str, str | None], zone: ZoneInfo) -> dict[str, object]:
    """One row of the table in the exchange form; an empty cell is an unknown fact."""
    if None in row or None in row.values():
        raise BadRecords("columns: more or fewer than the first row names")
    cells = {k.strip(): _unquoted((v or "").strip()) for k, v in row.items()}
    numbers: dict[str, object] = {}
    for key in ("level_l", "ec", "ph", "water_c", "water_added_l"):
        numbers[key] = _number(key, cells.get(key, ""))
    at = cells["at"]
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        raise BadRecords(f"at: {at[:40]!r} is no ISO time") from None
    aware = moment if moment.tzinfo else moment.replace(tzinfo=zone)
    amounts = [_amount(part) for part in cells.get("amounts", "").split(";") if part.strip()]
    text = {key: cells.get(key, "") for key in ("tower", "kind", "note", "by")}
    picked = [_picked(part) for part in cells.get("picked", "").split(";") if part.strip()]
    told = {"at": aware.isoformat(), "amounts": amounts, "picked": picked}
    return {**text, **numbers, **told}


def _unquoted(cell: str) -> str:
    """What the export quoted against formulas."""
    return cell[1:] if cell.startswith("'") else cell


def _number(key: str, cell: str) -> float | None:
    if not cell:
        return None
    try:
        return float(cell) if cell.isascii() and "_" not in cell else float("nan")
    except ValueError:
        raise BadRecords(f"{key}: {cell[:40]!r} is no number") from None


def _amount(text: str) -> dict[str, object]:
    name, _, amount = text.strip().rpartition(" ")
    value = _number("amounts", amount)
    if not name or value is None:
        raise BadRecords(f"amounts: {text[:40]!r} is no part with its amount")
    return {"name": name, "ml": value}


def _picked(text: str) -> dict[str, object]:
    """ "basil 142 g", "romaine 3" """
    words = text.strip()
    weighed = words.endswith(" g")
    name, _, amount = words.removesuffix(" g").rpartition(" ")
    value = _number("picked", amount)
    if not name or value is None:
        raise BadRecords(f"picked: {text[:40]!r} is no crop with its weight or count")
    return {"crop": name, "g" if weighed else "count": value}


def _added(told: Book, book: Book) -> Answer:
    """What is not there yet, as changes, and what was left as it is."""
    known = {t.name.casefold(): t for t in (*book.towers, *book.packed)}
    new = [t for t in (*told.towers, *told.packed) if t.name.casefold() not in known]
    if len(known) + len(new) > MOST_TOWERS:
        raise Refusal("no.tower_limit", count=MOST_TOWERS)
    lines = _new_lines(told, book)
    changes: list[Change] = [*_settings(told, book)]
    theirs = {f.name for f in book.feeds}
    changes += [SetFeed(feed=replace(f, own=True)) for f in told.feeds if f.name not in theirs]
    for tower in new:
        changes += _with_log(replace(tower, shared_with=()), lines, told)
    for name, tower in known.items():
        changes += _entries(tower.id, name, lines)
        changes += _plantings(tower.id, tower, told, book)
    changes += _supplies(told, book)
    counts: dict[str, int] = {
        "towers": len(new),
        "entries": sum(len(c.entries) for c in changes if isinstance(c, AddEntries)),
        "known": len(told.log) - len(lines),
    }
    return Answer(
        outcome="answer",
        intent="mydata",
        do=(line("data.imported", **counts),),
        changes=tuple(changes),
    )


def _entries(tower_id: int, name: str, lines: tuple[Entry, ...]) -> list[Change]:
    mine = tuple(e for e in lines if e.tower.casefold() == name)
    return [AddEntries(tower_id=tower_id, entries=mine)] if mine else []


def _with_log(tower: Tower, lines: tuple[Entry, ...], told: Book) -> list[Change]:
    found: list[Change] = [AddTower(tower=tower)]
    name = tower.name.casefold()
    found += _entries(0, name, lines)
    found += _plantings(0, tower, told, told)
    if tower.name in {t.name for t in told.packed}:
        found.append(PackTower(tower_id=0, packed=True))
    return found


def _plantings(tower_id: int, tower: Tower, told: Book, book: Book) -> list[Change]:
    """What grew and grows, but what is known and what stands in a port that is taken."""
    name = tower.name.casefold()
    theirs = [p for p in told.plantings if p.tower.casefold() == name]
    known = [] if told is book else [p for p in book.plantings if p.tower.casefold() == name]
    seen = {_place_of(p) for p in known}
    taken = {(p.level, p.port) for p in known if p.status == "growing"}
    new: list[Planting] = []
    for one in theirs:
        growing = one.status == "growing"
        if _place_of(one) in seen or (growing and (one.level, one.port) in taken):
            continue
        seen.add(_place_of(one))
        taken |= {(one.level, one.port)} if growing else set()
        new.append(one)
    return [AddPlantings(tower_id=tower_id, plantings=tuple(new))] if new else []


def _place_of(one: Planting) -> tuple[object, ...]:
    return (one.level, one.port, one.crop.casefold(), one.planted)


def _supplies(told: Book, book: Book) -> list[Change]:
    """What is not told of here yet."""
    known = {one.item.casefold() for one in book.supplies}
    new: list[Change] = []
    for one in told.supplies:
        if one.item.casefold() not in known:
            known.add(one.item.casefold())
            new.append(SetSupply(supply=one))
    return new


def _new_lines(told: Book, book: Book) -> tuple[Entry, ...]:
    """Lines not in the log yet, whose tower is known or comes with them."""
    towers = {t.name.casefold() for b in (told, book) for t in (*b.towers, *b.packed)}
    seen = {_same(e) for e in book.log}
    new: list[Entry] = []
    for e in told.log:
        if _same(e) not in seen and e.tower.casefold() in towers:
            seen.add(_same(e))
            new.append(e)
    return tuple(new)


def _same(entry: Entry) -> tuple[object, ...]:
    return (entry.tower.casefold(), entry.at, entry.kind, entry.level_l, entry.ec, entry.ph,
            entry.water_added_l, entry.amounts, entry.picked)  # fmt: skip


def _settings(told: Book, book: Book) -> list[SetMember]:
    if told.member == book.member:
        return []
    return [
        SetMember(setting=name, value=value)
        for name in _SETTINGS
        if (value := getattr(told.member, name)) != getattr(book.member, name)
    ]
