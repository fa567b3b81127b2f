"""A walk over the whole command tree: names, texts, a line in the README, and what is sent."""

from __future__ import annotations

import re
from pathlib import Path

import discord
import pytest
from discord import app_commands
from syrupy.assertion import SnapshotAssertion

from bot.chat.client import TowerClient, intents
from bot.clock import SystemClock
from bot.commands.desk import Desk
from bot.commands.tree import command_tree
from bot.records.questions import Question
from bot.storage import Store

# What a person picks rather than types.
PICKED = (discord.AppCommandOptionType.user, discord.AppCommandOptionType.attachment)
README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


@pytest.fixture
def tree(tmp_path: Path) -> app_commands.CommandTree:
    store = Store(f"sqlite+aiosqlite:///{tmp_path / 'never-opened.db'}")
    return command_tree(TowerClient(), Desk(store, SystemClock()))


def leaves(tree: app_commands.CommandTree) -> list[app_commands.Command[object, ..., object]]:
    return [c for c in tree.walk_commands() if isinstance(c, app_commands.Command)]


def test_the_readme_lists_exactly_the_commands(tree: app_commands.CommandTree) -> None:
    listed = re.findall(r"^\| `/([a-z -]+)` \|", README, re.MULTILINE)
    assert sorted(listed) == sorted(c.qualified_name for c in leaves(tree))


def test_every_command_and_option_is_described(tree: app_commands.CommandTree) -> None:
    for command in leaves(tree):
        assert 1 <= len(command.description) <= 100
        for option in command.parameters:
            assert option.description != "…", f"{command.qualified_name} {option.name}"
            if option.type in PICKED:
                continue
            assert option.type is discord.AppCommandOptionType.string, "our grammar reads it"
            assert option.max_value is not None or option.choices


def test_names_are_one_word(tree: app_commands.CommandTree) -> None:
    for command in leaves(tree):
        for word in command.qualified_name.split():
            assert re.fullmatch(r"[a-z]{2,9}(-[a-z]{3,8})?", word)


def test_option_names_are_fields_of_questions(tree: app_commands.CommandTree) -> None:
    fields = {name for kind in Question.__args__ for name in kind.__dataclass_fields__}
    for command in leaves(tree):
        assert {option.name for option in command.parameters} <= fields


def test_what_is_sent_to_the_platform(
    tree: app_commands.CommandTree, snapshot: SnapshotAssertion
) -> None:
    assert [c.to_dict(tree) for c in tree.get_commands()] == snapshot


def test_three_unprivileged_intents() -> None:
    wanted = intents()
    assert {name for name, on in wanted if on} == {"guilds", "guild_messages", "dm_messages"}
    assert not (wanted.members or wanted.presences or wanted.message_content)


def test_no_mention_is_ever_parsed() -> None:
    assert TowerClient().allowed_mentions is not None
    assert TowerClient().allowed_mentions.to_dict() == {"parse": []}  # type: ignore[union-attr]  # not None, above
