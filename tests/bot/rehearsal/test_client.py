"""The real client library against the server."""

import asyncio
import io
import threading
from typing import Any

import discord
import pytest
from discord import app_commands, ui

from bot.rehearsal import Fault, Refused
from tests.bot.rehearsal.conftest import Gardener


def contents(seen) -> list[tuple[str, str]]:
    return [(entry.where, entry.content) for entry in seen]


@pytest.fixture
def gardener() -> Gardener:
    client = Gardener()

    @client.tree.command(description="What to pour")
    @app_commands.describe(water="How much", ec="Strength", level="Level", times="Times")
    @app_commands.choices(level=[app_commands.Choice(name="Half full", value="half")])
    async def dose(
        interaction: discord.Interaction,
        water: str,
        ec: app_commands.Range[float, 0, 5] = 1.0,
        level: app_commands.Choice[str] | None = None,
        times: int = 1,
        shared: bool = False,
        person: discord.User | None = None,
        room: discord.TextChannel | None = None,
    ) -> None:
        parts = [water, ec, level and level.value, times, shared, person and person.name, room]
        await interaction.response.send_message("|".join(str(part) for part in parts))

    @dose.autocomplete("water")
    async def waters(
        interaction: discord.Interaction, current: str
    ) -> list[app_commands.Choice[str]]:
        return [app_commands.Choice(name=current + " gal", value=current + "gal")]

    tower = app_commands.Group(name="tower", description="Towers")

    @tower.command(description="A new tower")
    async def add(interaction: discord.Interaction, name: str, tank: str) -> None:
        await interaction.response.send_message(f"{name}/{tank}/{interaction.locale}")

    client.tree.add_command(tower)
    return client


@pytest.mark.asyncio
async def test_logs_in_and_syncs_and_knows_its_town(town, run, gardener):
    await run(gardener)
    assert gardener.user.id == town.server.application_id
    assert [(g.id, g.name) for g in gardener.guilds] == [(town.guild.id, "Saltmarsh Growers")]
    assert gardener.get_channel(town.guild.room.id).name == "towers"
    assert [c.name for c in await gardener.tree.fetch_commands()] == ["dose", "tower"]
    member = await gardener.guilds[0].fetch_member(town.wenna.id)
    assert member.guild_permissions.administrator
    assert (await gardener.application_info()).id == town.server.application_id


@pytest.mark.asyncio
async def test_options_are_converted_by_the_synced_schema(town, run, gardener):
    await run(gardener)
    line = "/dose water:10 gal ec:1.9 level:half times:2 shared:true person:Ife room:towers"
    seen = await town.tamsin.say(town.guild.room, line)
    assert contents(seen) == [("room", "10 gal|1.9|half|2|True|ife|towers")]
    seen = await town.tamsin.say(town.guild.room, "/dose water:x level:HALF FULL")
    assert contents(seen) == [("room", "x|1.0|half|1|False|None|None")]


@pytest.mark.asyncio
async def test_subcommands_and_the_persons_language_arrive(town, run, gardener):
    await run(gardener)
    seen = await town.ife.say(town.ife.private, "/tower add name:back porch tank:10 gal")
    assert contents(seen) == [("private", "back porch/10 gal/de")]


@pytest.mark.asyncio
@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("/nothing", "no command /nothing"),
        ("/dose", "water: is required"),
        ("/dose ec:2", "water: is required"),
        ("/dose water:x ec:lots", "not a number"),
        ("/dose water:x ec:6", "between 0 and 5"),
        ("/dose water:x times:1.5", "not a whole number"),
        ("/dose water:x level:brim", "one of the choices: Half full"),
        ("/dose water:x shared:maybe", "True or False"),
        ("/dose water:x person:Nobody", "no such member"),
        ("/dose loose water:x", "no option for"),
        ("/tower", "needs one of: add"),
        ("/tower drop name:x", "no command /tower drop"),
    ],
)
async def test_the_platform_refuses_before_the_bot_hears(town, run, gardener, line, reason):
    await run(gardener)
    before = len(town.server.requests)
    with pytest.raises(Refused, match=reason):
        await town.tamsin.say(town.guild.room, line)
    assert len(town.server.requests) == before


