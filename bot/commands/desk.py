"""The one way of an answer: asker -> book -> question -> answer -> changes -> card.

A slash command, a sentence, a button and a form all come through here.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import datetime

import discord
import structlog

from bot.chat.send import NotPosted, Sendable, buttons_of, post_pinned
from bot.clock import Clock
from bot.errors import Refusal
from bot.pictures import draw
from bot.records.answer import Answer, Card, File, Line, Offer, Remember, line
from bot.records.book import Book
from bot.records.changes import ForgetMe, TakeUp
from bot.records.people import Asker
from bot.records.questions import (
    Export,
    Forget,
    Harvest,
    History,
    Import,
    NotMine,
    Outage,
    Question,
    Quiet,
    Remind,
    Reminders,
    RemindFile,
    RemindStop,
    Schedule,
    Setup,
    Stock,
    Undo,
    Waiting,
)
from bot.render import card, content_of
from bot.services import answer, correction, numbered, refreshed, refused
from bot.storage import (
    Store,
    Unavailable,
    Writing,
    apply,
    keep_offers,
    load_book,
    named,
    set_welcome,
)

# Questions that need the whole log, counts over the community, or what is reminded of.
_WHOLE = (
    Export, Forget, History, Import, Setup, Undo,
    Remind, Reminders, RemindStop, RemindFile, Schedule, Outage, Harvest, Stock, Quiet, Waiting,
)  # fmt: skip
Ask = Callable[[Book], Question]


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One message, command, press or form of one person.

    pressed: the button behind it, made_at: when that was offered, stale: its readings were left
    out; filled: the form's name; typed: the sentence.
    """

    asker: Asker
    id: int
    client: discord.Client
    remember: tuple[Remember, ...] = ()
    pressed: str | None = None
    made_at: datetime | None = None
    stale: bool = False
    filled: str | None = None
    typed: str | None = None


