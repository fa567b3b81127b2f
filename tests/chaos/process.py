"""One `bot run`: a process of its own, pointed at the loopback server."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from dataclasses import dataclass
from pathlib import Path
from time import monotonic

from bot.rehearsal import ChatServer

ROOT = Path(__file__).parents[2]
STOP_S = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bot:
    """A running bot."""

    process: asyncio.subprocess.Process
    started: float

    async def kill(self) -> None:
        """SIGKILL, and the system's word that it is gone."""
        self.process.kill()
        await self.process.wait()

    async def stop(self) -> str:
        """SIGTERM; what was wrong with how it ended, nothing when it did so in time with 0."""
        begun = monotonic()
        self.process.send_signal(signal.SIGTERM)
        try:
            async with asyncio.timeout(STOP_S):
                code = await self.process.wait()
        except TimeoutError:
            await self.kill()
            return f"SIGTERM: still there after {STOP_S} s"
        return f"SIGTERM: exit code {code} after {monotonic() - begun:.1f} s" if code else ""

    def pause(self) -> None:
        """SIGSTOP: it is alive, holds what it claimed, and does nothing."""
        self.process.send_signal(signal.SIGSTOP)

    def go_on(self) -> None:
        """SIGCONT."""
        self.process.send_signal(signal.SIGCONT)

    async def listening(self) -> bool:
        """Whether it has put its own answer to SIGTERM in place; False when it ended before."""
        while self.process.returncode is None:
            if _catches(self.process.pid, signal.SIGTERM):
                return True
            await asyncio.sleep(0.01)  # another process is waited for
        return False


def _catches(pid: int, number: int) -> bool:
    try:
        status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    except OSError:
        return False
    caught = status.partition("SigCgt:")[2].split(maxsplit=1)
    return bool(caught) and bool(int(caught[0], 16) >> (number - 1) & 1)


async def start(server: ChatServer, folder: Path, *, past_lock: bool = False) -> Bot:
    """A new process on the folder's database; what it says on standard error is kept there.

    past_lock: with a data folder of its own, so that nothing keeps it from running beside another.
    """
    data = folder / "second" if past_lock else folder
    settings = {
        "PYTHONPATH": str(ROOT),
        "TANKWREN_TOKEN": server.token,
        "TANKWREN_DATA_DIR": str(data),
        "TANKWREN_DATABASE_URL": f"sqlite+aiosqlite:///{folder / 'tankwren.db'}",
        "TANKWREN_HEALTH_PORT": "0",
        "TANKWREN_API_URL": server.api_url.removesuffix("/api/v10"),
        "TANKWREN_GATEWAY_URL": server.gateway_url,
    }
    with (folder / "stderr.txt").open("ab") as log:
        process = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "bot", "run",
            cwd=folder,
            env={**os.environ, **settings},
            stdout=log,
            stderr=log,
        )  # fmt: skip
    return Bot(process=process, started=monotonic())
