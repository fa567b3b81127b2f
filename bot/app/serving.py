"""Settings, store, client and commands put together, and kept connected."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
from collections.abc import AsyncIterator, Callable, Collection, Coroutine
from contextlib import asynccontextmanager
from functools import partial
from pathlib import Path

import discord
import structlog

from bot.chat.client import TowerClient, point_at
from bot.chat.deliver import Deliverer
from bot.clock import Clock, SystemClock
from bot.commands.buttons import handle_button
from bot.commands.desk import Desk
from bot.commands.listen import listener
from bot.commands.prompt import filled
from bot.commands.tree import command_tree
from bot.errors import NotStarted
from bot.operate.locking import not_lost, only_one
from bot.reminders import Worker
from bot.settings import Settings, load
from bot.storage import Store, Unavailable, check_schema, present_in
from bot.storage import migrate as migrate_database
from bot.storage.copying import damage, file_of
from bot.watch import Pulse, start_logging
from bot.words import sentence
from calc.units import to_si

_FIRST_WAIT_S = 1.0
_LONGEST_WAIT_S = 60.0
_BLOCKED_WAIT_S = 600.0  # a 429 at the door means the address is blocked for minutes
_LOGIN_S = 30.0
_FINISH_S = 10.0
_HEALTH_AFTER_S = 2.0  # what the pages import is kept out of the bot's own start
# Close codes that the platform says not to retry.
_FINAL_CLOSES = frozenset({4010, 4011, 4012, 4013})


def settings() -> Settings:
    """Settings from the environment and `.env`, with a data folder that can be written.

    Raises
    ------
    NotStarted
    """
    found = load(os.environ, Path(".env"))
    try:
        found.data_dir.mkdir(mode=0o700, parents=True, exist_ok=True)
        probe = found.data_dir / ".writable"
        probe.touch()
        probe.unlink()
    except OSError:
        raise NotStarted("operator.data_dir", path=found.data_dir) from None
    os.umask(0o077)  # the database and what lies beside it are the bot's own
    return found


def migrate() -> str:
    """Bring the database to this version's schema; what to tell the operator."""
    chosen = settings()
    not_lost(chosen)
    revision = migrate_database(chosen.database_url)
    return sentence("operator.migrated").format(revision=revision)


def run() -> int:
    """Serve the chat platform until stopped.

    Raises
    ------
    NotStarted
    """
    chosen = settings()
    token = chosen.with_token()
    path = file_of(chosen.database_url)
    not_lost(chosen)
    if path.is_file() and (wrong := damage(path)):
        raise NotStarted("operator.damaged", path=path, reason=wrong)
    check_schema(chosen.database_url)
    start_logging()
    to_si(1, "us_gal")  # the units take a quarter second to load: not while somebody waits
    point_at(chosen.api_url, chosen.gateway_url)
    with only_one(chosen.data_dir):
        asyncio.run(until_stopped(_serve(chosen, token)))
    return 0


async def until_stopped(work: Coroutine[None, None, None]) -> None:
    """`work`, ended in good order by SIGTERM or SIGINT."""
    task = asyncio.ensure_future(work)
    loop = asyncio.get_running_loop()
    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, task.cancel)
    with contextlib.suppress(asyncio.CancelledError):
        await task


async def _serve(chosen: Settings, token: str) -> None:
    store = Store(chosen.database_url)
    try:
        await store.compact()  # what a forgotten person left in the log while a reader held it
        clock, pulse = SystemClock(), Pulse()
        async with (
            _watched(store, clock, pulse, chosen.health_port),
            connected(store, clock, token, alone=True, pulse=pulse) as bot,
        ):
            await bot
    finally:
        await store.close()


@asynccontextmanager
async def _watched(store: Store, clock: Clock, pulse: Pulse, port: int) -> AsyncIterator[None]:
    """The health pages beside the bot, begun when it had time to get ready."""

    async def watch() -> None:
        await asyncio.sleep(_HEALTH_AFTER_S)
        from bot.app.health import Health, watched

        async with watched(Health(store, clock, pulse), pulse, port):
            await asyncio.Event().wait()

    watching = asyncio.create_task(watch())
    try:
        yield
    finally:
        watching.cancel()
        await asyncio.gather(watching, return_exceptions=True)


