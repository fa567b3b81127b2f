"""Which of one's towers a question is about, where the question may not be guessed."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from bot.records.answer import Answer, Line, Offer, line
from bot.records.book import Book, Invitation
from bot.records.facts import Tower
from bot.records.questions import (
    Away,
    ChangeDue,
    Check,
    Clean,
    Convert,
    Door,
    Forecast,
    Harvest,
    Heat,
    History,
    Lamp,
    LastFed,
    Leak,
    Log,
    MoveIn,
    Outage,
    Ph,
    Picture,
    Plan,
    PortClear,
    PortMove,
    PortPlant,
    Ports,
    Source,
    Start,
    Timer,
    TowerEdit,
    TowerJoin,
    TowerLeave,
    TowerPack,
    TowerShare,
    TowerShow,
    packed,
)
from bot.services.asking import Ask, clarify
from bot.services.facts import named_tower

Choosing = TypeVar(
    "Choosing", Log, History, Check, Timer, Lamp, TowerEdit, TowerShow, TowerLeave, TowerPack,
    TowerShare, Door, Ph, Source, Heat, Outage, Clean, Away, Forecast, Leak, ChangeDue, Ports,
    PortPlant, PortMove, PortClear, Harvest, Plan, LastFed, Picture, MoveIn, Convert,
)  # fmt: skip


def chosen_tower(question: Choosing, book: Book) -> Tower:
    """The tower that `question` names, or the only one.

    Raises
    ------
    Ask
        None yet: the set-up begins and keeps the question; several, or an unknown name.
    """
    if not book.towers:
        raise Ask(begun(book, Start(then=packed(question))))
    if question.tower:
        found = named_tower(question.tower, book)
        if found is None:
            raise Ask(which(question, book, unknown=question.tower))
        return found
    if len(book.towers) == 1:
        return book.towers[0]
    raise Ask(which(question, book))


def tower_or_none(question: Choosing, book: Book) -> Tower | None:
    """The tower that `question` names, or the only one; None where the text must do without.

    Raises
    ------
    Ask, Refusal
    """
    if question.tower or len(book.towers) == 1:
        return chosen_tower(question, book)
    return None


def which(question: Choosing, book: Book, unknown: str | None = None) -> Answer:
    """Which of several towers, a button each."""
    names = tuple(line("button.tower", name=t.name) for t in book.towers)
    offers = [
        Offer(label=label, question=replace(question, tower=tower.name))
        for label, tower in zip(names, book.towers, strict=True)
    ]
    asked = (
        line("ask.tower_unknown", name=unknown, towers=names)
        if unknown
        else line("ask.tower", towers=names)
    )
    return clarify("which_tower", asked, offers=offers)


def begun(book: Book, question: Start) -> Answer:
    """The set-up's door: its first question in private, only its button where others read."""
    from bot.services.newcomer.start import start  # the set-up itself asks these questions

    begin = Offer(label=line("button.start"), question=replace(question, again="yes"))
    if book.packed:
        back = [
            Offer(label=line("button.take_out"), question=TowerPack(tower=t.name, back="yes"))
            for t in book.packed[:1]
        ]
        names = tuple(line("button.tower", name=t.name) for t in book.packed)
        return clarify("newcomer", line("pack.all", names=names), offers=back)
    if book.private and book.invited:
        one = book.invited[0]
        asked = line("share.ask", host=(_host(one.host),), tower=one.tower)
        return clarify("newcomer", asked, offers=(*invitation_offers(one), begin))
    if book.private:
        return start(question, book)
    return clarify("newcomer", line("start.here"), offers=[begin])


def _host(name: str) -> Line:
    return line("log.other", name=name) if name else line("share.somebody")


def invitation_offers(one: Invitation) -> tuple[Offer, Offer]:
    """Yes or no to keeping a tower together."""
    key = str(one.tower_id)
    return (
        Offer(
            label=line("button.keep_too", tower=one.tower),
            question=TowerJoin(invitation=key, accept="yes"),
        ),
        Offer(label=line("button.no_thanks"), question=TowerJoin(invitation=key, accept="no")),
    )
