"""Option types and texts that commands share, and completion of a person's own names."""

from __future__ import annotations

from collections.abc import Callable, Coroutine, Iterable
from typing import Any, TypeVar

import discord
from discord import app_commands

from bot.chat.place import asker_of
from bot.commands.desk import Desk
from bot.commands.trouble import caught
from bot.records.book import Book
from bot.records.questions import Question
from bot.services import SPARE_PUMP, crop_names, port_name
from bot.storage import Unavailable
from bot.words import sentence

Typed = app_commands.Range[str, 1, 80]
Name = app_commands.Range[str, 1, 32]
Place = app_commands.Choice[str]

_MOST = 25
Asked = TypeVar("Asked", bound=Question)
Completer = Callable[
    [discord.Interaction, str], Coroutine[Any, Any, list[app_commands.Choice[str]]]
]


def described(*names: str, **other: str) -> dict[str, str]:
    """Option name -> its description; `new=...` where an option's text has another name."""
    texts = {name: sentence(f"option.{name}") for name in names}
    return texts | {name: sentence(f"option.{text}") for name, text in other.items()}


def choices(*keys: str, prefix: str = "") -> list[app_commands.Choice[str]]:
    """Fixed choices, their labels from the words."""
    return [app_commands.Choice(name=sentence(f"choice.{prefix}{key}"), value=key) for key in keys]


def asked(kind: type[Asked], interaction: discord.Interaction) -> Asked:
    """The question whose fields are the command's options, as typed."""
    return kind(**dict(iter(interaction.namespace)))


def own_towers(desk: Desk) -> Completer:
    """Completes the asker's own tower names."""
    return _completing(desk, lambda book: [tower.name for tower in book.towers])


def known_feeds(desk: Desk) -> Completer:
    """Completes the community's feeds."""
    return _completing(desk, lambda book: [feed.name for feed in book.feeds])


def known_crops(desk: Desk) -> Completer:
    """Completes the table's crops, those that grow with the asker first."""

    def named(book: Book) -> list[str]:
        return list(dict.fromkeys((*(p.crop for p in book.plantings), *crop_names())))

    return _completing(desk, named)


def own_ports(desk: Desk) -> Completer:
    """Completes ports that hold something, by name."""
    return _completing(desk, lambda book: [port_name((p.level, p.port)) for p in book.plantings])


def own_items(desk: Desk) -> Completer:
    """Completes what the asker counts at home, and the parts of their feeds."""

    def named(book: Book) -> list[str]:
        parts = (part.name for feed in book.feeds for part in feed.parts)
        return list(dict.fromkeys((*(s.item for s in book.supplies), *parts, SPARE_PUMP)))

    return _completing(desk, named)


def _completing(desk: Desk, names: Callable[[Book], Iterable[str]]) -> Completer:
    async def complete(
        interaction: discord.Interaction, current: str
    ) -> list[app_commands.Choice[str]]:
        try:
            return _matching(current, names(await desk.book(asker_of(interaction))))
        except Unavailable as error:
            caught(error)
            return []

    return complete


def _matching(current: str, names: Iterable[str]) -> list[app_commands.Choice[str]]:
    typed = current.casefold().strip()
    return [
        app_commands.Choice(name=name, value=name) for name in names if typed in name.casefold()
    ][:_MOST]
