"""The one way of an answer: asker -> book -> question -> answer -> changes -> card.

A slash command, a sentence, a button and a form all come through here.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import discord
import structlog

from bot.chat.client import busy
from bot.chat.forms import modal
from bot.chat.place import asker_of
from bot.chat.send import NotPosted, Prompt, Sendable, buttons_of, content_of, post_pinned
from bot.clock import Clock
from bot.commands.trouble import caught
from bot.errors import Refusal
from bot.records.answer import Answer, Card, Form, Offer, Remember, line
from bot.records.book import Book
from bot.records.changes import ForgetMe
from bot.records.people import Asker
from bot.records.questions import (
    Export,
    Forget,
    History,
    Import,
    NotMine,
    Question,
    Setup,
    with_fields,
)
from bot.render import card, form_card
from bot.services import answer, form, refreshed, refused
from bot.storage import (
    Store,
    Unavailable,
    Writing,
    apply,
    find_offer,
    keep_offers,
    load_book,
    named,
    scrub,
    set_welcome,
)

_WHOLE = (Export, Forget, History, Import, Setup)
Ask = Callable[[Book], Question]


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One message, command, press or form of one person.

    pressed: the button behind it, made_at its age; filled: the form's name.
    """

    asker: Asker
    id: int
    remember: tuple[Remember, ...] = ()
    pressed: str | None = None
    stale: bool = False
    filled: str | None = None


