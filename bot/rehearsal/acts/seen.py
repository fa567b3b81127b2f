"""What a person sees of the bot, as plain records."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from bot.rehearsal.rules.components import BUTTON, SELECTS, TEXT, walk
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.world import Message, StoredFile

Where = Literal["room", "private", "only you"]


class Refused(Exception):
    """The platform refuses what the person tried, in one clear line; nothing was sent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """A button under a message."""

    label: str
    custom_id: str | None
    style: int
    disabled: bool
    url: str | None = None
    emoji: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Select:
    """A select menu under a message; `options` are (label, value)."""

    custom_id: str
    placeholder: str
    options: tuple[tuple[str, str], ...]
    disabled: bool
    kind: int = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A field of a form; `options` are (label, value) where there are any."""

    label: str
    custom_id: str
    required: bool
    value: str
    kind: int
    placeholder: str = ""
    description: str = ""
    min_length: int = 0
    max_length: int = 4000
    options: tuple[tuple[str, str], ...] = ()
    long: bool = False
    least: int = 1
    most: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A message or a form, as one person sees it."""

    kind: Literal["message", "form"]
    where: Where
    id: int = 0
    content: str = ""
    buttons: list[Button] = field(default_factory=list)
    selects: list[Select] = field(default_factory=list)
    text: str = ""
    files: list[StoredFile] = field(default_factory=list)
    edited: bool = False
    title: str = ""
    custom_id: str = ""
    fields: list[Field] = field(default_factory=list)
    raw: Json = field(default_factory=dict)
    channel_id: int = 0
    interaction_id: int = 0


def message_seen(message: Message, payload: Json, *, edited: bool) -> Seen:
    """A message as it stands now."""
    parts = list(walk(message.components))
    where: Where = "private" if message.channel.private else "room"
    content = message.content
    if message.loading:
        content = f"{message.author['username']} is thinking..."
    return Seen(
        kind="message",
        where="only you" if message.ephemeral else where,
        id=message.id,
        content=content,
        buttons=[_button(part) for part in parts if part["type"] == BUTTON],
        selects=[_select(part) for part in parts if part["type"] in SELECTS],
        text="\n".join(text for text in (content, *_texts(message)) if text),
        files=list(message.files),
        edited=edited,
        raw=payload,
        channel_id=message.channel.id,
    )


def silence(channel_id: int) -> Seen:
    """What the person sees when the bot gave no answer in time."""
    text = "The application did not respond"
    return Seen(kind="message", where="only you", content=text, text=text, channel_id=channel_id)


def form_seen(data: Json, *, channel_id: int, interaction_id: int) -> Seen:
    """A form that opened for the person."""
    components = data["components"]
    shown = [part["content"] for part in components if part["type"] == TEXT]
    return Seen(
        kind="form",
        where="only you",
        title=data["title"],
        custom_id=data["custom_id"],
        fields=list(_fields(components)),
        text="\n".join([data["title"], *shown]),
        raw=data,
        channel_id=channel_id,
        interaction_id=interaction_id,
    )


def _texts(message: Message) -> Iterator[str]:
    for embed in message.embeds:
        yield embed.get("title") or ""
        yield embed.get("description") or ""
        for entry in embed.get("fields") or []:
            yield f"{entry['name']}: {entry['value']}"
        yield (embed.get("footer") or {}).get("text") or ""
    for part in walk(message.components):
        if part["type"] == TEXT:
            yield part["content"]


def _button(part: Json) -> Button:
    emoji = part.get("emoji") or {}
    return Button(
        label=part.get("label") or "",
        custom_id=part.get("custom_id"),
        style=part["style"],
        disabled=bool(part.get("disabled")),
        url=part.get("url"),
        emoji=emoji.get("name"),
    )


def _select(part: Json) -> Select:
    return Select(
        custom_id=part["custom_id"],
        placeholder=part.get("placeholder") or "",
        options=_pairs(part),
        disabled=bool(part.get("disabled")),
        kind=part["type"],
    )


def _pairs(part: Json) -> tuple[tuple[str, str], ...]:
    return tuple((option["label"], option["value"]) for option in part.get("options") or [])


def _fields(components: list[Json]) -> Iterator[Field]:
    for top in components:
        if top["type"] == TEXT:
            continue
        inner = top["component"] if "component" in top else top["components"][0]
        default = [o["value"] for o in inner.get("options") or [] if o.get("default")]
        yield Field(
            label=top.get("label") or inner.get("label") or "",
            custom_id=inner["custom_id"],
            required=bool(inner.get("required", True)),
            value=inner.get("value") or ",".join(default),
            kind=inner["type"],
            placeholder=inner.get("placeholder") or "",
            description=top.get("description") or "",
            min_length=inner.get("min_length") or 0,
            max_length=inner.get("max_length") or 4000,
            options=_pairs(inner),
            long=inner.get("style") == 2,
            least=inner.get("min_values", 1),
            most=inner.get("max_values", 1),
        )
