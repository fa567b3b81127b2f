"""/ph, /source, /heat, /outage, /clean, /away: what keeps a tank and its roots well."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Name, Typed, asked, choices, described, own_towers
from bot.commands.prompt import reply
from bot.records.facts import WATERS
from bot.records.questions import Away, Clean, Heat, Outage, Ph, Source
from bot.words import sentence

_SALTS = ("sodium", "calcium", "chloride", "sulphate")


def add_care(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put the six on the tree."""
    _water(tree, desk)
    _heat(tree, desk)
    _outage(tree, desk)
    _clean(tree, desk)
    _away(tree, desk)


def _water(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="ph", description=sentence("command.ph"))
    @app_commands.describe(
        **described("tower", "ph", level="level_now", drops="jug_drops", jug="test_jug")
    )
    @app_commands.autocomplete(tower=own_towers(desk))
    async def ph(
        interaction: discord.Interaction,
        drops: Typed | None = None,
        level: Typed | None = None,
        ph: Typed | None = None,
        jug: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Ph, interaction))

    @tree.command(name="source", description=sentence("command.source"))
    @app_commands.describe(
        **described("hardness", "alkalinity", *_SALTS, "treated", "tower", water="kind")
    )
    @app_commands.choices(
        water=choices(*WATERS, prefix="water_"), treated=choices("chlorine", "chloramine")
    )
    @app_commands.autocomplete(tower=own_towers(desk))
    async def source(
        interaction: discord.Interaction,
        water: app_commands.Choice[str] | None = None,
        hardness: Typed | None = None,
        alkalinity: Typed | None = None,
        sodium: Typed | None = None,
        calcium: Typed | None = None,
        chloride: Typed | None = None,
        sulphate: Typed | None = None,
        treated: app_commands.Choice[str] | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Source, interaction))


def _heat(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="heat", description=sentence("command.heat"))
    @app_commands.describe(**described("tower", "temp", "to", level="level_now", air="day_heat"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def heat(
        interaction: discord.Interaction,
        temp: Typed | None = None,
        level: Typed | None = None,
        to: Typed | None = None,
        air: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Heat, interaction))


def _outage(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="outage", description=sentence("command.outage"))
    @app_commands.describe(**described("tower", "step", "heat", "lasted"))
    @app_commands.choices(step=choices("start", "pump", "back", prefix="step_"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def outage(
        interaction: discord.Interaction,
        step: app_commands.Choice[str] | None = None,
        heat: Typed | None = None,
        lasted: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Outage, interaction))


def _clean(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="clean", description=sentence("command.clean"))
    @app_commands.describe(**described("tower", "label", "beside", water="clean_water"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def clean(
        interaction: discord.Interaction,
        label: Typed | None = None,
        water: Typed | None = None,
        beside: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Clean, interaction))


def _away(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="away", description=sentence("command.away"))
    @app_commands.describe(
        **described("tower", "use", "leaving", days="days_away", level="level_leaving")
    )
    @app_commands.autocomplete(tower=own_towers(desk))
    async def away(
        interaction: discord.Interaction,
        days: Typed | None = None,
        use: Typed | None = None,
        level: Typed | None = None,
        leaving: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Away, interaction))