@pytest.mark.asyncio
async def test_completes_the_last_option(town, run, gardener):
    await run(gardener)
    assert await town.tamsin.complete(town.guild.room, "/dose ec:2 water:10") == [
        ("10 gal", "10gal")
    ]
    with pytest.raises(Refused, match="no completion"):
        await town.tamsin.complete(town.guild.room, "/dose water:10 ec:2")


@pytest.mark.asyncio
async def test_commands_of_coaches_are_not_offered_to_members(town, run, gardener):
    @gardener.tree.command(description="For coaches")
    @app_commands.default_permissions(manage_guild=True)
    @app_commands.guild_only()
    async def overview(interaction: discord.Interaction) -> None:
        await interaction.response.send_message("all towers", ephemeral=True)

    await run(gardener)
    with pytest.raises(Refused, match="no command"):
        await town.tamsin.say(town.guild.room, "/overview")
    with pytest.raises(Refused, match="no command"):
        await town.wenna.say(town.wenna.private, "/overview")
    seen = await town.wenna.say(town.guild.room, "/overview")
    assert contents(seen) == [("only you", "all towers")]
    assert town.tamsin.history(town.guild.room) == []


class Panel(ui.View):
    def __init__(self) -> None:
        super().__init__(timeout=None)

    @ui.button(label="Kitchen", custom_id="kitchen")
    async def kitchen(self, interaction: discord.Interaction, _: Any) -> None:
        await interaction.response.edit_message(content="kitchen it is")

    @ui.button(label="Porch", custom_id="porch", disabled=True)
    async def porch(self, interaction: discord.Interaction, _: Any) -> None: ...

    @ui.button(label="Level", custom_id="level")
    async def level(self, interaction: discord.Interaction, _: Any) -> None:
        await interaction.response.send_modal(LevelForm())

    @ui.button(label="Quiet", custom_id="quiet")
    async def quiet(self, interaction: discord.Interaction, _: Any) -> None:
        await interaction.response.defer()

    @ui.select(
        custom_id="tower",
        options=[discord.SelectOption(label=name, value=name[0]) for name in ("kitchen", "porch")],
    )
    async def choose(self, interaction: discord.Interaction, select: Any) -> None:
        await interaction.response.send_message(f"chose {select.values}", ephemeral=True)


class LevelForm(ui.Modal, title="Water level"):
    level: Any = ui.Label(text="Level", component=ui.TextInput(max_length=10))
    kind: Any = ui.Label(
        text="Kind",
        component=ui.Select(
            required=False,
            options=[discord.SelectOption(label="Seen", value="s", default=True)],
        ),
    )

    async def on_submit(self, interaction: discord.Interaction) -> None:
        answer = f"{self.level.component.value} {self.kind.component.values}"
        await interaction.response.edit_message(content=answer)
        await interaction.followup.send("noted", ephemeral=True)


@pytest.fixture
def panel(gardener: Gardener) -> Gardener:
    @gardener.tree.command(description="The panel")
    async def panel(interaction: discord.Interaction) -> None:
        await interaction.response.send_message("pick", view=Panel())

    return gardener


@pytest.mark.asyncio
async def test_buttons_are_pressed_by_label_or_id_and_edits_are_seen(town, run, panel):
    await run(panel)
    [shown] = await town.tamsin.say(town.guild.room, "/panel")
    assert [b.label for b in shown.buttons] == ["Kitchen", "Porch", "Level", "Quiet"]
    [edited] = await town.tamsin.press(shown, "Kitchen")
    assert (edited.id, edited.content, edited.edited) == (shown.id, "kitchen it is", True)
    assert [e.content for e in await town.ife.press(shown, "kitchen")] == ["kitchen it is"]
    town.server.board.patience_s = 0.05
    assert await town.tamsin.press(shown, "Quiet") == []
    with pytest.raises(Refused, match="disabled"):
        await town.tamsin.press(shown, "Porch")
    with pytest.raises(Refused, match="no button"):
        await town.tamsin.press(shown, "Library")


