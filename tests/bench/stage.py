"""A bot as a process of its own, on a loopback server in this one."""

from __future__ import annotations

import asyncio
import os
import statistics
import sys
import tempfile
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from sqlalchemy import insert

from bot.clock import SystemClock
from bot.demo import saltmarsh
from bot.rehearsal import ChatServer, Guild, Person
from bot.storage import Store, migrate
from bot.storage.models import entry, planting

IN_FLIGHT = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A running bot. ready_s: from the start of its process; megabytes: resident, when ready."""

    server: ChatServer
    guild: Guild
    person: Person
    process: asyncio.subprocess.Process
    ready_s: float

    def megabytes(self) -> float:
        """Resident memory of the bot's process now."""
        status = Path(f"/proc/{self.process.pid}/status").read_text(encoding="utf-8")
        return int(status.split("VmRSS:")[1].split()[0]) / 1024


@asynccontextmanager
async def playing(*module: str, year: bool = False) -> AsyncIterator[Stage]:
    """`python -m module` connected to a fresh server, the demo town in its store.

    year: the member's tower has 30 plants and a year of logs.
    """
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite+aiosqlite:///{folder}/tankwren.db"
        await asyncio.to_thread(migrate, url)
        store = Store(url)
        await saltmarsh.fill(store)
        if year:
            await _a_year(store)
        await store.close()
        server = ChatServer(now=SystemClock().now, rate_limits=False)
        guild = server.add_guild(
            saltmarsh.COMMUNITY, room="towers", id=saltmarsh.GUILD_ID, room_id=saltmarsh.ROOM_ID
        )
        person = server.add_person(saltmarsh.MEMBER, guilds=[guild], id=saltmarsh.MEMBER_ID)
        await server.start()
        settings = {
            "TANKWREN_TOKEN": server.token,
            "TANKWREN_DATA_DIR": folder,
            "TANKWREN_API_URL": server.api_url,
            "TANKWREN_GATEWAY_URL": server.gateway_url,
        }
        started = time.perf_counter()
        process = await asyncio.create_subprocess_exec(
            sys.executable, "-m", *module, env={**os.environ, **settings}
        )
        try:
            await server.wait_ready(timeout_s=30)
            ready_s = time.perf_counter() - started
            yield Stage(server=server, guild=guild, person=person, process=process, ready_s=ready_s)
        finally:
            process.terminate()
            await process.wait()
            await server.stop()


async def _a_year(store: Store) -> None:
    """Three lines a week and 30 grown lettuces for the tower of number 1."""
    now = SystemClock().now()
    times = [now - timedelta(days=365 - 7 * n / 3) for n in range(156)]
    lines = [
        {"tower_id": 1, "at": at, "recorded_at": at, "kind": "level", "level_l": 52.0 - 9 * (n % 3)}
        for n, at in enumerate(times)
    ]
    plants = [
        {"tower_id": 1, "level": n // 6 + 1, "port": n % 6 + 1, "crop": "lettuce",
         "planted": (now - timedelta(days=50)).date()}
        for n in range(30)
    ]  # fmt: skip
    async with store.write() as connection:
        await connection.execute(insert(entry), lines)
        await connection.execute(insert(planting), plants)


async def rate(stage: Stage, text: str, count: int) -> tuple[float, float]:
    """Replies a second with 32 in flight, and the 99th percentile of their time [ms]."""
    handle = stage.server.prepare(stage.person, stage.guild.room, text)
    times: list[float] = []

    async def keep_asking(times_each: int) -> None:
        for _ in range(times_each):
            times.append(await stage.server.fire(handle))

    await asyncio.gather(*[keep_asking(20) for _ in range(IN_FLIGHT)])  # warm
    times.clear()
    started = time.perf_counter()
    await asyncio.gather(*[keep_asking(count // IN_FLIGHT) for _ in range(IN_FLIGHT)])
    took = time.perf_counter() - started
    p99 = statistics.quantiles(times, n=100)[98] * 1000
    return len(times) / took, p99
