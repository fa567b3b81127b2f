"""The server as its users see it: a town to fill, a bot to wait for, faults to ask for."""

import asyncio
import secrets
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

from aiohttp import web

from bot.rehearsal.acts.person import Person
from bot.rehearsal.api.transport import Transport
from bot.rehearsal.faults import Fault
from bot.rehearsal.gateway.service import GUILDS
from bot.rehearsal.instrument import Instrument
from bot.rehearsal.interactions import ANSWER_S, Prepared
from bot.rehearsal.page.service import Page
from bot.rehearsal.ratelimits import RateLimits
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.switchboard import Switchboard
from bot.rehearsal.world import Account, Channel, Guild


class ChatServer:
    """A loopback chat server for one bot."""

    def __init__(
        self,
        *,
        now: Callable[[], datetime],
        port: int = 0,
        record: Path | None = None,
        bot_name: str = "Tankwren",
        token: str | None = None,
        rate_limits: bool = True,
        page: bool = False,
        instrument: Instrument | None = None,
    ) -> None:
        self.token = token or f"rehearsal.{secrets.token_hex(16)}"
        self.board = Switchboard(now, bot_name=bot_name, token=self.token, rate_limits=rate_limits)
        self.people: dict[int, Person] = {}
        self.api_url = ""
        self.gateway_url = ""
        self.page_url = ""
        self._port = port
        self._page = Page(self.board, self.people, instrument) if page else None
        self._transport = Transport(self.board, record, self._page)
        self._runner: web.ServerRunner | None = None

    @property
    def application_id(self) -> int:
        """The bot's id, which is its application's too."""
        return self.board.world.bot_id

    @property
    def messages(self) -> list[Json]:
        """Every message ever created, in order, as it stands now; deleted and hidden ones too."""
        payload = self.board.payloads.message
        return [
            {**payload(message), "deleted": message.deleted} for message in self.board.world.created
        ]

    @property
    def requests(self) -> list[Json]:
        """The requests received, as recorded, each with the status it was given."""
        return list(self.board.requests)

    @property
    def limits(self) -> RateLimits:
        """The rate limits, to be set or switched off."""
        return self.board.limits

    # The town

    def add_guild(
        self, name: str, *, room: str = "general", id: int | None = None, room_id: int | None = None
    ) -> Guild:
        """A community with one room; the bot is in it."""
        world = self.board.world
        guild = Guild(
            id=id or world.snowflakes.next(),
            name=name,
            coach_role=world.snowflakes.next(),
            joined=world.stamp(),
        )
        world.guilds[guild.id] = guild
        self._add_channel(guild, room, room_id)
        self._join(guild)
        return guild

    def _join(self, guild: Guild) -> None:
        data = self.board.payloads.guild(guild)
        # a client tells a new community from one that came back by this key's absence
        del data["unavailable"]
        self.board.gateway.dispatch("GUILD_CREATE", data, guild, GUILDS)

    def _add_channel(self, guild: Guild, name: str, identity: int | None) -> Channel:
        world = self.board.world
        channel = Channel(id=identity or world.snowflakes.next(), name=name, guild=guild)
        guild.channels.append(channel)
        world.channels[channel.id] = channel
        return channel

    def add_room(self, guild: Guild, name: str, *, id: int | None = None) -> Channel:
        """One more room."""
        channel = self._add_channel(guild, name, id)
        self.board.tell_channel("CHANNEL_CREATE", channel)
        return channel

    def add_person(
        self,
        name: str,
        *,
        locale: str = "en-US",
        guilds: Sequence[Guild] = (),
        coach: bool = False,
        id: int | None = None,
    ) -> Person:
        """A person, member of these communities; a coach may do everything there."""
        world = self.board.world
        identity = id or world.snowflakes.next()
        private = Channel(id=world.snowflakes.next(), name=name)
        account = Account(
            id=identity,
            name=name,
            locale=locale,
            coach=coach,
            private=private,
            guilds=list(guilds),
        )
        private.person = account
        world.channels[private.id] = private
        world.people[identity] = account
        for guild in guilds:
            guild.people.append(account)
        self.people[identity] = person = Person(self.board, account)
        return person

    # Running

    async def start(self) -> None:
        """Listen on 127.0.0.1; OSError when the port is in use."""
        self._transport.open()
        server = web.Server(
            self._transport.handle,
            request_factory=self._transport.make_request,
            access_log=None,
            keepalive_timeout=75,
        )
        runner = web.ServerRunner(server, shutdown_timeout=0.2)
        await runner.setup()
        try:
            site = web.TCPSite(runner, "127.0.0.1", self._port)
            await site.start()
        except OSError:
            await runner.cleanup()
            self._transport.close()
            raise
        self._runner = runner
        host, port = runner.addresses[0][:2]
        self.api_url = f"http://{host}:{port}/api/v10"
        self.gateway_url = self.board.gateway.url = f"ws://{host}:{port}/gateway"
        self.page_url = f"http://{host}:{port}/" if self._page is not None else ""
        self.board.payloads.files_url = f"http://{host}:{port}/cdn"

    async def wait_ready(self, timeout_s: float = 10.0) -> None:
        """Return when the bot is connected, told about its communities, and has synced."""
        async with asyncio.timeout(timeout_s):
            await self.board.gateway.ready.wait()
            await self.board.registry.synced.wait()

    async def stop(self) -> None:
        """End every connection and task."""
        if self._page is not None:
            await self._page.close()
        self.board.gateway.close_all(1001)
        if self._runner is not None:
            await self._runner.cleanup()
            self._runner = None
        self._transport.close()

    # Benches

    def prepare(self, person: Person, where: Channel, text: str) -> Prepared:
        """Read and check a slash command once, to be fired many times."""
        return person.prepare(where, text)

    async def fire(self, prepared: Prepared) -> float:
        """Send the interaction; the seconds until its callback came (TimeoutError after 3)."""
        begun = time.perf_counter()
        interaction = self.board.begin(prepared)
        interaction.answered = asyncio.get_running_loop().create_future()
        async with asyncio.timeout(ANSWER_S):
            await interaction.answered
        return time.perf_counter() - begun

    def forget_messages(self) -> None:
        """Empty every channel, the created messages and the requests: keeps a long bench small.

        Interactions under way are forgotten as well: their follow-ups would find no webhook.
        """
        self.board.interactions.forget_all()
        self.board.requests.clear()
        world = self.board.world
        world.created.clear()
        world.hidden.clear()
        for channel in world.channels.values():
            channel.messages.clear()
            channel.pins.clear()

    # Faults

    def script(self, *faults: Fault) -> None:
        """Add faults to come, matched in this order."""
        self.board.script.faults.extend(faults)

    def clear_script(self) -> None:
        """Drop the faults that were not used up."""
        self.board.script.faults.clear()

    def forget_nonces(self) -> None:
        """Forget every nonce, as the platform does after some minutes."""
        self.board.nonces.clear()

    def revoke_token(self) -> None:
        """The token is void: 401 for requests, 4004 for the gateway."""
        self.board.token_revoked = True

    def restore_token(self) -> None:
        """The token is good again."""
        self.board.token_revoked = False

    def delete_channel(self, channel: Channel) -> None:
        """A room is deleted (10003 from now on)."""
        channel.deleted = True
        self.board.tell_channel("CHANNEL_DELETE", channel)

    def restore_channel(self, channel: Channel) -> None:
        """The room is there again, under the same id."""
        channel.deleted = False
        self.board.tell_channel("CHANNEL_CREATE", channel)

    def refuse_channel(self, channel: Channel, code: int | None) -> None:
        """Every use of the channel is refused with this JSON code (50001, 50013); None ends it."""
        channel.refusal = code

    def kick_bot(self, guild: Guild) -> None:
        """The bot is thrown out of a community."""
        self.board.gateway.dispatch("GUILD_DELETE", {"id": str(guild.id)}, guild, GUILDS)
        guild.bot_present = False

    def invite_bot(self, guild: Guild) -> None:
        """The bot joins the community again."""
        guild.bot_present = True
        self._join(guild)

    def refuse_gateway(self, times: int = 1) -> None:
        """Answer the next websocket attempts with a plain 200."""
        self.board.gateway.refusals = times

    def withhold_ready(self, withheld: bool = True) -> None:
        """Never send READY while this holds."""
        self.board.gateway.withhold_ready = withheld

    def drop_gateway(self) -> None:
        """Cut every gateway connection without a word; sessions can be resumed."""
        self.board.gateway.drop_all()

    def close_gateway(self, code: int) -> None:
        """Close every gateway connection with this code."""
        self.board.gateway.close_all(code)

    def invalidate_session(self, *, resumable: bool = False) -> None:
        """INVALID_SESSION to every session."""
        self.board.gateway.invalidate_all(resumable=resumable)

    def ask_reconnect(self) -> None:
        """Ask every connection to reconnect and resume."""
        self.board.gateway.send_all(7, None)
