"""/mydata export | import | forget: a person's own records."""

from __future__ import annotations

import discord
from discord import app_commands

from bot.chat.send import Prompt, Sendable
from bot.commands.desk import Desk
from bot.commands.options import described
from bot.records.questions import Export, Forget, Import
from bot.services.own.importing import LARGEST_BYTES
from bot.words import sentence


def add_mydata(tree: app_commands.CommandTree, desk: Desk) -> None:
    """Put /mydata and its three ways on the tree."""
    group = app_commands.Group(name="mydata", description=sentence("command.mydata"))

    @group.command(name="export", description=sentence("command.mydata_export"))
    async def export(interaction: discord.Interaction) -> None:
        await desk.reply(interaction, Export())

    @group.command(name="import", description=sentence("command.mydata_import"))
    @app_commands.describe(**described("file"))
    async def import_(interaction: discord.Interaction, file: discord.Attachment) -> None:
        text = await _text_of(interaction, file)
        if text is not None:
            await desk.reply(interaction, Import(file=file.filename, text=text))

    @group.command(name="forget", description=sentence("command.mydata_forget"))
    async def forget(interaction: discord.Interaction) -> None:
        await desk.reply(interaction, Forget())

    tree.add_command(group)


async def _text_of(interaction: discord.Interaction, file: discord.Attachment) -> str | None:
    """The file as text; None, and the person told, where it cannot be one."""
    word = None
    text = ""
    if file.size > LARGEST_BYTES:
        word = "no.file_size"
    else:
        try:
            text = (await file.read()).decode("utf-8-sig")
        except UnicodeDecodeError:
            word = "no.file_text"
        except discord.HTTPException:
            word = "no.file_gone"
    if word is None:
        return text
    await Prompt(interaction).send(Sendable(content=sentence(word)))
    return None