def client_for(store: Store, clock: Clock, pulse: Pulse) -> TowerClient:
    """The whole bot on one client."""
    desk = Desk(store, clock)
    client = TowerClient(pulse)
    tree = command_tree(client, desk)

    async def on_start() -> None:
        client.add_dynamic_items(handle_button(desk))
        await tree.sync()

    client.on_start = on_start
    client.on_text = listener(client, desk)
    client.on_form = partial(filled, desk)
    client.on_places = partial(_placed, store, clock)
    return client


async def _placed(store: Store, clock: Clock, places: Callable[[], Collection[int]]) -> None:
    """Where the bot is, kept however long the store takes: what it is by then."""
    wait_s = _FIRST_WAIT_S
    while True:
        try:
            return await present_in(store, places(), clock.now())
        except Unavailable:
            await asyncio.sleep(wait_s)
            wait_s = min(_LONGEST_WAIT_S, 2 * wait_s)


async def keep_connected(store: Store, clock: Clock, token: str, pulse: Pulse) -> None:
    """Connect, and connect anew with a growing wait when the platform cannot be reached.

    Raises
    ------
    NotStarted
        The platform refuses us in a way that another try would not help.
    """
    wait_s = _FIRST_WAIT_S
    while True:
        client = client_for(store, clock, pulse)
        try:
            async with asyncio.timeout(_LOGIN_S):
                await client.login(token)
            await client.connect()
            return
        except Exception as error:
            wait_s = _wait_after(error, wait_s)
            structlog.get_logger().warning(
                "not connected", reason=type(error).__name__, again_in_s=wait_s
            )
        finally:
            await client.finish(_FINISH_S)
            await client.close()
            await asyncio.sleep(0)  # what the library has scheduled begins, and ends with the rest
        await asyncio.sleep(wait_s)
        wait_s = min(_LONGEST_WAIT_S, 2 * wait_s)


def _wait_after(error: Exception, wait_s: float) -> float:
    """How long to wait before another try; raises where there should be none.

    discord.py ends with an AttributeError when its first connection to the gateway fails, and with
    others when a server speaks no protocol at all: nothing says the next try fails too.
    """
    match error:
        case discord.LoginFailure() | discord.ConnectionClosed(code=4004):
            raise NotStarted("operator.bad_token") from None
        case discord.PrivilegedIntentsRequired():
            raise NotStarted("operator.intents") from None
        case discord.ConnectionClosed() if error.code in _FINAL_CLOSES:
            raise NotStarted("operator.closed", code=error.code) from None
        case discord.HTTPException(status=401):
            raise NotStarted("operator.bad_token") from None
        case discord.HTTPException(status=429):
            return _BLOCKED_WAIT_S
        case discord.HTTPException() if error.status < 500:
            raise NotStarted("operator.refused_start", status=error.status) from None
        case _:
            return wait_s


@asynccontextmanager
async def connected(
    store: Store, clock: Clock, token: str, *, alone: bool = False, pulse: Pulse | None = None
) -> AsyncIterator[asyncio.Task[None]]:
    """The bot running beside other work of the same loop; the task ends when any part of it does.

    alone: no other process can be sending reminders from this store.
    """
    task = asyncio.create_task(_both(store, clock, token, pulse or Pulse(), alone=alone))
    try:
        yield task
    finally:
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)


async def _both(store: Store, clock: Clock, token: str, pulse: Pulse, *, alone: bool) -> None:
    """Answers need the gateway, reminders do not: neither waits for the other."""
    outbox = Deliverer(token)
    worker = Worker(store, clock, outbox, pulse=pulse)
    await worker.begin(alone=alone)
    parts = {
        asyncio.create_task(keep_connected(store, clock, token, pulse)),
        asyncio.create_task(worker.run()),
    }
    try:
        done, _ = await asyncio.wait(parts, return_when=asyncio.FIRST_COMPLETED)
        for part in done:
            part.result()  # raises what ended it
        if worker.revoked.is_set():
            raise NotStarted("operator.bad_token")
    finally:
        for part in parts:
            part.cancel()
        await asyncio.gather(*parts, return_exceptions=True)
        await outbox.close()