@pytest.mark.asyncio
async def test_menus_and_forms_go_there_and_back(town, run, panel):
    await run(panel)
    [shown] = await town.tamsin.say(town.guild.room, "/panel")
    seen = await town.tamsin.choose(shown, ["porch"])
    assert contents(seen) == [("only you", "chose ['p']")]
    [form] = await town.tamsin.press(shown, "Level")
    assert (form.kind, form.title) == ("form", "Water level")
    assert [(f.label, f.required, f.value) for f in form.fields] == [
        ("Level", True, ""),
        ("Kind", False, "s"),
    ]
    with pytest.raises(Refused, match="Level: is required"):
        await town.tamsin.submit(form, {})
    with pytest.raises(Refused, match="0 to 10 characters"):
        await town.tamsin.submit(form, {"Level": "x" * 11})
    with pytest.raises(Refused, match='no field "Depth"'):
        await town.tamsin.submit(form, {"Level": "half", "Depth": "1"})
    seen = await town.tamsin.submit(form, {"Level": "half"})
    assert contents(seen) == [("room", "half ['s']"), ("only you", "noted")]


@pytest.mark.asyncio
async def test_a_forged_press_is_left_unanswered(town, run, panel):
    await run(panel)
    [shown] = await town.tamsin.say(town.guild.room, "/panel")
    seen = await town.ife.press_raw(town.guild.room, shown.id, "forged")
    assert contents(seen) == [("only you", "The application did not respond")]


@pytest.mark.asyncio
async def test_a_deferred_hidden_answer_is_waited_for_and_stays_hidden(town, run, gardener):
    release = asyncio.Event()

    @gardener.tree.command(description="Slow")
    async def slow(interaction: discord.Interaction) -> None:
        await interaction.response.defer(ephemeral=True)
        await release.wait()
        await interaction.edit_original_response(content="done")

    await run(gardener)
    early = await town.tamsin.say(town.guild.room, "/slow", timeout_s=0.1)
    assert contents(early) == [("only you", "Tankwren is thinking...")]
    asyncio.get_running_loop().call_later(0.1, release.set)
    seen = await town.tamsin.say(town.guild.room, "/slow")
    assert [(e.where, e.content, e.edited) for e in seen] == [("only you", "done", False)]
    assert town.guild.room.messages == {}
    assert town.ife.history(town.guild.room) == []


@pytest.mark.asyncio
async def test_a_post_beside_it_does_not_answer_a_command(town, run, gardener):
    @gardener.tree.command(description="Post")
    async def post(interaction: discord.Interaction) -> None:
        await gardener.get_channel(town.guild.room.id).send("for all")
        await asyncio.sleep(0.2)
        await interaction.response.send_message("done", ephemeral=True)

    await run(gardener)
    seen = await town.tamsin.say(town.guild.room, "/post")
    assert contents(seen) == [("room", "for all"), ("only you", "done")]


@pytest.mark.asyncio
async def test_a_follow_up_fills_in_a_deferred_answer_and_cannot_unhide_it(town, run, gardener):
    @gardener.tree.command(description="Slow")
    async def slow(interaction: discord.Interaction) -> None:
        await interaction.response.defer(ephemeral=True)
        await interaction.followup.send("first", ephemeral=False)
        message = await interaction.followup.send("second", wait=True)
        await message.edit(content="third")
        await interaction.delete_original_response()

    await run(gardener)
    seen = await town.tamsin.say(town.guild.room, "/slow")
    assert [(e.where, e.content, e.edited) for e in seen] == [
        ("only you", "first", False),
        ("room", "second", False),
        ("room", "third", True),
    ]
    assert [e.content for e in town.tamsin.history(town.guild.room)] == ["third"]
    assert [m["deleted"] for m in town.server.messages] == [True, False]


@pytest.mark.asyncio
async def test_answers_out_of_turn_get_the_platforms_codes(town, run, gardener):
    codes: list[int] = []

    async def code(work: Any) -> None:
        try:
            await work
        except discord.HTTPException as refusal:
            codes.append(refusal.code)

    @gardener.tree.command(description="Wrong")
    async def wrong(interaction: discord.Interaction) -> None:
        adapter = discord.webhook.async_.async_context.get()
        session = interaction._session

        async def answer(kind: int, data: Any) -> None:
            form = discord.http.MultipartParameters({"type": kind, "data": data}, None, None)
            await adapter.create_interaction_response(
                interaction.id, interaction.token, session=session, params=form
            )

        await code(interaction.followup.send("before the first"))
        await code(answer(7, {"content": "x"}))
        await code(answer(8, {"choices": []}))
        await code(answer(4, {"content": "x" * 2001}))
        await code(answer(9, {"title": "t" * 46, "custom_id": "c", "components": []}))
        await code(answer(4, {"content": "first"}))
        await code(answer(4, {"content": "second"}))
        interaction_kept = town.server.board.interactions.by_id[interaction.id]
        interaction_kept.begun -= 16 * 60
        await code(interaction.edit_original_response(content="too late"))

    await run(gardener)
    seen = await town.tamsin.say(town.guild.room, "/wrong")
    assert contents(seen) == [("room", "first")]
    assert codes == [10015, 50035, 50035, 50035, 50035, 40060, 50027]


