"""/plan, /port, /harvest, /stock, /group: plants, what they give, what they need."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import (
    Name,
    Typed,
    asked,
    choices,
    described,
    known_crops,
    own_items,
    own_ports,
    own_towers,
)
from bot.commands.prompt import reply, reply_or_form
from bot.records.questions import (
    Harvest,
    Notice,
    Plan,
    Plugs,
    PortClear,
    PortMove,
    PortPlant,
    Ports,
    Shares,
    Stock,
)
from bot.words import sentence

Long = app_commands.Range[str, 1, 200]


def add_plants(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put the five on the tree."""
    _plan(tree, desk)
    group = app_commands.Group(name="port", description=sentence("command.port"))
    _ports(group, desk)
    _moves(group, desk)
    tree.add_command(group)
    _harvest(tree, desk)
    _stock(tree, desk)
    _group(tree, desk)


def _plan(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="plan", description=sentence("command.plan"))
    @app_commands.describe(
        **described("crop", "per_week", "by", "warmth", "germination", "tower", days="plan_days")
    )
    @app_commands.autocomplete(crop=known_crops(desk), tower=own_towers(desk))
    async def plan(
        interaction: discord.Interaction,
        crop: Typed | None = None,
        per_week: Typed | None = None,
        by: Typed | None = None,
        warmth: Typed | None = None,
        germination: Typed | None = None,
        days: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Plan, interaction))


def _ports(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="show", description=sentence("command.port_show"))
    @app_commands.describe(**described("tower"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def show(interaction: discord.Interaction, tower: Name | None = None) -> None:
        await reply(desk, interaction, asked(Ports, interaction))

    @group.command(name="plant", description=sentence("command.port_plant"))
    @app_commands.describe(**described("crop", "sown", "planted", "tower", ports="which_ports"))
    @app_commands.autocomplete(crop=known_crops(desk), tower=own_towers(desk))
    async def plant(
        interaction: discord.Interaction,
        crop: app_commands.Range[str, 1, 40],
        ports: Typed | None = None,
        sown: Typed | None = None,
        planted: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(PortPlant, interaction))

    @group.command(name="clear", description=sentence("command.port_clear"))
    @app_commands.describe(**described("how", "why", "tower", ports="which_ports"))
    @app_commands.choices(how=choices("harvested", "failed", "cleared"))
    @app_commands.autocomplete(ports=own_ports(desk), tower=own_towers(desk))
    async def clear(
        interaction: discord.Interaction,
        ports: Typed,
        how: app_commands.Choice[str] | None = None,
        why: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(PortClear, interaction))


def _moves(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="move", description=sentence("command.port_move"))
    @app_commands.describe(**described("port", "tower", to="to_port"))
    @app_commands.autocomplete(port=own_ports(desk), tower=own_towers(desk))
    async def move(
        interaction: discord.Interaction, port: Typed, to: Typed, tower: Name | None = None
    ) -> None:
        await reply(desk, interaction, asked(PortMove, interaction))

    @group.command(name="swap", description=sentence("command.port_swap"))
    @app_commands.describe(**described("port", "tower", to="to_port"))
    @app_commands.autocomplete(port=own_ports(desk), to=own_ports(desk), tower=own_towers(desk))
    async def swap(
        interaction: discord.Interaction, port: Typed, to: Typed, tower: Name | None = None
    ) -> None:
        await reply(desk, interaction, PortMove(port=port, to=to, tower=tower, swap="yes"))


def _harvest(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="harvest", description=sentence("command.harvest"))
    @app_commands.describe(**described("what", "at", "tower", ports="emptied"))
    @app_commands.autocomplete(ports=own_ports(desk), tower=own_towers(desk))
    async def harvest(
        interaction: discord.Interaction,
        what: Long | None = None,
        ports: Typed | None = None,
        at: Typed | None = None,
        tower: Name | None = None,
    ) -> None:
        question = asked(Harvest, interaction)
        if question == Harvest(tower=question.tower):
            await reply_or_form(desk, interaction, question, "harvest")
            return
        await reply(desk, interaction, question)


def _stock(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="stock", description=sentence("command.stock"))
    @app_commands.describe(**described("item", "left", "size", "planned", "lead", use="use_week"))
    @app_commands.autocomplete(item=own_items(desk))
    async def stock(
        interaction: discord.Interaction,
        item: app_commands.Range[str, 1, 40] | None = None,
        left: Typed | None = None,
        size: Typed | None = None,
        use: Typed | None = None,
        planned: Typed | None = None,
        lead: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Stock, interaction))


def _group(tree: app_commands.CommandTree, desk: Desk) -> None:
    group = app_commands.Group(name="group", description=sentence("command.group"))

    @group.command(name="plugs", description=sentence("command.group_plugs"))
    @app_commands.describe(**described("people", "each", "spare", "seeds", "crop"))
    @app_commands.autocomplete(crop=known_crops(desk))
    async def plugs(
        interaction: discord.Interaction,
        people: Typed | None = None,
        each: Typed | None = None,
        spare: Typed | None = None,
        seeds: Typed | None = None,
        crop: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Plugs, interaction))

    @group.command(name="share", description=sentence("command.group_share"))
    @app_commands.describe(**described("total", "shipping", "shares", "mine"))
    async def share(
        interaction: discord.Interaction,
        total: Typed | None = None,
        shipping: Typed | None = None,
        shares: Long | None = None,
        mine: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Shares, interaction))

    @group.command(name="notice", description=sentence("command.group_notice"))
    @app_commands.describe(**described("until", about="spell", temp="air"))
    @app_commands.choices(about=choices("heat", "wind", "frost", prefix="spell_"))
    async def notice(
        interaction: discord.Interaction,
        about: app_commands.Choice[str] | None = None,
        temp: Typed | None = None,
        until: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Notice, interaction))

    tree.add_command(group)
