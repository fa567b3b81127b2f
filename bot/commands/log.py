"""/log, /undo, /check, /schedule: what was done, taken back, read, and comes next."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Name, Typed, asked, choices, described, own_towers
from bot.commands.prompt import reply, reply_or_form
from bot.records.questions import Check, Log, Schedule, Undo
from bot.words import sentence


def add_log(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put the four on the tree."""
    _log(tree, desk)
    _check(tree, desk)

    @tree.command(name="undo", description=sentence("command.undo"))
    async def undo(interaction: discord.Interaction) -> None:
        await reply(desk, interaction, Undo())

    @tree.command(name="schedule", description=sentence("command.schedule"))
    async def schedule(interaction: discord.Interaction) -> None:
        await reply(desk, interaction, Schedule())


def _log(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="log", description=sentence("command.log"))
    @app_commands.describe(
        **described("tower", "ph", "temp", "note", "at", level="level_now", added="added_log",
                    poured="poured_log", ec="ec_now", change="changed")
    )  # fmt: skip
    @app_commands.choices(change=choices("yes"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def log(
        interaction: discord.Interaction,
        level: Typed | None = None,
        added: Typed | None = None,
        poured: Typed | None = None,
        ec: Typed | None = None,
        ph: Typed | None = None,
        temp: Typed | None = None,
        note: app_commands.Range[str, 1, 200] | None = None,
        change: app_commands.Choice[str] | None = None,
        at: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        question = asked(Log, interaction)
        if question == Log(tower=question.tower):
            await reply_or_form(desk, interaction, question, "log")
            return
        await reply(desk, interaction, question)


def _check(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="check", description=sentence("command.check"))
    @app_commands.describe(**described("tower", "ph", "temp", level="level_now", ec="ec_now"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def check(
        interaction: discord.Interaction,
        ec: Typed | None = None,
        ph: Typed | None = None,
        temp: Typed | None = None,
        level: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Check, interaction))
