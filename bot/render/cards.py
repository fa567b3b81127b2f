"""An Answer as a card: the action first, what to expect, then the small print."""

from __future__ import annotations

from bot.records.answer import (
    Answer,
    Card,
    Form,
    FormCard,
    FormLineCard,
    Line,
    Pours,
)
from bot.records.book import Book
from bot.records.facts import Member
from bot.render.drawn import drawing
from bot.render.voice import Voice
from bot.words import sentence

_SMALL = "-# "
LONGEST = 2000  # characters of a message, the platform's limit
MOST_BUTTONS = 25  # the platform's limit for a message


def card(answer: Answer, book: Book) -> Card:
    """The card for a chat: bold action, expectation, small print under it, buttons."""
    voice = Voice(book.member, marked=True)
    lines = [
        f"**{voice.line(one)}**" if _is_action(answer, at, one) else voice.line(one)
        for at, one in enumerate(answer.do)
    ]
    if answer.intent == "tower":
        lines += [voice.line(one) for one in answer.expect]
    elif answer.expect:
        lines.append(voice.lines(answer.expect))
    small = [_SMALL + text for text in _small_print(answer, voice)]
    return Card(
        text="\n".join(lines),
        small="\n".join(small),
        buttons=tuple(label(offer.label, book) for offer in answer.offers[:MOST_BUTTONS]),
        offers=answer.offers[:MOST_BUTTONS],
        files=answer.files,
        drawings=tuple((picture.name, drawing(picture, book)) for picture in answer.pictures),
    )


def content_of(card: Card) -> str:
    """A card's text; the small print gives way where both would not fit."""
    whole = f"{card.text}\n{card.small}" if card.small else card.text
    if len(whole) <= LONGEST:
        return whole
    kept = card.text if len(card.text) <= LONGEST else card.text[: LONGEST - 1] + "…"
    for line in reversed(card.small.splitlines()):  # cautions and guesses before the arithmetic
        if len(kept) + 1 + len(line) <= LONGEST:
            kept += "\n" + line
    return kept


def plain(answer: Answer, book: Book) -> str:
    """The same in plain text, one sentence after another, for a terminal and `ask`."""
    voice = Voice(book.member, marked=False)
    parts = [voice.lines(answer.do), voice.lines(answer.expect), *_small_print(answer, voice)]
    return "\n".join(part for part in parts if part)


def label(spoken: Line, book: Book) -> str:
    """A button's label, at most 80 characters."""
    return Voice(book.member, marked=False).line(spoken)[:80]


def form_card(shown: Form) -> FormCard:
    """A form's texts; they hold no numbers of the person's."""
    voice = Voice(Member(), marked=False)
    return FormCard(
        title=voice.line(shown.title),
        lines=tuple(
            FormLineCard(
                field=one.field,
                label=voice.line(one.label),
                hint=voice.line(one.hint) if one.hint else "",
                value=one.value,
                required=one.required,
                long=one.long,
                choices=tuple((c.value, voice.line(c.label)) for c in one.choices),
            )
            for one in shown.lines
        ),
    )


def _is_action(answer: Answer, at: int, spoken: Line) -> bool:
    if answer.outcome != "answer":
        return False
    return at == 0 or (
        spoken.word == "topup.pour" and any(isinstance(v, Pours) for _, v in spoken.values)
    )


def _small_print(answer: Answer, voice: Voice) -> list[str]:
    groups = (("why", answer.why), ("check", answer.check), ("caution", answer.cautions))
    return [
        sentence(f"screen.{heading}").format(text=voice.lines(group))
        for heading, group in groups
        if group
    ]


def waiting_note(user_id: int) -> str:
    """To one whose private messages are closed, in the room: that something waits, and no more."""
    return sentence("room.waiting").format(mention=f"<@{user_id}>")
