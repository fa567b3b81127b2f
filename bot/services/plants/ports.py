"""The port map: a plug a port, each with its crop and its days; planted, moved, cleared, shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from bot.errors import Refusal
from bot.records.answer import Amount, Answer, Awaits, FromRecord, Line, Offer, line
from bot.records.book import Book
from bot.records.changes import Replant
from bot.records.facts import Entry, Planting, Tower
from bot.records.questions import Clean, Door, PortClear, PortMove, PortPlant, Ports, Said, Undo
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower
from bot.services.log.entries import mark
from bot.services.moments import read_past
from bot.services.plants.crops import known_crop
from bot.services.plants.places import (
    Port,
    empty_ports,
    is_all,
    port_name,
    port_names,
    ports_of,
    read_ports,
    standing_in,
)
from bot.services.plants.sharing import neighbours
from bot.text import plain
from bot.words import sentence
from calc.tables import Crop

ENDINGS: Final = ("harvested", "failed", "cleared")
_LONGEST_CROP: Final = 40
_MANY: Final = 3
_LONGEST_WHY: Final = 80


def ports(question: Ports, book: Book) -> Answer:
    """What grows where, level by level from the top, and what is empty.

    Raises
    ------
    Ask
    """
    tower = chosen_tower(question, book)
    growing = book.growing(tower.name)
    if not ports_of(tower) and not growing:
        raise Ask(clarify("port_map", line("ports.unknown", tower=tower.name)))
    empty = empty_ports(tower, book)
    word = "ports.head" if ports_of(tower) else "ports.head_unknown"
    if not growing:
        word = "ports.none"
    head = line(word, tower=tower.name,
                count=len(growing), every=len(ports_of(tower)), empty=len(empty))  # fmt: skip
    levels = sorted({p.level for p in growing}, reverse=True)
    rows = tuple(_level(level, growing, book) for level in levels)
    if growing and empty:
        rows = (*rows, line("ports.empty", ports=_free(empty, tower)))
    amount = Amount(name="empty_ports", value=len(empty), unit="ports", origin=FromRecord())
    return Answer(
        outcome="answer",
        intent="port_map",
        amounts=(amount,) if ports_of(tower) else (),
        do=(head, *rows),
        check=(line("ports.meaning"),) if len(growing) < 3 else (),
        offers=(
            Offer(label=line("button.plant"), question=PortPlant(tower=tower.name), form="plant"),
        ),
    )


def _free(empty: Sequence[Port], tower: Tower) -> tuple[Line, ...]:
    """Whole levels by their number, the rest port by port."""
    whole = [
        level
        for level in range(1, (tower.levels or 0) + 1)
        if sum(at == level for at, _ in empty) == tower.ports_per_level
    ]
    rest = port_names(p for p in empty if p[0] not in whole)
    one = (line("button.tower", name=rest),) if rest else ()
    word = "ports.levels" if len(whole) > 1 else "ports.one_level"
    return (*one, *((line(word, levels=_numbers(whole)),) if whole else ()))


def _level(level: int, growing: Sequence[Planting], book: Book) -> Line:
    here = [p for p in growing if p.level == level]
    sowings = dict.fromkeys((p.crop, p.planted) for p in here)
    said = tuple(
        line(
            "ports.crop",
            crop=crop,
            ports=_numbers(p.port for p in here if (p.crop, p.planted) == (crop, day)),
            days=_days(day, book),
        )
        for crop, day in sowings
    )
    return line("ports.level", level=level, what=said)


def _numbers(found: Iterable[int]) -> str:
    numbers = sorted(found)
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(r[0]) if len(r) == 1 else f"{r[0]}-{r[-1]}" for r in runs)


def _days(planted: date | None, book: Book) -> tuple[Line, ...]:
    """How long it has stood there."""
    days = (book.local(book.now) - planted).days if planted else 0
    return (line("ports.days", days=days),) if days > 0 else ()


def plant(question: PortPlant, book: Book) -> Answer:
    """A plug into each port named; a taken one is asked about.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    tower = chosen_tower(question, book)
    crop = _crop(question.crop)
    if crop is None:
        offer = Offer(label=line("button.write_down"), question=question, form="plant")
        raise Ask(clarify("port_map", line("ports.ask_crop"), offers=[offer]))
    if not question.ports:
        raise Ask(_which_port(question, crop, tower, book))
    wanted = read_ports(question.ports, tower)
    taken = standing_in(wanted, tower, book)
    if taken and question.instead is None:
        raise Ask(_taken(question, crop, taken, book))
    row = known_crop(crop)
    day = _day(question.planted, book) or book.local(book.now)
    sown = _day(question.sown, book)
    if sown is not None and sown > day:
        raise Ask(clarify("port_map", line("ports.ask_days", sown=sown, day=day)))
    made = tuple(
        Planting(
            tower=tower.name,
            level=level,
            port=port,
            crop=crop,
            plants=row.plants_per_plug if row else 1,
            sown=sown,
            planted=day,
        )
        for level, port in wanted
    )
    note = sentence("note.planted").format(crop=crop, ports=port_names(wanted))
    change = Replant(
        tower_id=tower.id,
        entry=_entry(tower, note, book),
        ended=tuple((p.id, "cleared") for p in taken),
        made=made,
    )
    said = line("ports.planted", tower=tower.name, ports=port_names(wanted), crop=crop, day=day)
    return Answer(
        outcome="answer",
        intent="port_map",
        do=(said,),
        expect=(
            *_young(row, change.made, day),
            *_needs(row, wanted, tower, book),
            *neighbours(row, taken, tower, book),
        ),
        check=(line("ports.table_memory"),) if row else (line("ports.no_table", crop=crop),),
        offers=(*_undo(book), *_moved_in(tower)),
        changes=(change,),
    )


