"""Files both ways: as a command's option, with a message, and in the bot's answers."""

import io
from typing import Any

import discord
import pytest

from bot.rehearsal import Refused
from tests.bot.rehearsal.conftest import Gardener

PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 8 + (3).to_bytes(4, "big") + (2).to_bytes(4, "big")
pytestmark = pytest.mark.asyncio


@pytest.fixture
def archivist(gardener: Gardener) -> Gardener:
    data = discord.app_commands.Group(name="mydata", description="Records")

    @data.command(name="import", description="Take records over")
    async def take(
        interaction: discord.Interaction, file: discord.Attachment, note: str = ""
    ) -> None:
        text = (await file.read()).decode()
        await interaction.response.send_message(f"{file.filename} {file.size} {text} {note}")

    @take.autocomplete("note")
    async def notes(interaction: discord.Interaction, current: str) -> list[Any]:
        return [discord.app_commands.Choice(name="n", value=current + "n")]

    @data.command(name="export", description="Give records out")
    async def give(interaction: discord.Interaction) -> None:
        await interaction.response.send_message(
            "first", file=discord.File(io.BytesIO(b"{}"), "records.json"), ephemeral=True
        )
        picture = discord.File(io.BytesIO(PNG), "week.png", description="The level, falling")
        await interaction.followup.send("second", file=picture, ephemeral=True)

    gardener.tree.add_command(data)
    return gardener


@pytest.fixture
def gardener() -> Gardener:
    return Gardener()


@pytest.mark.parametrize("name", ["records.json", "my records (2).json", "a/b#c?d.json"])
async def test_a_file_is_the_value_of_an_option(town, run, archivist, name):
    await run(archivist)
    seen = await town.tamsin.say(
        town.guild.room,
        f"/mydata import file:{name} note:old ones",
        files=[(name, b'{"form": 1}')],
    )
    assert [s.content for s in seen] == [f'{name} 11 {{"form": 1}} old ones']


@pytest.mark.parametrize(
    ("line", "files", "reason"),
    [
        ("/mydata import", [], "file: is required"),
        ("/mydata import file:records.json", [], 'there is no file "records.json"'),
        ("/mydata import file:a.json", [("a.json", b"")] * 2, 'no option for the file "a.json"'),
        ("/mydata export", [("a.json", b"")], 'no option for the file "a.json"'),
        ("/mydata import file:a.json", [("a.json", b"x" * (10 * 2**20 + 1))], "larger than 10 MiB"),
        ("look", [("a.txt", b"")] * 11, "up to 10 files"),
        ("look", [("", b"")], "needs a name"),
    ],
)
async def test_the_platform_refuses_files_that_do_not_fit(
    town, run, archivist, line, files, reason
):
    await run(archivist)
    with pytest.raises(Refused, match=reason):
        await town.tamsin.say(town.guild.room, line, files=files)
    assert town.server.board.world.files == {}


async def test_completion_leaves_files_out(town, run, archivist):
    await run(archivist)
    found = await town.tamsin.complete(town.guild.room, "/mydata import file:x.json note:a")
    assert found == [("n", "an")]


async def test_a_message_brings_its_files(town, run, archivist):
    async def reply(message: discord.Message) -> None:
        bodies = [await attachment.read() for attachment in message.attachments]
        kinds = [attachment.content_type for attachment in message.attachments]
        await message.reply(f"{bodies} {kinds}")

    archivist.reply = reply
    await run(archivist)
    seen = await town.tamsin.say(
        town.tamsin.private, "", files=[("tank.png", PNG), ("notes.txt", b"half")]
    )
    assert [s.content for s in seen] == [
        f"{[PNG, b'half']} ['image/png', 'text/plain; charset=utf-8']"
    ]
    with pytest.raises(Refused, match="empty"):
        await town.tamsin.say(town.tamsin.private, "")


async def test_answers_and_follow_ups_bring_files(town, run, archivist):
    await run(archivist)
    seen = await town.tamsin.say(town.guild.room, "/mydata export")
    assert [(s.where, s.content, [(f.name, f.data, f.description) for f in s.files])
            for s in seen] == [
        ("only you", "first", [("records.json", b"{}", None)]),
        ("only you", "second", [("week.png", PNG, "The level, falling")]),
    ]  # fmt: skip
    assert seen[1].raw["attachments"][0]["width"] == 3


class Ask(discord.ui.Modal, title="Water level"):
    level: Any = discord.ui.Label(text="Level", component=discord.ui.TextInput())

    async def on_submit(self, interaction: discord.Interaction) -> None:
        level = self.level.component.value
        if level == "half":
            await interaction.response.edit_message(content="half it is", view=None)
        else:
            await interaction.response.send_message(f"noted {level}", ephemeral=True)


class Panel(discord.ui.View):
    @discord.ui.button(label="Different", custom_id="different")
    async def different(self, interaction: discord.Interaction, _: Any) -> None:
        await interaction.response.send_modal(Ask())


async def test_a_form_in_private_is_answered_by_a_message_or_an_update(town, run, gardener):
    gardener.reply = lambda message: message.reply("fill?", view=Panel(timeout=None))
    await run(gardener)
    [shown] = await town.tamsin.say(town.tamsin.private, "dry")
    [form] = await town.tamsin.press(shown, "Different")
    [noted] = await town.tamsin.submit(form, {"Level": "a third"})
    assert (noted.where, noted.content) == ("only you", "noted a third")
    [form] = await town.tamsin.press(shown, "Different")
    [updated] = await town.tamsin.submit(form, {"Level": "half"})
    assert (updated.id, updated.where, updated.content) == (shown.id, "private", "half it is")
    assert updated.buttons == []


async def test_pins_come_and_go(town, run, gardener):
    pinned: list[discord.Message] = []

    async def reply(message: discord.Message) -> None:
        made = await message.reply("pin me")
        await made.pin()
        pinned.append(made)

    gardener.reply = reply
    await run(gardener)
    await town.tamsin.say(town.guild.room, "now")
    assert [m.raw["pinned"] for m in town.tamsin.history(town.guild.room)] == [False, True]
    await pinned[0].unpin()
    assert [m.raw["pinned"] for m in town.tamsin.history(town.guild.room)] == [False, False]


@pytest.mark.parametrize(
    ("name", "kind", "shown"),
    [("page.html", "text/html", "attachment"), ("week.png", "image/png", "inline")],
)
async def test_a_file_never_runs_as_a_page(town, http, name, kind, shown):
    file = (name, PNG if kind == "image/png" else b"<script>alert(1)</script>")
    await town.tamsin.say(town.guild.room, "look", timeout_s=0.01, files=[file])
    [message] = town.server.messages
    address = message["attachments"][0]["url"]
    async with http.session.get(address) as answer:
        assert await answer.read() == file[1]
        assert answer.headers["Content-Disposition"] == shown
        assert "sandbox" in answer.headers["Content-Security-Policy"]
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
