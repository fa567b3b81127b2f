"""The whole bot in the demo town: loopback chat server, real client, a terminal to talk at."""

from __future__ import annotations

import asyncio
import sys
import threading
from collections.abc import AsyncIterator, Sequence
from pathlib import Path

from bot.app.serving import connected, settings, until_stopped
from bot.chat.client import point_at
from bot.clock import SystemClock
from bot.demo import saltmarsh
from bot.errors import NotStarted
from bot.rehearsal import ChatServer, Guild, Person, Refused, Seen
from bot.storage import Store
from bot.storage import migrate as migrate_database
from bot.watch import start_logging
from bot.words import sentence
from calc.units import to_si

_PRESS = "press "
_PRIVATE = "private "


def rehearse(*, port: int, record: Path | None, say: Sequence[str], page: bool) -> int:
    """Play in the demo town; with `say`, say that, print what came back, and end.

    Raises
    ------
    NotStarted
    """
    chosen = settings()
    # A town of its own: never the records of a community that the settings may name.
    url = f"sqlite+aiosqlite:///{chosen.data_dir / 'rehearsal.db'}"
    migrate_database(url)
    start_logging()
    to_si(1, "us_gal")
    outcome: list[int] = []
    asyncio.run(until_stopped(_play(url, port, record, say, page, outcome)))
    return outcome[0] if outcome else 0


async def _play(
    url: str,
    port: int,
    record: Path | None,
    say: Sequence[str],
    page: bool,
    outcome: list[int],
) -> None:
    clock = SystemClock()
    if record is not None:
        try:
            record.touch()
        except OSError:
            raise NotStarted("operator.record", path=record) from None
    server = ChatServer(now=clock.now, port=port, record=record, page=page)
    guild = server.add_guild(
        saltmarsh.COMMUNITY, room=saltmarsh.ROOM, id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID
    )
    person = server.add_person(saltmarsh.MEMBER, guilds=[guild], id=saltmarsh.MEMBER_ID)
    try:
        await server.start()
    except OSError:
        raise NotStarted("operator.port", port=port) from None
    point_at(server.api_url, server.gateway_url)
    store = Store(url)
    try:
        await saltmarsh.fill(store)
        async with connected(store, clock, server.token) as bot:
            ready = asyncio.create_task(server.wait_ready(timeout_s=30))
            await asyncio.wait({ready, bot}, return_when=asyncio.FIRST_COMPLETED)
            if bot.done():
                ready.cancel()
                await bot  # raises what ended it
            await ready
            if say:
                outcome.append(await _said(person, guild, say))
            else:
                await _talk(person, guild, server)
    finally:
        await store.close()
        await server.stop()


async def _said(person: Person, guild: Guild, say: Sequence[str]) -> int:
    """Each text as the demo member in the room; 1 when something got no answer."""
    silent = 0
    for text in say:
        print(f"> {text}")
        try:
            seen = await person.say(guild.room, text)
        except Refused as refused:
            print(sentence("operator.refused").format(reason=refused))
            silent = 1
            continue
        silent = silent or int(not seen)
        _show(seen)
    return silent


async def _talk(person: Person, guild: Guild, server: ChatServer) -> None:
    """The terminal prompt, until it ends or says quit; with nobody at it, until stopped."""
    word = "operator.ready_page" if server.page_url else "operator.ready"
    print(
        sentence(word).format(
            name=saltmarsh.MEMBER,
            room=saltmarsh.ROOM,
            community=saltmarsh.COMMUNITY,
            address=server.page_url or server.api_url,
        ),
        flush=True,
    )
    print(sentence("operator.prompt"))
    shown: Seen | None = None
    typed = 0
    async for text in _typed():
        typed += 1
        if text in ("quit", "exit"):
            return
        try:
            if text.startswith(_PRESS) and shown is not None:
                seen = await person.press(shown, text.removeprefix(_PRESS))
            elif text.startswith(_PRIVATE):
                seen = await person.say(person.private, text.removeprefix(_PRIVATE))
            else:
                seen = await person.say(guild.room, text)
        except Refused as refused:
            print(sentence("operator.refused").format(reason=refused))
            continue
        _show(seen)
        shown = seen[-1] if seen else shown
    if not typed and not sys.stdin.isatty():
        await asyncio.Event().wait()


async def _typed() -> AsyncIterator[str]:
    """Lines from the terminal; a daemon thread reads, so that Ctrl-C never waits for Enter."""
    loop = asyncio.get_running_loop()
    lines: asyncio.Queue[str | None] = asyncio.Queue()

    def read() -> None:
        for line in sys.stdin:
            loop.call_soon_threadsafe(lines.put_nowait, line)
        loop.call_soon_threadsafe(lines.put_nowait, None)

    threading.Thread(target=read, daemon=True).start()
    while True:
        print("> ", end="", flush=True)
        line = await lines.get()
        if line is None:
            return
        if line.strip():
            yield line.strip()


def _show(seen: Sequence[Seen]) -> None:
    if not seen:
        print(sentence("operator.silence"))
    for one in seen:
        where = sentence(f"operator.seen_{one.where.replace(' ', '_')}")
        print(f"[{where}]")
        for line in one.text.splitlines():
            print("  " + line.replace("**", "").removeprefix("-# "))
        if one.buttons:
            labels = " · ".join(f"[{button.label}]" for button in one.buttons)
            print("  " + sentence("operator.buttons").format(labels=labels))
    print()
