"""Taking a line back, and the log page by page."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from bot.records.answer import Answer, Line, Offer, line
from bot.records.book import Book
from bot.records.changes import EditTower, UndoEntry
from bot.records.facts import Entry, Tower
from bot.records.questions import History, Stock, Undo
from bot.services.asking import Ask, clarify
from bot.services.care.outage import over
from bot.services.choosing import chosen_tower
from bot.services.log.entries import SOWN, TANK, mark, marked, said, when, who
from bot.services.log.learning import untaught
from bot.services.plants.stock import stock
from calc.errors import Unreadable
from calc.units import read_number

_PAGE = 5
_UNDO_WITHIN = timedelta(days=7)
_JUST_TOLD = timedelta(hours=12)


def undo(question: Undo, book: Book) -> Answer:
    """Take back one's last line, or the one that a button names.

    Raises
    ------
    Ask
    """
    lines = marked(question.entry, book) if question.entry else _last(book)
    told = max(book.supplies, key=lambda s: s.at, default=None) if not question.entry else None
    if told is not None and (not lines or told.at > (lines[-1].recorded_at or lines[-1].at)):
        return stock(Stock(item=told.item, undo=mark(told.at)), book)
    if not lines:
        raise Ask(Answer(outcome="refuse", intent="undo", do=(line("log.nothing_to_undo"),)))
    main = lines[-1]
    if not question.entry and book.now - (main.recorded_at or main.at) > _JUST_TOLD:
        raise Ask(_that_one(main, book))
    tower = next((t for t in (*book.towers, *book.packed) if t.name == main.tower), None)
    gone = {e.id for e in lines}
    rest = [e for e in book.entries(main.tower) if e.id not in gone and e.level_l is not None]
    water = any(e.level_l is not None or e.water_added_l for e in lines)
    last: tuple[Line, ...] = (
        () if not water else (line("log.level_now", what=said(_level_only(rest[-1]), tower, book),
              at=when(rest[-1].at, book)),)
        if rest
        else (line("log.level_unknown"),)
    )  # fmt: skip
    first = line("log.undone", tower=main.tower, what=said(main, tower, book),
                 at=when(main.at, book))  # fmt: skip
    silent = (line("outage.stay_off"),) if over(main) else ()
    return Answer(
        outcome="answer",
        intent="undo",
        do=(first,),
        expect=(*last, *silent),
        changes=(
            *(UndoEntry(entry_id=e.id) for e in lines),
            *_unsown(main, tower),
            *_untaught(main, tower, book),
        ),
    )


def _that_one(main: Entry, book: Book) -> Answer:
    """Nothing was told lately: what stands there last may be something else than is meant."""
    tower = next((t for t in (*book.towers, *book.packed) if t.name == main.tower), None)
    asked = line("log.undo_that", tower=main.tower, what=said(main, tower, book),
                 at=when(main.at, book))  # fmt: skip
    told = Undo(entry=mark(main.recorded_at) if main.recorded_at else str(main.id))
    return clarify("undo", asked, offers=[Offer(label=line("button.take_it_back"), question=told)])


def _untaught(main: Entry, tower: Tower | None, book: Book) -> tuple[EditTower, ...]:
    return () if tower is None else untaught(tower, main, book)


def _unsown(main: Entry, tower: Tower | None) -> tuple[EditTower, ...]:
    """The sowing that a line told of is not so either."""
    if tower is None or main.note != SOWN:
        return ()
    return (EditTower(tower_id=tower.id, name=tower.name, facts=(("sown_on", None),)),)


def _level_only(entry: Entry) -> Entry:
    return Entry(tower=entry.tower, at=entry.at, kind="level", level_l=entry.level_l)


def _last(book: Book) -> tuple[Entry, ...]:
    """What the person told last, when that is not long ago."""
    own = [e for e in book.log if e.mine and e.recorded_at is not None and e.kind != TANK]
    if not own:
        return ()
    at = max(e.recorded_at for e in own if e.recorded_at is not None)
    if book.now - at > _UNDO_WITHIN:
        return ()
    return tuple(e for e in own if e.recorded_at == at)


def history(question: History, book: Book) -> Answer:
    """The log of a tower, newest first.

    Raises
    ------
    Ask, CalcError
    """
    tower = chosen_tower(question, book)
    lines = tuple(reversed(book.entries(tower.name)))
    if not lines:
        raise Ask(clarify("history", line("log.empty", tower=tower.name)))
    pages = -(-len(lines) // _PAGE)
    page = _page(question.page, pages)
    shown = lines[(page - 1) * _PAGE : page * _PAGE]
    rows = tuple(_row(number, e, tower, book) for number, e in enumerate(shown, 1))
    head = line("log.page", tower=tower.name, page=page, pages=pages)
    return Answer(
        outcome="answer",
        intent="history",
        do=(head, *rows),
        offers=(*_turning(question, tower, page, pages), *_taking_back(shown, book)),
    )


def _page(text: str | None, pages: int) -> int:
    if text is None:
        return 1
    number = read_number(text, wanted="page", low=1, high=pages, unit="")
    if number != int(number):
        raise Unreadable(text=text[:20], wanted="page")
    return int(number)


def _row(number: int, entry: Entry, tower: Tower, book: Book) -> Line:
    if entry.mine and not tower.shared_with:  # one hand: no need to say whose
        return line(
            "log.row_own",
            number=number,
            at=when(entry.at, book),
            what=said(entry, tower, book),
        )
    return line(
        "log.row",
        number=number,
        at=when(entry.at, book),
        what=said(entry, tower, book),
        who=(who(entry),),
    )


def _turning(question: History, tower: Tower, page: int, pages: int) -> tuple[Offer, ...]:
    here = replace(question, tower=tower.name)
    offers = []
    if page < pages:
        offers.append(Offer(label=line("button.older"), question=replace(here, page=str(page + 1))))
    if page > 1:
        offers.append(Offer(label=line("button.newer"), question=replace(here, page=str(page - 1))))
    return tuple(offers)


def _taking_back(shown: tuple[Entry, ...], book: Book) -> tuple[Offer, ...]:
    return tuple(
        Offer(label=line("button.take_back", number=number), question=Undo(entry=str(e.id)))
        for number, e in enumerate(shown, 1)
        if e.mine and e.id and book.private
    )
