"""An Answer as a card: the action first, what to expect, then the small print."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from bot.clock import zone_of
from bot.records.answer import (
    Answer,
    Card,
    Form,
    FormCard,
    FormLineCard,
    Line,
    Measure,
    Pours,
    Stamp,
    Value,
    Weekday,
)
from bot.records.book import Book
from bot.records.facts import Member
from bot.render.numbers import day, measure, moment, weekday
from bot.render.pours import said
from bot.text import visible
from bot.words import sentence

_MARKDOWN = str.maketrans({c: "\\" + c for c in "\\*_~`|>#[]()<@:/"})
_SMALL = "-# "
LONGEST = 2000  # characters of a message, the platform's limit
MOST_BUTTONS = 25  # the platform's limit for a message
_AS_IS = ("pH", "ppm")  # never begin with a capital


class _Voice:
    """Says Lines to one reader; `marked`: for a chat that reads markdown."""

    def __init__(self, member: Member, *, marked: bool) -> None:
        self._member = member
        self._marked = marked

    def line(self, spoken: Line) -> str:
        values = {name: self._value(value) for name, value in spoken.values}
        text = sentence(spoken.word).format(**values)
        return text if text.startswith(_AS_IS) else text[:1].upper() + text[1:]

    def lines(self, spoken: Iterable[Line]) -> str:
        return " ".join(self.line(one) for one in spoken)

    def name(self, typed: str) -> str:
        """A person's own words: no question of theirs counts as ours, nothing in them formats."""
        shown = " ".join(visible(typed).replace("?", "").split())
        return shown.translate(_MARKDOWN) if self._marked else shown

    def _value(self, value: Value) -> str:
        match value:
            case Measure():
                return measure(value, self._member)
            case Pours():
                return said(value, self._member, self.name)
            case datetime():
                return moment(value, self._member.units)
            case Stamp():
                return self._stamp(value)
            case Weekday():
                return weekday(value.on)
            case date():
                return day(value)
            case tuple():
                return ", ".join(self._inner(one) for one in value)
            case int():
                return str(value)
            case str():
                return self.name(value)

    def _stamp(self, shown: Stamp) -> str:
        if self._marked:
            return f"<t:{int(shown.at.timestamp())}:{shown.style}>"
        return moment(shown.at.astimezone(zone_of(self._member.time_zone)), self._member.units)

    def _inner(self, spoken: Line) -> str:
        values = {name: self._value(value) for name, value in spoken.values}
        return sentence(spoken.word).format(**values)


def card(answer: Answer, book: Book) -> Card:
    """The card for a chat: bold action, expectation, small print under it, buttons."""
    voice = _Voice(book.member, marked=True)
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
    voice = _Voice(book.member, marked=False)
    parts = [voice.lines(answer.do), voice.lines(answer.expect), *_small_print(answer, voice)]
    return "\n".join(part for part in parts if part)


def label(spoken: Line, book: Book) -> str:
    """A button's label, at most 80 characters."""
    return _Voice(book.member, marked=False).line(spoken)[:80]


def form_card(shown: Form) -> FormCard:
    """A form's texts; they hold no numbers of the person's."""
    voice = _Voice(Member(), marked=False)
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


def _small_print(answer: Answer, voice: _Voice) -> list[str]:
    groups = (("why", answer.why), ("check", answer.check), ("caution", answer.cautions))
    return [
        sentence(f"screen.{heading}").format(text=voice.lines(group))
        for heading, group in groups
        if group
    ]


def waiting_note(user_id: int) -> str:
    """To one whose private messages are closed, in the room: that something waits, and no more."""
    return sentence("room.waiting").format(mention=f"<@{user_id}>")