def _moved_in(tower: Tower) -> tuple[Offer, ...]:
    """A tower that was told of as empty: with plants in, its days count from now."""
    if tower.stage not in ("coming", "empty"):
        return ()
    question = Door(tower=tower.name, stage="growing")
    return (Offer(label=line("button.plants_in"), question=question),)


def _crop(text: str | None) -> str | None:
    words = plain(text or "").strip(" .,!?")
    return words[:_LONGEST_CROP] or None


def _day(text: str | None, book: Book) -> date | None:
    if not text:
        return None
    at = read_past(text, now=book.now, zone=book.member.time_zone,
                   month_first=book.member.units == "us")  # fmt: skip
    return book.local(at)


def _which_port(question: PortPlant, crop: str, tower: Tower, book: Book) -> Answer:
    """The empty ports that suit it best, lowest first where it is tall or thirsty."""
    row = known_crop(crop)
    free = empty_ports(tower, book)
    low = row is not None and row.place == "low"
    free = free if low else sorted(free, key=lambda p: (-p[0], p[1]))
    offers = [
        Offer(
            label=line("button.text", text=port_name(port)),
            question=replace(question, ports=port_name(port)),
        )
        for port in free[:4]
    ]
    found = clarify("port_map", line("ports.ask_port", crop=crop), offers=offers)
    return replace(found, awaits=Awaits(question=question, field="ports"))


def _taken(question: PortPlant, crop: str, taken: Sequence[Planting], book: Book) -> Answer:
    sowings = dict.fromkeys((p.crop, p.planted) for p in taken)
    there = tuple(
        line(
            "ports.holds_since" if day else "ports.holds",
            ports=port_names(
                (p.level, p.port) for p in taken if (p.crop, p.planted) == (name, day)
            ),
            crop=name,
            day=day or book.local(book.now),
        )
        for name, day in sowings
    )
    asked = line("ports.taken", there=there, crop=crop)
    offers = [
        Offer(label=line("button.replace_it"), question=replace(question, instead="yes")),
        Offer(label=line("button.leave_it"), question=Said(word="ports.left")),
    ]
    return clarify("port_map", asked, offers=offers)


def _young(row: Crop | None, made: Sequence[Planting], day: date) -> tuple[Line, ...]:
    """A seedling that is moved in before its time, by the crop's own age."""
    sown = made[0].sown if made else None
    if row is None or sown is None:
        return ()
    age = (day - sown).days
    low, high = row.seedling_d
    word = "ports.young" if age < low else "ports.aged"
    return (line(word, age=age, low=round(low), high=round(high)),)


def _needs(row: Crop | None, wanted: Sequence[Port], tower: Tower, book: Book) -> tuple[Line, ...]:
    """What is to be said before it stands there: room, height, whether it suits a tower at all."""
    if row is None:
        return ()
    said: list[Line] = []
    if row.fit == "poor":
        said.append(line("ports.poor", crop=row.called))
    if row.ports > 1:
        beside = {(level, port + step) for level, port in wanted for step in (-1, 1)} - set(wanted)
        near = port_names((p.level, p.port) for p in standing_in(beside, tower, book))
        word = "ports.room_taken" if near else "ports.room"
        said.append(line(word, crop=row.called, count=row.ports, near=near))
    if row.place == "low" and any(level > 2 for level, _ in wanted):
        said.append(line("ports.low", crop=row.called))
    if row.plants_per_plug > 1:
        said.append(line("ports.plug", count=row.plants_per_plug))
    return tuple(said)


