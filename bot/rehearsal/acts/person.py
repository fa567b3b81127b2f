"""What a person can do, as in the platform's own client."""

import asyncio
from collections.abc import Mapping, Sequence

from bot.rehearsal.acts.forms import form_data
from bot.rehearsal.acts.pressed import button_data, menu_data
from bot.rehearsal.acts.resolved import command_data
from bot.rehearsal.acts.seen import Refused, Seen, message_seen
from bot.rehearsal.acts.typed import UPLOAD, Converter, offered, read, wrap
from bot.rehearsal.acts.uploads import keep_files, take_files
from bot.rehearsal.acts.watch import Watch
from bot.rehearsal.drafts import MENTION
from bot.rehearsal.interactions import ANSWER_S, COMMAND, COMPLETION, COMPONENT, FORM, Prepared
from bot.rehearsal.rules.components import BUTTON
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.switchboard import Switchboard
from bot.rehearsal.world import Account, Channel, Message


class Person:
    """One person of the town, and everything they can do to the bot."""

    def __init__(self, board: Switchboard, account: Account) -> None:
        self._board = board
        self.account = account

    @property
    def id(self) -> int:
        """The person's id."""
        return self.account.id

    @property
    def name(self) -> str:
        """The person's name."""
        return self.account.name

    @property
    def locale(self) -> str:
        """The language the person's client is set to."""
        return self.account.locale

    @property
    def private(self) -> Channel:
        """The private channel of this person with the bot."""
        return self.account.private

    def close_private(self) -> None:
        """Take no more private messages from the bot (it is told 50007)."""
        self.account.private_closed = True

    def open_private(self) -> None:
        """Take private messages again."""
        self.account.private_closed = False

    async def say(
        self,
        where: Channel,
        text: str,
        timeout_s: float = 5.0,
        *,
        mention: bool = True,
        files: Sequence[tuple[str, bytes]] = (),
    ) -> list[Seen]:
        """Send a message, or a slash command as typed; returns what the bot did in answer.

        `files` are (name, bytes). They go with the message; of a command each must be the value
        of an option, typed as its name.
        """
        self._can_open(where)
        # half of a surrogate pair cannot be typed
        text = text.encode("utf-8", "ignore").decode()
        if text.startswith("/"):
            return await self._fire(self.prepare(where, text, files), timeout_s)
        bot = f"<@{self._board.world.bot_id}>"
        if where.guild is not None and mention:
            text = f"{bot} {text}"
        taken = take_files(self._board.world, where, files)
        if not text.strip() and not taken:
            raise Refused("The message is empty.")
        if len(text) > 2000:
            raise Refused("The message is longer than 2000 characters.")
        message = self._board.draft(where, self._board.payloads.user(self.account))
        message.content = text
        message.files = taken
        keep_files(self._board.world, taken)
        people = self._board.world.people
        wanted = {int(match[1]) for match in MENTION.finditer(text)}
        message.mentions = [people[identity] for identity in wanted if identity in people]
        watch = self._board.watch(self.account, None)
        self._board.publish(message)
        return await self._settle(watch, timeout_s)

    def prepare(
        self, where: Channel, text: str, files: Sequence[tuple[str, bytes]] = ()
    ) -> Prepared:
        """A slash command read and checked, ready to be fired any number of times."""
        self._can_open(where)
        commands = self._commands(where)
        typed = read(text, commands, self.account.locale)
        taken = take_files(self._board.world, where, files)
        converter = Converter(self._board.world, self.account, where, taken)
        options = wrap(typed.path, converter.command_options(typed))
        keep_files(self._board.world, taken)
        data = self._data(where, typed.command, options, converter)
        return self._board.interactions.prepare(COMMAND, self.account, where, data)

    def commands(self, where: Channel) -> list[Json]:
        """The slash commands the platform offers this person here, as registered."""
        self._can_open(where)
        return self._commands(where)

    def _commands(self, where: Channel) -> list[Json]:
        if where.guild is not None and not where.guild.bot_present:
            return []
        guild_id = None if where.guild is None else where.guild.id
        return offered(self._board.registry.visible(guild_id), self.account, where)

    def _data(
        self, where: Channel, command: Json, options: list[Json], converter: Converter
    ) -> Json:
        return command_data(self._board.payloads, self.account, where, command, options, converter)

    async def complete(self, where: Channel, text: str) -> list[tuple[str, object]]:
        """The completions offered for the last option typed."""
        self._can_open(where)
        typed = read(text, self._commands(where), self.account.locale)
        if not typed.values or not typed.values[-1][0].get("autocomplete"):
            raise Refused("There is no completion here.")
        options: list[Json] = [
            {"name": option["name"], "type": option["type"], "value": value}
            for option, value in typed.values
            # a file is uploaded with the command itself, not before
            if option["type"] != UPLOAD
        ]
        options[-1]["focused"] = True
        converter = Converter(self._board.world, self.account, where)
        data = self._data(where, typed.command, wrap(typed.path, options), converter)
        prepared = self._board.interactions.prepare(COMPLETION, self.account, where, data)
        interaction = self._board.begin(prepared)
        interaction.answered = asyncio.get_running_loop().create_future()
        try:
            async with asyncio.timeout(ANSWER_S):
                await interaction.answered
        except TimeoutError:
            interaction.silent = True
        return [(choice["name"], choice["value"]) for choice in interaction.choices]

    async def press(self, shown: Seen, which: str, timeout_s: float = 5.0) -> list[Seen]:
        """Press a button, by its label or custom_id."""
        message = self._message(shown)
        data = button_data(message, which)
        return await self._component(message, data, timeout_s)

    async def choose(
        self, shown: Seen, values: Sequence[str], which: str | None = None, timeout_s: float = 5.0
    ) -> list[Seen]:
        """Take options of a select menu, by value or label; `which` names it by custom_id."""
        message = self._message(shown)
        data = menu_data(message, values, which)
        return await self._component(message, data, timeout_s)

    async def press_raw(
        self, where: Channel, message_id: int, custom_id: str, timeout_s: float = 5.0
    ) -> list[Seen]:
        """A press with any custom_id at all, as a forger would send it."""
        message = self._board.world.find(where, message_id)
        if message is None:
            message = self._board.draft(where, self._board.payloads.bot())
            message.id = message_id
        data: Json = {"custom_id": custom_id, "component_type": BUTTON, "id": 1}
        return await self._component(message, data, timeout_s)

    async def submit(
        self, form: Seen, values: Mapping[str, object], timeout_s: float = 5.0
    ) -> list[Seen]:
        """Send a form; fields by label or custom_id, those not named keep what they hold."""
        origin = self._board.interactions.by_id.get(form.interaction_id)
        if origin is None or form.kind != "form":
            raise Refused("The form is gone.")
        data = form_data(form, values)
        prepared = self._board.interactions.prepare(
            FORM, self.account, origin.prepared.channel, data, origin.prepared.source
        )
        return await self._fire(prepared, timeout_s)

    def history(self, where: Channel) -> list[Seen]:
        """Everything this person sees in a channel now, hidden messages to them included."""
        return [
            message_seen(m, self._board.payloads.message(m), edited=m.edited is not None)
            for m in self.messages(where)
        ]

    def messages(self, where: Channel) -> list[Message]:
        """The messages of `history`, as the server keeps them."""
        self._can_open(where)
        hidden = [m for m in self._board.world.hidden.values() if m.channel is where]
        mine = [m for m in hidden if m.hidden_for is self.account]
        return sorted([*where.messages.values(), *mine], key=lambda message: message.id)

    def _can_open(self, where: Channel) -> None:
        if where.deleted or not where.seen_by(self.account):
            raise Refused("You cannot open this channel.")

    def _message(self, shown: Seen) -> Message:
        channel = self._board.world.channels.get(shown.channel_id)
        message = None if channel is None else self._board.world.find(channel, shown.id)
        if message is None or message.hidden_for not in (None, self.account):
            raise Refused("The message is gone.")
        self._can_open(message.channel)
        return message

    async def _component(self, message: Message, data: Json, timeout_s: float) -> list[Seen]:
        prepared = self._board.interactions.prepare(
            COMPONENT, self.account, message.channel, data, message
        )
        return await self._fire(prepared, timeout_s)

    async def _fire(self, prepared: Prepared, timeout_s: float) -> list[Seen]:
        interaction = self._board.begin(prepared)
        return await self._settle(self._board.watch(self.account, interaction), timeout_s)

    async def _settle(self, watch: Watch, timeout_s: float) -> list[Seen]:
        board = self._board
        try:
            await watch.wait(timeout_s, grace_s=board.grace_s, patience_s=board.patience_s)
        finally:
            board.audience.watches.remove(watch)
        if watch.pending and watch.interaction_id is not None:
            original = board.interactions.by_id[watch.interaction_id].original
            if original is not None:
                shown = message_seen(original, board.payloads.message(original), edited=False)
                watch.seen.append(shown)
        return watch.seen
