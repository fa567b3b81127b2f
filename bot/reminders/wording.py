"""What a post says, worked out when it is sent: facts may be others than when it fell due."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime

import structlog

from bot.clock import quiet_until
from bot.records.answer import Answer, Offer
from bot.records.book import Book
from bot.records.facts import Member
from bot.records.people import Asker
from bot.records.reminders import NOTE, TROUBLE, WEEK, Body, Claimed, Debt, Recipient
from bot.render import card, content_of, waiting_note
from bot.services import numbered, say, say_in_room
from bot.storage import Store, load_book, named
from bot.storage.reminding.freezing import Frozen

_PLAIN = (NOTE, TROUBLE)


async def worded(store: Store, claimed: Claimed, now: datetime) -> Frozen:
    """The post as it is to be sent; without a body when nothing of it serves any more.

    One debt that cannot be put into words is set aside: the others are said.
    """
    book = None if claimed.to.user_id is None else await _book(store, claimed, now)
    try:
        return _said(claimed, claimed.debts, book, now)
    except Exception:
        structlog.get_logger().exception("no words for a post", post=claimed.id)
    good: list[Debt] = []
    for debt in claimed.debts:
        with suppress(Exception):  # its traceback stands in the log above
            _said(claimed, [debt], book, now)
            good.append(debt)
    failed = tuple(debt.id for debt in claimed.debts if debt not in good)
    if not good:
        return Frozen(post=claimed, body=None, failed=failed)
    return replace(_said(claimed, good, book, now), failed=failed)


def _said(claimed: Claimed, debts: Sequence[Debt], book: Book | None, now: datetime) -> Frozen:
    if book is None:
        return _for_room(claimed, debts, now)
    message = say(debts, book)
    if message.answer is None:
        return Frozen(post=claimed, body=None, void=message.void)
    return _frozen(claimed, message.answer, book, message.void)


def _for_room(claimed: Claimed, debts: Sequence[Debt], now: datetime) -> Frozen:
    book = Book(now=now, member=Member(time_zone=claimed.to.time_zone))
    shown = card(say_in_room(debts, now), book)
    return Frozen(post=claimed, body=Body(content=content_of(shown)))


def _frozen(claimed: Claimed, answer: Answer, book: Book, void: tuple[int, ...]) -> Frozen:
    shown = card(answer, book)
    # A button keeps its tower by number, whatever it is called when it is pressed.
    offers = named([_by_number(offer, book) for offer in shown.offers])
    body = Body(
        content=content_of(shown),
        buttons=tuple((key, label) for (key, _), label in zip(offers, shown.buttons, strict=True)),
        silent=_silent(claimed, book.now),
    )
    return Frozen(post=claimed, body=body, void=void, offers=offers)


def _by_number(offer: Offer, book: Book) -> Offer:
    return replace(offer, question=numbered(offer.question, book))


async def _book(store: Store, claimed: Claimed, now: datetime) -> Book:
    """The person's Book; their name, units and clock are enough for their own words."""
    to = claimed.to
    if all(d.rule.what in _PLAIN and d.rule.tower_id is None for d in claimed.debts):
        return Book(now=now, member=_member(to))
    asker = Asker(user_id=to.user_id or 0, name=to.name, guild_id=to.guild_id, private=True)
    whole = any(d.rule.what == WEEK for d in claimed.debts)  # the week names one's reminders too
    return await load_book(store, asker, now, whole=whole)


def _member(to: Recipient) -> Member:
    return Member(id=to.member_id, name=to.name, units=to.units, time_zone=to.time_zone)


def _silent(claimed: Claimed, now: datetime) -> bool:
    """An hour that somebody chose inside their quiet hours: it comes, without a sound."""
    return quiet_until(now, claimed.to.time_zone, *claimed.to.quiet) is not None


def note_for(claimed: Claimed) -> Body | None:
    """What the room may be told when somebody's private messages are closed: no word of theirs."""
    user_id = claimed.to.user_id
    return None if user_id is None else Body(content=waiting_note(user_id), mention=user_id)
