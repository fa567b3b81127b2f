"""/timer and /lamp: what runs by the hour."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Name, Typed, asked, choices, described, own_towers
from bot.commands.prompt import reply
from bot.records.questions import Lamp, Timer
from bot.words import sentence


def add_running(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /timer and /lamp on the tree."""

    @tree.command(name="timer", description=sentence("command.timer"))
    @app_commands.describe(**described("tower", "timer", "dial", "watts", "flow", "price"))
    @app_commands.choices(dial=choices("dial_15", "dial_30", "digital"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def timer(
        interaction: discord.Interaction,
        timer: Typed | None = None,
        dial: app_commands.Choice[str] | None = None,
        watts: Typed | None = None,
        flow: Typed | None = None,
        price: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Timer, interaction))

    @tree.command(name="lamp", description=sentence("command.lamp"))
    @app_commands.describe(
        **described("tower", "ppfd", "hours", "dli", "lux", "light", "watts", "price")
    )
    @app_commands.choices(light=choices("sunlight", "white_led", "other_light"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def lamp(
        interaction: discord.Interaction,
        ppfd: Typed | None = None,
        hours: Typed | None = None,
        dli: Typed | None = None,
        lux: Typed | None = None,
        light: app_commands.Choice[str] | None = None,
        watts: Typed | None = None,
        price: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Lamp, interaction))