class Desk:
    """Answers questions from the store at the clock's time."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self._store = store
        self._clock = clock

    async def book(self, asker: Asker, *, whole: bool = False) -> Book:
        """What `asker`'s answer may rest on now."""
        return await load_book(self._store, asker, self._clock.now(), whole=whole)

    async def answer(self, visit: Visit, ask: Question | Ask, client: discord.Client) -> Sendable:
        """Work out, put into words, write what is to be written, and only then say it."""
        try:
            return await self._answer(visit, ask, client)
        except Refusal as refusal:
            if refusal.word != "no.newer_entry":
                raise
            # Another hand was quicker; what it wrote is part of the answer now.
            self._store.facts_changed()
        try:
            return await self._answer(visit, ask, client)
        except Refusal as refusal:
            return _said(card(refused(refusal), await self.book(visit.asker)), ())

    async def _answer(self, visit: Visit, ask: Question | Ask, client: discord.Client) -> Sendable:
        whole = isinstance(ask, _WHOLE)
        book = await self.book(visit.asker, whole=whole)
        book = book.believing(**{r.setting: r.value for r in visit.remember})
        question = ask(book) if callable(ask) else ask
        found = answer(question, book, visit.remember)
        found = _typed_again(found, question, visit)
        if visit.stale:
            found = replace(found, check=(line("check.stale"), *found.check))
        shown = card(found, book)
        offers = named(shown.offers)
        try:
            first = await self._write(
                visit, found, offers, _settles(found, question, book), book.now
            )
            if not first:  # told twice by the platform: said again, done once
                return _said(replace(shown, buttons=(), offers=()), ())
        except Refusal as refusal:
            if refusal.word == "no.newer_entry":
                raise
            if refusal.word == "no.no_home" and len(found.changes) == len(visit.remember):
                return _said(replace(shown, buttons=(), offers=()), ())  # only a setting is lost
            return _said(card(refused(refusal), book), ())
        except Unavailable:
            if found.changes:
                raise
            return _said(replace(shown, buttons=(), offers=()), ())  # the question stands alone
        if any(isinstance(change, ForgetMe) for change in found.changes):
            await self._scrub()
        if found.post is not None:
            try:
                await self._post(found, book, visit.asker, client)
            except NotPosted:
                return _said(card(refused(Refusal("no.cannot_post", outcome="refuse")), book), ())
        return _said(shown, [handle for handle, _ in offers])

    async def _write(
        self,
        visit: Visit,
        found: Answer,
        offers: Sequence[tuple[str, Offer]],
        settled: bool,
        now: datetime,
    ) -> bool:
        """Changes, the open question and buttons in one transaction, once for an interaction.

        now: the moment that the answer was worked out for; its buttons name lines by it.
        """
        if found.changes or found.awaits or settled:
            writing = Writing(
                changes=found.changes,
                pressed=visit.pressed,
                offers=offers,
                awaits=found.awaits,
                settled=settled,
            )
            try:
                return await apply(self._store, visit.asker, writing, visit.id, now)
            except Refusal as refusal:
                if refusal.word != "no.no_home" or found.changes:
                    raise
        if offers:
            await keep_offers(self._store, visit.asker, offers, now)
        return True

    async def _scrub(self) -> None:
        """What was forgotten is gone already; its traces in the file follow at once, or later."""
        self._store.books.clear()
        try:
            await scrub(self._store)
        except Unavailable as error:
            structlog.get_logger().warning("file not compacted yet", reason=str(error))

    async def _post(self, found: Answer, book: Book, asker: Asker, client: discord.Client) -> None:
        """The pinned post: changed where it stands already, else made, once."""
        assert found.post is not None
        shown = card(
            Answer(outcome="post", intent="post", do=found.post.lines, offers=found.post.offers),
            book,
        )
        offers = named(shown.offers)
        await keep_offers(self._store, asker, offers, self._clock.now())
        message_id = await post_pinned(
            client,
            found.post.room_id,
            _said(shown, [handle for handle, _ in offers]),
            old_id=book.community.welcome_id,
        )
        community_id = book.community.id or (await self.book(asker)).community.id
        await set_welcome(self._store, community_id, message_id)

    async def press(
        self, asker: Asker, key: str, interaction_id: int, client: discord.Client
    ) -> Sendable | Form:
        """The answer behind a button, or its form; one sentence for every kind that is not good."""
        found = await find_offer(self._store, asker, key, self._clock.now())
        if found is None:
            return await self._not_good(asker, "no.not_yours")
        if found.used:
            return await self._not_good(asker, "no.used")
        book = await self.book(asker)
        question, stale = refreshed(found.offer.question, found.made_at, book)
        if found.offer.form is not None and not stale:
            return form(found.offer.form, question)
        visit = Visit(
            asker=asker,
            id=interaction_id,
            remember=found.offer.remember,
            pressed=key,
            stale=stale,
        )
        return await self.answer(visit, question, client)

    async def fill(
        self,
        asker: Asker,
        key: str,
        typed: dict[str, str],
        interaction_id: int,
        client: discord.Client,
    ) -> Sendable:
        """The answer to a form as filled in."""
        found = await find_offer(self._store, asker, key, self._clock.now())
        if found is None or found.offer.form is None:
            return await self._not_good(asker, "no.not_yours")
        if found.used:
            return await self._not_good(asker, "no.used")
        question, stale = refreshed(found.offer.question, found.made_at, await self.book(asker))
        if not stale:
            question = with_fields(found.offer.question, typed)
        visit = Visit(
            asker=asker,
            id=interaction_id,
            pressed=key,
            stale=stale,
            filled=found.offer.form,
        )
        return await self.answer(visit, question, client)

    async def _not_good(self, asker: Asker, word: str) -> Sendable:
        return _said(card(refused(Refusal(word, outcome="refuse")), await self.book(asker)), ())

    async def has_one(self, interaction: discord.Interaction, tower: str | None) -> bool:
        """It is clear which tower is meant, so that a form can be shown at once."""
        towers = (await self.book(asker_of(interaction))).towers
        return len(towers) == 1 if tower is None else any(t.name == tower for t in towers)

    async def open_form(
        self, interaction: discord.Interaction, question: Question, name: str
    ) -> None:
        """Show a form at once, for a command given without its options."""
        asker = asker_of(interaction)
        offer = Offer(label=line("button.text", text=""), question=question, form=name)
        offers = named([offer])
        prompt = Prompt(interaction)
        try:
            await keep_offers(self._store, asker, offers, self._clock.now())
        except Exception as error:
            await prompt.send(Sendable(content=caught(error)))
            return
        await prompt.show_form(modal(offers[0][0], form_card(form(name, question))))

    async def reply(self, interaction: discord.Interaction, question: Question) -> None:
        """Answer a slash command, to its asker only."""
        visit = Visit(asker=asker_of(interaction), id=interaction.id)
        await prompted(interaction, self.answer(visit, question, interaction.client))

    async def pressed(self, interaction: discord.Interaction, key: str) -> None:
        """Answer a button, to the one who pressed it only."""
        asker = asker_of(interaction)
        await prompted(interaction, self.press(asker, key, interaction.id, interaction.client), key)

    async def filled(
        self, interaction: discord.Interaction, key: str, typed: dict[str, str]
    ) -> None:
        """Answer a form, to the one who filled it in only."""
        asker = asker_of(interaction)
        work = self.fill(asker, key, typed, interaction.id, interaction.client)
        await prompted(interaction, work)


def _settles(found: Answer, question: Question, book: Book) -> bool:
    """The answer ends what was asked of this person before."""
    if found.awaits is not None or found.outcome != "answer" or isinstance(question, NotMine):
        return False
    return any(type(o.question) is type(question) for o in book.opened)


def _typed_again(found: Answer, question: Question, visit: Visit) -> Answer:
    """A form that could not be read comes back with what was typed still in it."""
    if visit.filled is None or found.outcome not in ("clarify", "refuse"):
        return found
    if any(offer.form for offer in found.offers) or (found.intent == "newcomer" and found.offers):
        return found
    again = Offer(label=line("button.type_again"), question=question, form=visit.filled)
    return replace(found, offers=(*found.offers, again))


def _said(shown: Card, handles: Sequence[str]) -> Sendable:
    return Sendable(content=content_of(shown), view=buttons_of(shown, handles), files=shown.files)


async def prompted(
    interaction: discord.Interaction, work: Awaitable[Sendable | Form], key: str = ""
) -> None:
    """Send what `work` comes to, in the platform's time, or a calm sentence when it fails."""
    prompt = Prompt(interaction)
    with busy(interaction.client):
        try:
            reply = await work
            if isinstance(reply, Form):
                await prompt.show_form(modal(key, form_card(reply)))
                return
        except Exception as error:
            reply = Sendable(content=caught(error))
        await prompt.send(reply)