@pytest.mark.asyncio
async def test_a_late_callback_is_an_unknown_interaction(town, run, gardener):
    codes: list[int] = []

    @gardener.tree.command(description="Late")
    async def late(interaction: discord.Interaction) -> None:
        town.server.board.interactions.by_id[interaction.id].begun -= 3.1
        try:
            await interaction.response.send_message("late")
        except discord.NotFound as refusal:
            codes.append(refusal.code)

    await run(gardener)
    seen = await town.tamsin.say(town.guild.room, "/late")
    assert contents(seen) == [("only you", "The application did not respond")]
    assert codes == [10062]


@pytest.mark.asyncio
async def test_an_autocomplete_of_26_choices_is_refused(town, run, gardener):
    codes: list[int] = []

    @gardener.tree.command(description="Many")
    async def many(interaction: discord.Interaction, one: str) -> None: ...

    @many.autocomplete("one")
    async def ones(
        interaction: discord.Interaction, current: str
    ) -> list[app_commands.Choice[str]]:
        choices = [app_commands.Choice(name="n", value="v") for _ in range(26)]
        try:
            await interaction.response.autocomplete(choices)
        except discord.HTTPException as refusal:
            codes.append(refusal.code)
        return choices[:1]

    await run(gardener)
    assert await town.tamsin.complete(town.guild.room, "/many one:x") == [("n", "v")]
    assert codes == [50035]


@pytest.mark.asyncio
async def test_sentences_are_heard_when_mentioned_or_in_private_only(town, run, gardener):
    gardener.reply = lambda message: message.channel.send(f"heard {message.content or 'nothing'}")
    await run(gardener)
    bot = f"<@{town.server.application_id}>"
    assert contents(await town.tamsin.say(town.guild.room, "ec 1.9")) == [
        ("room", f"heard {bot} ec 1.9")
    ]
    assert gardener.heard[-1].mentions[0].id == town.server.application_id
    seen = await town.tamsin.say(town.guild.room, "ec 2.0", mention=False)
    assert contents(seen) == [("room", "heard nothing")]
    assert contents(await town.tamsin.say(town.tamsin.private, "hello")) == [
        ("private", "heard hello")
    ]
    assert isinstance(gardener.heard[-1].channel, discord.DMChannel)


@pytest.mark.asyncio
async def test_private_messages_arrive_until_they_are_closed(town, run, gardener):
    codes: list[int] = []

    async def reply(message: discord.Message) -> None:
        try:
            await message.author.send("psst")
        except discord.Forbidden as refusal:
            codes.append(refusal.code)
        await message.reply("done")

    gardener.reply = reply
    await run(gardener)
    seen = await town.tamsin.say(town.guild.room, "write to me")
    assert contents(seen) == [("private", "psst"), ("room", "done")]
    town.tamsin.close_private()
    assert contents(await town.tamsin.say(town.guild.room, "again")) == [("room", "done")]
    assert codes == [50007]


@pytest.mark.asyncio
async def test_an_unanswered_message_ends_with_the_time_given(town, run, gardener):
    await run(gardener)
    assert await town.tamsin.say(town.guild.room, "anyone", timeout_s=0.05) == []


@pytest.mark.asyncio
async def test_a_layout_with_a_file_is_seen_whole(town, run, gardener):
    @gardener.tree.command(description="Card")
    async def card(interaction: discord.Interaction) -> None:
        view = ui.LayoutView()
        view.add_item(ui.Container(ui.TextDisplay("EC 1.9"), ui.File("attachment://log.csv")))
        file = discord.File(io.BytesIO(b"day,ec"), "log.csv")
        await interaction.response.send_message(view=view, file=file)

    await run(gardener)
    [shown] = await town.tamsin.say(town.guild.room, "/card")
    assert (shown.content, shown.text) == ("", "EC 1.9")
    assert [(f.name, f.data) for f in shown.files] == [("log.csv", b"day,ec")]
    message = await gardener.get_channel(town.guild.room.id).fetch_message(shown.id)
    assert message.flags.components_v2
    assert await message.attachments[0].read() == b"day,ec"


