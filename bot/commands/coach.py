"""/setup, /feed, /tank, /policy: what a coach sets and looks into.

The platform shows them to those who may manage messages; who really is coach is checked where they
are answered, since a server's managers can show any command to anybody.
"""

from __future__ import annotations

import discord
from discord import app_commands

from bot.commands.desk import Desk
from bot.commands.options import Typed, asked, described, known_feeds
from bot.commands.prompt import reply
from bot.records.book import policy_keys
from bot.records.questions import Contents, FeedSet, Policy, Setup
from bot.text import plain
from bot.words import sentence

_SHOWN_TO = discord.Permissions(manage_messages=True)
_MOST = 25


def add_coach(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put the four on the tree."""
    _setup(tree, desk)
    _feed(tree, desk)
    _tank(tree, desk)
    _policy(tree, desk)


def _setup(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="setup", description=sentence("command.setup"))
    @app_commands.describe(**described("coach", "former"))
    @app_commands.default_permissions(_SHOWN_TO)
    @app_commands.guild_only()
    async def setup(
        interaction: discord.Interaction,
        coach: discord.Member | None = None,
        former: discord.Member | None = None,
    ) -> None:
        question = Setup(coach=_person(coach), former=_person(former))
        await reply(desk, interaction, question)


def _person(who: discord.Member | None) -> str | None:
    """A person as an option's text: their number and name."""
    return None if who is None else f"{who.id} {plain(who.display_name)}"


def _feed(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="feed", description=sentence("command.feed"))
    @app_commands.describe(**described("parts", "gain", name="feed_name"))
    @app_commands.default_permissions(_SHOWN_TO)
    @app_commands.guild_only()
    async def feed(
        interaction: discord.Interaction,
        name: app_commands.Range[str, 1, 40] | None = None,
        parts: Typed | None = None,
        gain: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(FeedSet, interaction))


def _tank(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="tank", description=sentence("command.tank"))
    @app_commands.describe(**described("feed", "part", "weight", "strength", label="analysis"))
    @app_commands.autocomplete(feed=known_feeds(desk))
    @app_commands.default_permissions(_SHOWN_TO)
    @app_commands.guild_only()
    async def tank(
        interaction: discord.Interaction,
        feed: Typed | None = None,
        part: Typed | None = None,
        label: Typed | None = None,
        weight: Typed | None = None,
        strength: Typed | None = None,
    ) -> None:
        await reply(desk, interaction, asked(Contents, interaction))


def _policy(tree: app_commands.CommandTree, desk: Desk) -> None:
    @tree.command(name="policy", description=sentence("command.policy"))
    @app_commands.describe(**described("rule", "value"))
    @app_commands.default_permissions(_SHOWN_TO)
    @app_commands.guild_only()
    async def policy(
        interaction: discord.Interaction, rule: Typed | None = None, value: Typed | None = None
    ) -> None:
        await reply(desk, interaction, asked(Policy, interaction))

    @policy.autocomplete("rule")
    async def rules(
        interaction: discord.Interaction, current: str
    ) -> list[app_commands.Choice[str]]:
        words = current.casefold().replace("_", " ").split()
        named = {key: sentence(f"rule.{key}") for key in policy_keys()}
        return [
            app_commands.Choice(name=name, value=key)
            for key, name in named.items()
            if all(word in f"{name} {key}".casefold() for word in words)
        ][:_MOST]
