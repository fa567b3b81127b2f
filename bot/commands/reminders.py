"""/reminders new | list | change | stop | calendar."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Name, Typed, asked, choices, described, own_towers
from bot.commands.prompt import reply
from bot.records.questions import Remind, Reminders, RemindFile, RemindStop
from bot.words import sentence

_About = app_commands.Range[str, 1, 200]
_Which = app_commands.Range[str, 1, 80]


def add_reminders(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /reminders and its ways on the tree."""
    group = app_commands.Group(name="reminders", description=sentence("command.reminders"))
    _new(group, desk)
    _there(group, desk)
    tree.add_command(group)


def _new(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="new", description=sentence("command.reminders_new"))
    @app_commands.describe(**described("about", "when", "tower", "where", "ahead", place="towers"))
    @app_commands.choices(
        where=[
            app_commands.Choice(name=sentence("choice.me"), value="me"),
            app_commands.Choice(name=sentence("choice.room_post"), value="room"),
        ],
        place=choices("all", "indoor", "outdoor"),
    )
    @app_commands.autocomplete(tower=own_towers(desk))
    async def new(
        interaction: discord.Interaction,
        about: _About | None = None,
        when: Typed | None = None,
        tower: Name | None = None,
        where: app_commands.Choice[str] | None = None,
        place: app_commands.Choice[str] | None = None,
        ahead: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Remind, interaction))


def _there(group: app_commands.Group, desk: Desk) -> None:
    whose = [
        app_commands.Choice(name=sentence("choice.me"), value="me"),
        app_commands.Choice(name=sentence("choice.room_post"), value="room"),
    ]

    @group.command(name="list", description=sentence("command.reminders_list"))
    @app_commands.describe(**described(where="whose"))
    @app_commands.choices(
        where=[*whose, app_commands.Choice(name=sentence("choice.unsent"), value="unsent")]
    )
    async def list_(
        interaction: discord.Interaction, where: app_commands.Choice[str] | None = None
    ) -> None:
        await reply(desk, interaction, asked(Reminders, interaction))

    @group.command(name="change", description=sentence("command.reminders_change"))
    @app_commands.describe(**described("which", "about", "when", where="whose"))
    @app_commands.choices(where=whose)
    async def change(
        interaction: discord.Interaction,
        which: _Which,
        about: _About | None = None,
        when: Typed | None = None,
        where: app_commands.Choice[str] | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Remind, interaction))

    @group.command(name="stop", description=sentence("command.reminders_stop"))
    @app_commands.describe(**described("which", where="whose"))
    @app_commands.choices(where=whose)
    async def stop(
        interaction: discord.Interaction,
        which: _Which,
        where: app_commands.Choice[str] | None = None,
    ) -> None:
        await reply(desk, interaction, asked(RemindStop, interaction))

    @group.command(name="calendar", description=sentence("command.reminders_calendar"))
    @app_commands.describe(**described(where="whose"))
    @app_commands.choices(where=whose)
    async def calendar(
        interaction: discord.Interaction, where: app_commands.Choice[str] | None = None
    ) -> None:
        await reply(desk, interaction, asked(RemindFile, interaction))
