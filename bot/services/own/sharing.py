"""A tower kept together: shared, left, put away for the winter and taken out again."""

from __future__ import annotations

from dataclasses import replace

from bot.errors import Refusal
from bot.records.answer import Answer, Offer, line
from bot.records.book import Book
from bot.records.changes import JoinTower, LeaveTower, PackTower, ShareTower
from bot.records.questions import Said, TowerJoin, TowerLeave, TowerPack, TowerShare
from bot.services.asking import clarify
from bot.services.choosing import chosen_tower, invitation_offers
from bot.services.facts import named_tower


def share(question: TowerShare, book: Book) -> Answer:
    """One more keeper. The option holds the person's number and name.

    Raises
    ------
    Ask, Refusal
    """
    if not book.in_guild:
        raise Refusal("no.share_in_room", outcome="refuse")
    number, _, name = question.person.partition(" ")
    tower = chosen_tower(question, book)
    if name in tower.shared_with:
        raise Refusal("no.shared_already", outcome="refuse", name=name, tower=tower.name)
    change = ShareTower(tower_id=tower.id, user_id=int(number), name=name[:100])
    return Answer(
        outcome="answer",
        intent="tower",
        do=(line("share.done", tower=tower.name, name=name),),
        check=(line("share.means"),),
        changes=(change,),
    )


def join(question: TowerJoin, book: Book) -> Answer:
    """The invited person's yes or no.

    Raises
    ------
    Refusal
    """
    found = next((i for i in book.invited if str(i.tower_id) == question.invitation), None)
    if found is None:
        raise Refusal("no.invitation_gone", outcome="refuse")
    accept = question.accept == "yes"
    word = "share.joined" if accept else "share.declined"
    return Answer(
        outcome="answer",
        intent="tower",
        do=(line(word, tower=found.tower),),
        changes=(JoinTower(tower_id=found.tower_id, accept=accept),),
    )


def invitations(found: Answer, book: Book) -> Answer:
    """An answer with the invitation that waits, where only the person reads it."""
    if not book.invited or not book.private or found.outcome != "answer":
        return found
    one = book.invited[0]
    word = "share.invited" if one.host else "share.invited_unnamed"
    said = line(word, host=one.host, tower=one.tower)
    offers = (*found.offers, *invitation_offers(one))
    return replace(found, cautions=(*found.cautions, said), offers=offers)


def leave(question: TowerLeave, book: Book) -> Answer:
    """No longer one's own; asked twice, since only another keeper can undo it.

    Raises
    ------
    Ask, Refusal
    """
    tower = chosen_tower(question, book)
    if not tower.shared_with:
        raise Refusal("no.last_keeper", outcome="refuse")
    if question.sure is None:
        here = replace(question, tower=tower.name, sure="yes")
        offers = [
            Offer(label=line("button.leave", tower=tower.name), question=here),
            Offer(label=line("button.stay"), question=Said(word="share.stayed")),
        ]
        names = tuple(line("button.tower", name=name) for name in tower.shared_with)
        return clarify("tower", line("share.sure", tower=tower.name, names=names), offers=offers)
    return Answer(
        outcome="answer",
        intent="tower",
        do=(line("share.left", tower=tower.name),),
        changes=(LeaveTower(tower_id=tower.id),),
    )


def pack(question: TowerPack, book: Book) -> Answer:
    """Put away: no forecasts, no reminders, the log kept; `back` takes it out again.

    Raises
    ------
    Ask, Refusal
    """
    if question.back:
        away = replace(book, towers=book.packed)
        if not book.packed:
            raise Refusal("no.none_packed", outcome="refuse")
        tower = chosen_tower(question, away)
        change = PackTower(tower_id=tower.id, packed=False)
        return Answer(
            outcome="answer",
            intent="tower",
            do=(line("pack.back", tower=tower.name),),
            check=(line("pack.rinse"),),
            changes=(change,),
        )
    if not book.towers and book.packed:
        raise Refusal("no.none_out", outcome="refuse")
    if question.tower and named_tower(question.tower, book) is None and book.packed:
        gone = named_tower(question.tower, replace(book, towers=book.packed))
        if gone is not None:
            raise Refusal("no.packed_already", outcome="refuse", tower=gone.name)
    tower = chosen_tower(question, book)
    back = Offer(label=line("button.take_out"), question=TowerPack(tower=tower.name, back="yes"))
    return Answer(
        outcome="answer",
        intent="tower",
        do=(line("pack.done", tower=tower.name),),
        check=(line("pack.steps"),),
        cautions=(line("pack.unplug"),),
        offers=(back,),
        changes=(PackTower(tower_id=tower.id, packed=True),),
    )
