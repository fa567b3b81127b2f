"""/start: a member's set-up; /settings: their habits."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Typed, asked, choices, described
from bot.commands.prompt import reply
from bot.records.questions import SettingsEdit, Start
from bot.words import sentence


def add_start(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /start and /settings on the tree."""

    @tree.command(name="start", description=sentence("command.start"))
    async def start(interaction: discord.Interaction) -> None:
        await reply(desk, interaction, Start())

    @tree.command(name="settings", description=sentence("command.settings"))
    @app_commands.describe(
        **described(
            "units", "gallon", "zone", "meter", "finger", "jug", "drops", "morning", "evening",
            "quiet", "answers", "closed",
        )
    )  # fmt: skip
    @app_commands.choices(
        units=choices("us", "metric", "uk"),
        gallon=choices("us", "uk"),
        meter=choices("ec", "500", "640", "700", "none"),
        answers=choices("private", "room"),
        closed=choices("note", "nothing"),
    )
    async def settings(
        interaction: discord.Interaction,
        units: app_commands.Choice[str] | None = None,
        gallon: app_commands.Choice[str] | None = None,
        zone: Typed | None = None,
        meter: app_commands.Choice[str] | None = None,
        finger: Typed | None = None,
        jug: Typed | None = None,
        drops: Typed | None = None,
        morning: Typed | None = None,
        evening: Typed | None = None,
        quiet: Typed | None = None,
        answers: app_commands.Choice[str] | None = None,
        closed: app_commands.Choice[str] | None = None,
    ) -> None:
        await reply(desk, interaction, asked(SettingsEdit, interaction))