def move(question: PortMove, book: Book) -> Answer:
    """A plug into another port; into a taken one they change places, once that is asked.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    tower = chosen_tower(question, book)
    if not question.port or not question.to:
        raise Ask(clarify("port_map", line("ports.ask_move")))
    (source,), (goal,) = (_single(text, tower) for text in (question.port, question.to))
    here, there = (standing_in([p], tower, book) for p in (source, goal))
    if not here:
        raise Refusal("no.port_empty", port=port_name(source))
    if source == goal:
        raise Refusal("no.port_same", port=port_name(source))
    if there and question.swap is None:
        raise Ask(_swap(question, here[0], there[0], book))
    moved = [replace(here[0], level=goal[0], port=goal[1])]
    moved += [replace(p, level=source[0], port=source[1]) for p in there]
    note = sentence("note.swapped" if there else "note.moved").format(
        crop=here[0].crop, port=port_name(source), to=port_name(goal)
    )
    change = Replant(
        tower_id=tower.id,
        entry=_entry(tower, note, book),
        ended=tuple((p.id, "moved") for p in (*here, *there)),
        made=tuple(moved),
    )
    said = line("ports.swapped" if there else "ports.moved", tower=tower.name,
                crop=here[0].crop, port=port_name(source), to=port_name(goal),
                other=there[0].crop if there else "")  # fmt: skip
    return Answer(
        outcome="answer", intent="port_map", do=(said,), offers=_undo(book), changes=(change,)
    )


def _single(text: str, tower: Tower) -> tuple[Port, ...]:
    found = read_ports(text, tower)
    if len(found) != 1:
        raise Refusal("no.port_one", text=text[:40])
    return found


def _swap(question: PortMove, here: Planting, there: Planting, book: Book) -> Answer:
    to = port_name((there.level, there.port))
    asked = line("ports.ask_swap", to=to, there=there.crop, crop=here.crop)
    offers = [
        Offer(label=line("button.swap"), question=replace(question, swap="yes")),
        Offer(label=line("button.leave_it"), question=Said(word="ports.left")),
    ]
    return clarify("port_map", asked, offers=offers)


def clear(question: PortClear, book: Book) -> Answer:
    """Ports emptied, with how it ended.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    tower = chosen_tower(question, book)
    if not question.ports:
        raise Ask(clarify("port_map", line("ports.ask_clear", tower=tower.name)))
    growing = book.growing(tower.name)
    there = (
        growing
        if is_all(question.ports)
        else standing_in(read_ports(question.ports, tower), tower, book)
    )
    if not there:
        raise Refusal("no.port_empty", port=question.ports[:40])
    how = question.how if question.how in ENDINGS else "cleared"
    names = port_names((p.level, p.port) for p in there)
    why = plain(question.why or "")[:_LONGEST_WHY]
    crops = ", ".join(dict.fromkeys(p.crop for p in there))[:_LONGEST_CROP]
    note = sentence(f"note.{how}").format(crop=crops, ports=names)
    note = f"{note}: {why}" if why else note
    change = Replant(
        tower_id=tower.id,
        entry=_entry(tower, note, book),
        ended=tuple((p.id, how) for p in there),
    )
    said = line(f"ports.{how}", tower=tower.name, ports=names, crop=crops)
    return Answer(
        outcome="answer",
        intent="port_map",
        do=(said,),
        expect=(line("ports.failed_next"),) if how == "failed" else (),
        offers=(*_undo(book), *_go_on(tower, growing, there)),
        changes=(change,),
    )


def _go_on(
    tower: Tower, growing: Sequence[Planting], there: Sequence[Planting]
) -> tuple[Offer, ...]:
    """All out: mostly because the tank is to be cleaned."""
    if len(there) < len(growing) or len(growing) < _MANY:
        return ()
    return (Offer(label=line("button.go_on_cleaning"), question=Clean(tower=tower.name)),)


def _entry(tower: Tower, note: str, book: Book) -> Entry:
    return Entry(tower=tower.name, at=book.now, kind="note", note=note[:200], by=book.member.name,
                 recorded_at=book.now)  # fmt: skip


def _undo(book: Book) -> tuple[Offer, ...]:
    return (Offer(label=line("button.undo"), question=Undo(entry=mark(book.now))),)
