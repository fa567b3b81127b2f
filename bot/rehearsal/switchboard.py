"""Everything the server knows, and the few ways in which it changes."""

import asyncio
import json
import time
from collections import deque
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from bot.rehearsal.acts.seen import message_seen, silence
from bot.rehearsal.acts.watch import Audience, Watch
from bot.rehearsal.drafts import Upload, attach, check_edit, fill, take
from bot.rehearsal.faults import Script
from bot.rehearsal.gateway.service import CONTENT, DIRECT_MESSAGES, GUILD_MESSAGES, GUILDS, Gateway
from bot.rehearsal.interactions import ANSWER_S, Interaction, Interactions, Prepared
from bot.rehearsal.payloads import Payloads
from bot.rehearsal.ratelimits import RateLimits
from bot.rehearsal.registry import Registry
from bot.rehearsal.rules.errors import Json, refuse
from bot.rehearsal.rules.messages import check_message
from bot.rehearsal.world import LOADING, Account, Channel, Message, World

_dumps = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False).encode


class Switchboard:
    """Holds the parts together and passes on what happens."""

    def __init__(
        self, now: Callable[[], datetime], *, bot_name: str, token: str, rate_limits: bool
    ) -> None:
        self.token = token
        self.token_revoked = False
        self.world = World(now, bot_name)
        self.payloads = Payloads(self.world)
        self.limits = RateLimits(now, enabled=rate_limits)
        self.script = Script()
        self.audience = Audience()
        self.gateway = Gateway(self.world, self.payloads, heartbeat_s=41.25)
        self.gateway.token_valid = self.token_valid
        self.interactions = Interactions(self.world, self.payloads)
        self.registry = Registry(self.world)
        self.nonces: dict[str, tuple[float, Message]] = {}
        self.nonce_memory_s = 180.0
        # how long the bot must be quiet, and how long an edit may follow a bare acknowledgement
        self.grace_s = 0.05
        self.patience_s = 1.0
        self.requests: deque[Json] = deque(maxlen=50_000)
        self.surprises: list[str] = []

    def token_valid(self, token: str) -> bool:
        """Whether this is the bot's token, and not revoked."""
        return token == self.token and not self.token_revoked

    # What happens to messages

    def draft(self, channel: Channel, author: Json) -> Message:
        """A new empty message, not yet visible."""
        identity = self.world.snowflakes.next()
        return Message(id=identity, channel=channel, author=author, timestamp=self.world.stamp())

    def compose(self, message: Message, body: Json, uploads: list[Upload], *, new: bool) -> None:
        """Check a body and put it into the message; raises before anything visible changes."""
        if new:
            check_message(body, has_files=bool(uploads))
            fill(self.world, message, body)
            attach(self.world, self.payloads, message, body, uploads)
            return
        check_edit(message, body, has_files=bool(uploads))
        draft = replace(message, files=list(message.files))
        fill(self.world, draft, body)
        attach(self.world, self.payloads, draft, body, uploads)
        take(message, draft)

    def nonce_of(self, body: Json) -> Message | None:
        """The message this nonce has already made, if it is to be enforced."""
        nonce = body.get("nonce")
        if nonce is None or not body.get("enforce_nonce"):
            return None
        made, message = self.nonces.get(str(nonce), (0.0, None))
        if message is None or time.monotonic() - made > self.nonce_memory_s:
            return None
        if message.deleted:
            raise refuse(10008)
        return message

    def keep_nonce(self, message: Message) -> None:
        """Remember which message a nonce made."""
        if message.nonce is None:
            return
        moment = time.monotonic()
        self.nonces[str(message.nonce)] = (moment, message)
        while self.nonces:
            oldest = next(iter(self.nonces))
            if moment - self.nonces[oldest][0] <= self.nonce_memory_s:
                break
            del self.nonces[oldest]

    def publish(self, message: Message, cause: int | None = None) -> None:
        """A new message becomes visible."""
        self.world.keep(message)
        self._announce("MESSAGE_CREATE", message)
        if message.author["id"] == str(self.world.bot_id):
            self._show(message, cause, edited=False)
        self.audience.stir()

    def changed(self, message: Message, cause: int | None = None) -> None:
        """A message was edited; a deferred answer filled in counts as new."""
        was_loading = message.loading
        if was_loading:
            message.flags &= ~LOADING
        else:
            message.edited = self.world.stamp()
        self._announce("MESSAGE_UPDATE", message)
        self._show(message, cause, edited=not was_loading)
        self.audience.stir()

    def remove(self, message: Message, cause: int | None = None) -> None:
        """A message is deleted."""
        self.world.drop(message)
        channel = message.channel
        data: Json = {"id": str(message.id), "channel_id": str(channel.id)}
        if channel.guild is not None:
            data["guild_id"] = str(channel.guild.id)
        if not message.ephemeral:
            self._dispatch_message("MESSAGE_DELETE", channel, data)
        watch = None if cause is None else self.audience.of(cause)
        if watch is not None:
            watch.pending = False
            watch.answered = True
            watch.touch()
        self.audience.stir()

    def _show(self, message: Message, cause: int | None, *, edited: bool) -> None:
        if message.loading:
            return
        for watch in self.audience.for_message(message, cause):
            own = watch.interaction_id == cause
            if own and cause is not None:
                watch.pending = False
            shown = message_seen(message, self.payloads.message(message), edited=edited)
            watch.add(shown, answers=own)

    def _announce(self, event: str, message: Message) -> None:
        if message.ephemeral or not self.gateway.sessions:
            return
        channel = message.channel
        wanted = DIRECT_MESSAGES if channel.guild is None else GUILD_MESSAGES
        if not any(session.intents & wanted for session in self.gateway.sessions.values()):
            return
        data = self.payloads.message(message)
        if channel.guild is not None:
            data["guild_id"] = str(channel.guild.id)
            author = self.world.people.get(int(message.author["id"]))
            if author is not None:
                data["member"] = self.payloads.member(channel.guild, author, with_user=False)
        bot = str(self.world.bot_id)
        if f"<@{bot}>" in message.content:
            data["mentions"] = [*data["mentions"], self.payloads.bot()]
        elif channel.guild is not None and message.author["id"] != bot:
            blank = {**data, "content": "", "embeds": [], "components": [], "attachments": []}
            self._dispatch_message(event, channel, blank, without=CONTENT)
            self._dispatch_message(event, channel, data, extra=CONTENT)
            return
        self._dispatch_message(event, channel, data)

    def _dispatch_message(
        self, event: str, channel: Channel, data: Json, *, extra: int = 0, without: int = 0
    ) -> None:
        wanted = DIRECT_MESSAGES if channel.guild is None else GUILD_MESSAGES
        self.gateway.dispatch(event, data, channel.guild, wanted | extra, without)

    # Interactions

    def begin(self, prepared: Prepared) -> Interaction:
        """Send an interaction to the bot."""
        interaction, text = self.interactions.begin(prepared)
        self.gateway.dispatch_text("INTERACTION_CREATE", text, prepared.channel.guild)
        return interaction

    def watch(self, person: Account, interaction: Interaction | None) -> Watch:
        """Start to look on for this person; an interaction has 3 s to be answered."""
        watch = Watch(person, None if interaction is None else interaction.id)
        self.audience.watches.append(watch)
        if interaction is not None:
            left = max(interaction.begun + ANSWER_S - time.monotonic(), 0.0)
            asyncio.get_running_loop().call_later(left, self._give_up, interaction, watch)
        return watch

    def _give_up(self, interaction: Interaction, watch: Watch) -> None:
        if interaction.callback is None and watch in self.audience.watches:
            interaction.silent = True
            watch.add(silence(interaction.prepared.channel.id))

    def room_for_bot(self, channel_id: int) -> Channel:
        """The channel, if the bot may use it; else the platform's refusal."""
        channel = self.world.channels.get(channel_id)
        if channel is None or channel.deleted:
            raise refuse(10003)
        if channel.guild is not None and not channel.guild.bot_present:
            raise refuse(50001)
        if channel.refusal is not None:
            raise refuse(channel.refusal)
        return channel

    def may_write(self, channel: Channel) -> None:
        """Raise when the bot cannot write to this person."""
        person = channel.person
        if person is None:
            return
        if person.private_closed:
            raise refuse(50007)
        if not person.shares_a_guild():
            raise refuse(50278)

    def tell_channel(self, event: str, channel: Channel) -> None:
        """CHANNEL_CREATE or CHANNEL_DELETE."""
        self.gateway.dispatch(event, self.payloads.channel(channel), channel.guild, GUILDS)
