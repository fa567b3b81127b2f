"""/mydata export | import | forget: a person's own records."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.chat.place import asker_of
from bot.chat.send import Sendable
from bot.commands.desk import Desk, Visit
from bot.commands.options import described
from bot.commands.prompt import prompted, reply
from bot.records.questions import Export, Forget, Import
from bot.services.own.importing import LARGEST_BYTES
from bot.words import sentence


def add_mydata(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /mydata and its three ways on the tree."""
    group = app_commands.Group(name="mydata", description=sentence("command.mydata"))

    @group.command(name="export", description=sentence("command.mydata_export"))
    async def export(interaction: discord.Interaction) -> None:
        await reply(desk, interaction, Export())

    @group.command(name="import", description=sentence("command.mydata_import"))
    @app_commands.describe(**described("file"))
    async def import_(interaction: discord.Interaction, file: discord.Attachment) -> None:
        await prompted(interaction, _imported(desk, interaction, file))

    @group.command(name="forget", description=sentence("command.mydata_forget"))
    async def forget(interaction: discord.Interaction) -> None:
        await reply(desk, interaction, Forget())

    tree.add_command(group)


async def _imported(
    desk: Desk, interaction: discord.Interaction, file: discord.Attachment
) -> Sendable:
    """The file fetched, read and brought in; or why not."""
    if file.size > LARGEST_BYTES:
        return Sendable(content=sentence("no.file_size"))
    try:
        text = (await file.read()).decode("utf-8-sig")
    except UnicodeDecodeError:
        return Sendable(content=sentence("no.file_text"))
    except discord.HTTPException:
        return Sendable(content=sentence("no.file_gone"))
    visit = Visit(asker=asker_of(interaction), id=interaction.id, client=interaction.client)
    return await desk.answer(visit, Import(file=file.filename, text=text))