class Desk:
    """Answers questions from the store at the clock's time."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock
        self._draughtsman = ThreadPoolExecutor(max_workers=1, thread_name_prefix="pictures")

    async def book(self, asker: Asker, *, whole: bool = False) -> Book:
        """What `asker`'s answer may rest on now."""
        return await load_book(self.store, asker, self.clock.now(), whole=whole)

    async def answer(self, visit: Visit, ask: Question | Ask) -> Sendable:
        """Work out, put into words, write what is to be written, and only then say it."""
        try:
            return await self._answer(visit, ask)
        except Refusal as refusal:
            if refusal.word != "no.newer_entry":
                return await self.no(visit.asker, refusal)
        # Another hand was quicker: what it wrote is part of the answer now, and a button may be
        # out of date by it.
        self.store.facts_changed()
        try:
            if visit.made_at is not None and not callable(ask):
                ask, stale = refreshed(ask, visit.made_at, await self.book(visit.asker))
                visit = replace(visit, stale=stale)
            return await self._answer(visit, ask)
        except Refusal as refusal:
            return await self.no(visit.asker, refusal)

    async def no(self, asker: Asker, refusal: Refusal) -> Sendable:
        """A refusal as its sentence."""
        return _said(card(refused(refusal), await self.book(asker)))

    async def _answer(self, visit: Visit, ask: Question | Ask) -> Sendable:
        book = await self.book(visit.asker, whole=isinstance(ask, _WHOLE))
        book = book.believing(**{r.setting: r.value for r in visit.remember})
        question = ask(book) if callable(ask) else ask
        if isinstance(question, _WHOLE) and callable(ask):  # a sentence: known only now
            book = await self.book(visit.asker, whole=True)
        found = _typed_again(answer(question, book, visit.remember), question, visit)
        if book.member.closed and not isinstance(question, Forget):
            # Whoever writes to us can be reached again, or says so when it is tried.
            found = replace(found, changes=(*found.changes, TakeUp()))
        if visit.stale:
            found = replace(found, check=(line("check.stale"), *found.check))
        if visit.typed and not book.private and found.outcome != "clarify":
            found = replace(found, offers=(*found.offers, correction(visit.typed)))
        shown = await self._pictured(card(found, book))
        offers = named([replace(o, question=numbered(o.question, book)) for o in shown.offers])
        try:
            first = await self._write(visit, found, offers, question, book)
        except Unavailable:
            if found.changes:
                raise
            return _said(shown)  # the question stands alone, without buttons
        if not first:
            return _said(shown)  # told twice by the platform: said again, done once
        if any(isinstance(change, ForgetMe) for change in found.changes):
            await self._scrub()
        if found.post is not None and (trouble := await self._post(found, book, visit)):
            return await self.no(visit.asker, Refusal(trouble, outcome="refuse"))
        said = _said(shown, [handle for handle, _ in offers])
        return replace(said, instead=_content(found.instead, book)) if found.instead else said

    async def _pictured(self, shown: Card) -> Card:
        """Pictures drawn beside the loop, one at a time; its words stand alone where one fails."""
        if not shown.drawings:
            return shown
        loop = asyncio.get_running_loop()
        files = list(shown.files)
        for name, drawing in shown.drawings:
            try:
                data = await loop.run_in_executor(self._draughtsman, draw, drawing)
            except Exception:
                structlog.get_logger().exception("picture not drawn", name=name)
                continue
            files.append(File(name=f"{name}.png", data=data, alt=drawing.alt))
        return replace(shown, files=tuple(files), drawings=())

    async def _write(
        self,
        visit: Visit,
        found: Answer,
        offers: Sequence[tuple[str, Offer]],
        question: Question,
        book: Book,
    ) -> bool:
        """Changes, the open question and buttons in one transaction; False when told twice.

        All at the moment that the answer was worked out for: its buttons name lines by it.
        """
        settled = _settles(found, question, book)
        if found.changes or found.awaits or settled:
            writing = Writing(
                changes=found.changes,
                pressed=visit.pressed,
                offers=offers,
                awaits=found.awaits,
                settled=settled,
                member_id=book.member.id,
            )
            try:
                return await apply(self.store, visit.asker, writing, visit.id, book.now)
            except Refusal as refusal:
                # A stranger in private: their open question and settings have nowhere to go.
                lost = len(found.changes) == len(visit.remember)
                if refusal.word != "no.no_home" or not lost:
                    raise
        if offers:
            await keep_offers(self.store, visit.asker, offers, book.now, book.member.id)
        return True

    async def _scrub(self) -> None:
        """What was forgotten is gone already; its traces in the files follow at once, or later."""
        self.store.books.clear()
        try:
            clean = await self.store.compact()
        except Unavailable:
            clean = False
        if not clean:
            structlog.get_logger().warning("files hold traces until the next compaction")

    async def _post(self, found: Answer, book: Book, visit: Visit) -> str | None:
        """The welcome post, changed where it stands or made once; the word of what went wrong."""
        assert found.post is not None
        lines, offers = found.post.lines, found.post.offers
        shown = card(Answer(outcome="post", intent="post", do=lines, offers=offers), book)
        handles = named(shown.offers)
        await keep_offers(self.store, visit.asker, handles, book.now)
        try:
            message_id, pinned = await post_pinned(
                visit.client,
                found.post.room_id,
                _said(shown, [handle for handle, _ in handles]),
                old_id=book.community.welcome_id,
            )
        except NotPosted:
            return "no.cannot_post"
        community_id = book.community.id or (await self.book(visit.asker)).community.id
        await set_welcome(self.store, community_id, message_id)
        return None if pinned else "no.cannot_pin"


def _settles(found: Answer, question: Question, book: Book) -> bool:
    """The answer ends what was asked of this person before."""
    if found.awaits is not None or found.outcome != "answer" or isinstance(question, NotMine):
        return False
    return any(type(o.question) is type(question) for o in book.opened)


def _typed_again(found: Answer, question: Question, visit: Visit) -> Answer:
    """A form that could not be read comes back with what was typed still in it."""
    if visit.filled is None or visit.stale or found.outcome != "clarify":
        return found
    if any(offer.form for offer in found.offers) or (found.intent == "newcomer" and found.offers):
        return found
    again = Offer(label=line("button.type_again"), question=question, form=visit.filled)
    return replace(found, offers=(*found.offers, again))


def _content(lines: tuple[Line, ...], book: Book) -> str:
    """Lines alone as a message's text: the first is what it says, the rest small print."""
    return content_of(
        card(Answer(outcome="answer", intent="post", do=lines[:1], check=lines[1:]), book)
    )


def _said(shown: Card, handles: Sequence[str] = ()) -> Sendable:
    """A card as a message; without handles it has no buttons."""
    if not handles:
        shown = replace(shown, buttons=(), offers=())
    return Sendable(content=content_of(shown), view=buttons_of(shown, handles), files=shown.files)
