"""/tower add | show | edit | history | share | leave | pack-away."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Name, Typed, asked, choices, described, known_feeds, own_towers
from bot.commands.prompt import reply
from bot.records.questions import (
    History,
    Picture,
    Said,
    TowerAdd,
    TowerEdit,
    TowerLeave,
    TowerPack,
    TowerShare,
    TowerShow,
)
from bot.text import plain
from bot.words import sentence

_FACTS = (
    "depth", "place", "feed", "strength", "target", "tap", "pump_line", "refill", "timer", "ports",
)  # fmt: skip


def add_tower(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /tower and its ways on the tree."""
    group = app_commands.Group(name="tower", description=sentence("command.tower"))
    _add(group, desk)
    _show(group, desk)
    _edit(group, desk)
    _picture(group, desk)
    _history(group, desk)
    _together(group, desk)
    tree.add_command(group)


def _add(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="add", description=sentence("command.tower_add"))
    @app_commands.describe(**described("name", "tank", *_FACTS))
    @app_commands.choices(place=choices("indoor", "outdoor"))
    @app_commands.autocomplete(feed=known_feeds(desk))
    async def add(
        interaction: discord.Interaction,
        name: Name,
        tank: Typed,
        depth: Typed | None = None,
        place: app_commands.Choice[str] | None = None,
        feed: Typed | None = None,
        strength: Typed | None = None,
        target: Typed | None = None,
        tap: Typed | None = None,
        pump_line: Typed | None = None,
        refill: Typed | None = None,
        timer: Typed | None = None,
        ports: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(TowerAdd, interaction))


def _show(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="show", description=sentence("command.tower_show"))
    @app_commands.describe(**described("tower"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def show(interaction: discord.Interaction, tower: Name | None = None) -> None:
        await reply(desk, interaction, asked(TowerShow, interaction))


def _edit(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="edit", description=sentence("command.tower_edit"))
    @app_commands.describe(
        **described("tower", "tank", *_FACTS, "marks", name="new_name", gain="label_gain")
    )
    @app_commands.choices(place=choices("indoor", "outdoor"))
    @app_commands.autocomplete(tower=own_towers(desk), feed=known_feeds(desk))
    async def edit(
        interaction: discord.Interaction,
        tower: Name,
        name: Name | None = None,
        tank: Typed | None = None,
        depth: Typed | None = None,
        place: app_commands.Choice[str] | None = None,
        feed: Typed | None = None,
        strength: Typed | None = None,
        target: Typed | None = None,
        tap: Typed | None = None,
        pump_line: Typed | None = None,
        refill: Typed | None = None,
        timer: Typed | None = None,
        ports: Typed | None = None,
        marks: Typed | None = None,
        gain: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(TowerEdit, interaction))


def _picture(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="picture", description=sentence("command.tower_picture"))
    @app_commands.describe(**described("tower", what="which_picture"))
    @app_commands.choices(what=choices("level", "readings", "use", "lid", prefix="picture_"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def picture(
        interaction: discord.Interaction,
        what: app_commands.Choice[str] | None = None,
        tower: Name | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Picture, interaction))


def _history(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="history", description=sentence("command.tower_history"))
    @app_commands.describe(**described("tower"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def history(interaction: discord.Interaction, tower: Name | None = None) -> None:
        await reply(desk, interaction, asked(History, interaction))


def _together(group: app_commands.Group, desk: Desk) -> None:
    @group.command(name="share", description=sentence("command.tower_share"))
    @app_commands.describe(**described("person", "tower"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def share(
        interaction: discord.Interaction,
        person: discord.User | discord.Member,
        tower: Name | None = None,
    ) -> None:
        if interaction.guild is not None and not isinstance(person, discord.Member):
            await reply(desk, interaction, Said(word="no.share_stranger"))
            return
        if person.bot:
            await reply(desk, interaction, Said(word="no.share_bot"))
            return
        told = f"{person.id} {plain(person.display_name)}"
        await reply(desk, interaction, TowerShare(person=told, tower=tower))

    @group.command(name="leave", description=sentence("command.tower_leave"))
    @app_commands.describe(**described("tower"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def leave(interaction: discord.Interaction, tower: Name | None = None) -> None:
        await reply(desk, interaction, asked(TowerLeave, interaction))

    @group.command(name="pack-away", description=sentence("command.tower_pack"))
    @app_commands.describe(**described("tower", "back"))
    @app_commands.choices(back=choices("yes"))
    @app_commands.autocomplete(tower=own_towers(desk))
    async def pack(
        interaction: discord.Interaction,
        tower: Name | None = None,
        back: app_commands.Choice[str] | None = None,
    ) -> None:
        await reply(desk, interaction, asked(TowerPack, interaction))
