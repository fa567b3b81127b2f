"""The one way of an answer: asker -> book -> question -> answer -> changes -> card.

A slash command, a sentence and a button all come through here.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, replace

import discord

from bot.chat.client import busy
from bot.chat.place import asker_of
from bot.chat.send import Prompt, buttons_of, content_of
from bot.clock import Clock
from bot.commands.trouble import caught
from bot.errors import Refusal
from bot.records.answer import Answer, Card, Offer, Remember
from bot.records.book import Book
from bot.records.people import Asker
from bot.records.questions import Question
from bot.render import card
from bot.services import answer, refused
from bot.storage import (
    Store,
    Unavailable,
    apply,
    find_offer,
    keep_offers,
    load_book,
    named,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """What to send."""

    content: str
    view: discord.ui.View | None


class Desk:
    """Answers questions from the store at the clock's time."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self._store = store
        self._clock = clock

    async def book(self, asker: Asker) -> Book:
        """What `asker`'s answer may rest on now."""
        return await load_book(self._store, asker, self._clock.now())

    async def answer(
        self,
        asker: Asker,
        ask: Callable[[Book], Question],
        interaction_id: int,
        remember: Sequence[Remember] = (),
    ) -> Reply:
        """Work out, put into words, write what is to be written, and only then say it."""
        book = (await self.book(asker)).believing(**{r.setting: r.value for r in remember})
        found = answer(ask(book), book, remember)
        shown = card(found, book)
        offers = named(shown.offers)
        try:
            await self._write(asker, found, offers, interaction_id)
        except Refusal as refusal:
            if refusal.word == "no.no_home" and len(found.changes) == len(remember):
                return _said(replace(shown, buttons=(), offers=()), ())  # only a setting is lost
            return _said(card(refused(refusal), book), ())
        except Unavailable:
            if found.changes:
                raise
            return _said(replace(shown, buttons=(), offers=()), ())  # the question stands alone
        return _said(shown, [handle for handle, _ in offers])

    async def _write(
        self, asker: Asker, found: Answer, offers: Sequence[tuple[str, Offer]], interaction_id: int
    ) -> None:
        """Changes and buttons in one transaction, once for an interaction."""
        now = self._clock.now()
        if found.changes:
            await apply(self._store, asker, found.changes, interaction_id, now, offers)
        elif offers:
            await keep_offers(self._store, asker, offers, now)

    async def press(self, asker: Asker, key: str, interaction_id: int) -> Reply:
        """The answer behind a button; one sentence for every kind of button that is not good."""
        offer = await find_offer(self._store, asker, key, self._clock.now())
        if offer is None:
            refusal = refused(Refusal("no.not_yours", outcome="refuse"))
            return _said(card(refusal, await self.book(asker)), ())
        question = offer.question
        return await self.answer(asker, lambda book: question, interaction_id, offer.remember)

    async def reply(self, interaction: discord.Interaction, question: Question) -> None:
        """Answer a slash command, to its asker only."""
        asker = asker_of(interaction)
        await prompted(interaction, self.answer(asker, lambda book: question, interaction.id))

    async def pressed(self, interaction: discord.Interaction, key: str) -> None:
        """Answer a button, to the one who pressed it only."""
        await prompted(interaction, self.press(asker_of(interaction), key, interaction.id))


def _said(shown: Card, handles: Sequence[str]) -> Reply:
    return Reply(content=content_of(shown), view=buttons_of(shown, handles))


async def prompted(interaction: discord.Interaction, work: Awaitable[Reply]) -> None:
    """Send what `work` comes to, in the platform's time, or a calm sentence when it fails."""
    prompt = Prompt(interaction)
    with busy(interaction.client):
        try:
            reply = await work
        except Exception as error:
            reply = Reply(content=caught(error), view=None)
        await prompt.send(reply.content, reply.view)
