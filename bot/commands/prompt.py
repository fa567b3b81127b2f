"""Interactions: a command answered, a button pressed, a form opened and filled, each in time."""

from __future__ import annotations

from collections.abc import Awaitable
from dataclasses import dataclass, replace

import discord

from bot.chat.client import busy
from bot.chat.forms import modal
from bot.chat.place import asker_of
from bot.chat.send import Prompt, Sendable
from bot.commands.desk import Desk, Visit
from bot.commands.trouble import caught
from bot.errors import Refusal
from bot.records.answer import Form, Offer, line
from bot.records.people import Asker
from bot.records.questions import Question, with_fields
from bot.render import form_card
from bot.services import form, form_fields, may_open, refreshed
from bot.storage import find_offer, keep_offers, named
from bot.words import sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A form to show, under its handle."""

    key: str
    form: Form


async def prompted(interaction: discord.Interaction, work: Awaitable[Sendable | Opened]) -> None:
    """Send what `work` comes to, in the platform's time, or a calm sentence when it fails."""
    prompt = Prompt(interaction)
    with busy(interaction.client):
        try:
            reply = await work
            if isinstance(reply, Opened):
                shown = modal(reply.key, form_card(reply.form))
                await prompt.show_form(shown, sentence("screen.press_again"))
                return
        except Exception as error:
            reply = Sendable(content=caught(error))
        await prompt.send(reply)


async def reply(desk: Desk, interaction: discord.Interaction, question: Question) -> None:
    """Answer a slash command, to its asker only."""
    visit = Visit(asker=asker_of(interaction), id=interaction.id, client=interaction.client)
    await prompted(interaction, desk.answer(visit, question))


async def reply_or_form(
    desk: Desk, interaction: discord.Interaction, question: Question, name: str
) -> None:
    """A form for a command given without its options, once it is clear which tower."""
    await prompted(interaction, _answered_or_form(desk, interaction, question, name))


async def _answered_or_form(
    desk: Desk, interaction: discord.Interaction, question: Question, name: str
) -> Sendable | Opened:
    asker = asker_of(interaction)
    book = await desk.book(asker)
    tower = getattr(question, "tower", None)
    known = len(book.towers) == 1 if tower is None else any(t.name == tower for t in book.towers)
    if not known:
        visit = Visit(asker=asker, id=interaction.id, client=interaction.client)
        return await desk.answer(visit, question)
    offers = named([Offer(label=line("button.text", text=""), question=question, form=name)])
    await keep_offers(desk.store, asker, offers, book.now, book.member.id)
    return Opened(key=offers[0][0], form=form(name, question))


async def pressed(desk: Desk, interaction: discord.Interaction, key: str) -> None:
    """Answer a button, to the one who pressed it only."""
    await prompted(interaction, _press(desk, interaction, asker_of(interaction), key, None))


async def filled(
    desk: Desk, interaction: discord.Interaction, key: str, typed: dict[str, str]
) -> None:
    """Answer a form, to the one who filled it in only."""
    await prompted(interaction, _press(desk, interaction, asker_of(interaction), key, typed))


async def _press(
    desk: Desk,
    interaction: discord.Interaction,
    asker: Asker,
    key: str,
    typed: dict[str, str] | None,
) -> Sendable | Opened:
    """What is behind a button, or its form; one sentence for every kind that is not good.

    typed: the lines of the form that it opened.
    """
    found = await find_offer(desk.store, asker, key, desk.clock.now())
    if found is None or (typed is not None and found.offer.form is None):
        return await desk.no(asker, Refusal("no.not_yours", outcome="refuse"))
    if found.used:
        return await desk.no(asker, Refusal("no.used", outcome="refuse"))
    asker = replace(asker, community_id=found.community_id)
    name = found.offer.form
    try:
        question, stale = refreshed(found.offer.question, found.made_at, await desk.book(asker))
    except Refusal as refusal:
        return await desk.no(asker, refusal)
    if name is not None and not stale:
        if typed is None:
            try:
                may_open(question, await desk.book(asker))
            except Refusal as refusal:
                return await desk.no(asker, refusal)
            return Opened(key=key, form=form(name, question))
        # Only the lines of this form: whatever else is sent was never asked.
        question = with_fields(question, {f: typed.get(f, "") for f in form_fields(name)})
    visit = Visit(
        asker=asker,
        id=interaction.id,
        client=interaction.client,
        remember=found.offer.remember,
        pressed=key,
        made_at=found.made_at,
        stale=stale,
        filled=name if typed is not None else None,
    )
    return await desk.answer(visit, question)