@pytest.mark.asyncio
async def test_a_press_acknowledged_first_is_waited_for_until_its_edit(town, run, gardener):
    @gardener.event
    async def on_interaction(interaction: discord.Interaction) -> None:
        if interaction.type is discord.InteractionType.component:
            await interaction.response.defer()
            await asyncio.get_running_loop().run_in_executor(None, threading.Event().wait, 0.15)
            await interaction.edit_original_response(content="edited")

    await run(gardener)
    room = gardener.get_channel(town.guild.room.id)
    message = await room.send("pick", view=Panel())
    seen = await town.tamsin.press_raw(town.guild.room, message.id, "unheard of")
    assert [(e.content, e.edited) for e in seen] == [("edited", True)]


@pytest.mark.asyncio
async def test_a_prepared_command_can_be_fired_many_at_a_time(town, run, gardener):
    await run(gardener)
    handle = town.server.prepare(town.tamsin, town.guild.room, "/dose water:10 gal")
    times = await asyncio.gather(*(town.server.fire(handle) for _ in range(50)))
    assert len(town.server.messages) == 50
    assert {m["content"] for m in town.server.messages} == {"10 gal|1.0|None|1|False|None|None"}
    assert all(0 < seconds < 3 for seconds in times)
    town.server.forget_messages()
    assert town.server.messages == []


@pytest.mark.asyncio
async def test_a_person_sees_only_answers_to_their_own_act(town, run, gardener):
    gardener.reply = lambda message: message.reply(f"to {message.author.name}")
    await run(gardener)
    both = await asyncio.gather(
        town.tamsin.say(town.guild.room, "one"), town.ife.say(town.guild.room, "two")
    )
    assert [contents(seen) for seen in both] == [[("room", "to tamsin")], [("room", "to ife")]]


@pytest.mark.asyncio
async def test_a_repeated_nonce_gives_the_client_its_first_message(town, run, gardener):
    await run(gardener)
    room = gardener.get_channel(town.guild.room.id)
    first = await room.send("once", nonce="tw1")
    assert (await room.send("once", nonce="tw1")).id == first.id
    assert len(town.server.messages) == 1


@pytest.mark.asyncio
async def test_the_client_waits_out_a_429(town, run, gardener):
    await run(gardener)
    town.server.script(Fault(method="POST", path_regex="messages$", status=429, retry_after=0.02))
    await gardener.get_channel(town.guild.room.id).send("in the end")
    statuses = [e["status"] for e in town.server.requests if e["path"].endswith("messages")]
    assert statuses == [429, 200]


@pytest.mark.asyncio
async def test_a_dropped_connection_is_resumed_and_what_was_missed_is_replayed(town, run, gardener):
    gardener.reply = lambda message: message.channel.send("still here")
    await run(gardener)
    town.server.drop_gateway()
    seen = await town.tamsin.say(town.tamsin.private, "are you there")
    await asyncio.wait_for(gardener.resumed.wait(), 5)
    assert contents(seen) == [("private", "still here")]
    assert (town.server.board.gateway.identifies, town.server.board.gateway.resumes) == (1, 1)


@pytest.mark.asyncio
async def test_a_closed_channel_and_a_kick_reach_the_client(town, run, gardener):
    await run(gardener)
    deleted = asyncio.create_task(gardener.wait_for("guild_channel_delete", timeout=5))
    removed = asyncio.create_task(gardener.wait_for("guild_remove", timeout=5))
    await asyncio.sleep(0)
    town.server.delete_channel(town.guild.room)
    town.server.kick_bot(town.guild)
    assert (await deleted).id == town.guild.room.id
    assert (await removed).id == town.guild.id
    joined = asyncio.create_task(gardener.wait_for("guild_join", timeout=5))
    await asyncio.sleep(0)
    town.server.invite_bot(town.guild)
    assert (await joined).id == town.guild.id
