"""Forms: a modal that nobody waits for, and what comes back of it.

The platform sends a filled form with the id it was shown under, which is the handle of the button
that opened it; so a form that was open while the bot restarted still works.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import discord

from bot.chat.send import HANDLE_PREFIX
from bot.records.answer import FormCard, FormLineCard

_TITLE, _LABEL, _HINT = 45, 45, 100
_SHORT, _LONG = 200, 1500


def modal(handle: str, shown: FormCard) -> discord.ui.Modal:
    """The form under its handle. Nothing is kept in memory for it."""
    made = discord.ui.Modal(title=shown.title[:_TITLE], custom_id=f"{HANDLE_PREFIX}{handle}")
    for field in shown.lines:
        made.add_item(
            discord.ui.Label(
                text=field.label[:_LABEL],
                description=field.hint[:_HINT] or None,
                component=_menu(field) if field.choices else _typing(field),
            )
        )
    made.stop()
    return made


def _typing(field: FormLineCard) -> discord.ui.TextInput[Any]:
    most = _LONG if field.long else _SHORT
    return discord.ui.TextInput(
        custom_id=field.field,
        style=discord.TextStyle.paragraph if field.long else discord.TextStyle.short,
        required=field.required,
        default=field.value[:most] or None,
        max_length=most,
    )


def _menu(field: FormLineCard) -> discord.ui.Select[Any]:
    options = [
        discord.SelectOption(label=label, value=value, default=value == field.value)
        for value, label in field.choices
    ]
    return discord.ui.Select(custom_id=field.field, required=field.required, options=options)


def form_of(interaction: discord.Interaction) -> tuple[str, dict[str, str]] | None:
    """The handle and what was typed, when this is one of our forms come back."""
    if interaction.type is not discord.InteractionType.modal_submit:
        return None
    data: Mapping[str, Any] = interaction.data or {}
    custom_id = str(data.get("custom_id", ""))
    if not custom_id.startswith(HANDLE_PREFIX):
        return None
    return custom_id.removeprefix(HANDLE_PREFIX), dict(_typed(data.get("components", [])))


def _typed(components: Iterable[Mapping[str, Any]]) -> Iterable[tuple[str, str]]:
    for part in components:
        if "component" in part:
            yield from _typed([part["component"]])
        elif "components" in part:
            yield from _typed(part["components"])
        elif "custom_id" in part and isinstance(part.get("value"), str):
            yield part["custom_id"], part["value"]
        elif "custom_id" in part and part.get("values"):
            yield part["custom_id"], str(part["values"][0])
