"""`tankwren run` as a process of its own, pointed at the loopback server."""

from __future__ import annotations

import asyncio
import os
import signal
import socket
import sqlite3
import sys
from collections.abc import AsyncIterator
from pathlib import Path

import aiohttp
import pytest
import pytest_asyncio

from bot.clock import SystemClock
from bot.demo import saltmarsh
from bot.records.people import Asker
from bot.rehearsal import ChatServer, Fault
from bot.storage import Store, load_book, migrate

pytestmark = pytest.mark.asyncio
ROOT = Path(__file__).parents[2]


@pytest_asyncio.fixture()
async def server() -> AsyncIterator[ChatServer]:
    made = ChatServer(now=SystemClock().now)
    await made.start()
    yield made
    await made.stop()


@pytest_asyncio.fixture(autouse=True)
async def nothing_left_running() -> AsyncIterator[None]:
    yield
    for process in STARTED:
        if process.returncode is None:
            process.kill()
            await process.communicate()
    STARTED.clear()


STARTED: list[asyncio.subprocess.Process] = []


async def start(
    server: ChatServer, folder: Path, token: str, health_port: int = 0
) -> asyncio.subprocess.Process:
    await asyncio.to_thread(migrate, f"sqlite+aiosqlite:///{folder / 'tankwren.db'}")
    settings = {
        "PYTHONPATH": str(ROOT),
        "TANKWREN_TOKEN": token,
        "TANKWREN_DATA_DIR": str(folder),
        "TANKWREN_API_URL": server.api_url.removesuffix("/api/v10"),
        "TANKWREN_GATEWAY_URL": server.gateway_url,
        "TANKWREN_HEALTH_PORT": str(health_port),
    }
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "bot", "run",
        cwd=folder,
        env={**os.environ, **settings},
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
    )  # fmt: skip
    STARTED.append(process)
    return process


async def test_it_answers_and_ends_in_good_order(server: ChatServer, tmp_path: Path) -> None:
    guild = server.add_guild("Saltmarsh Growers", room="towers", id=saltmarsh.GUILD_ID)
    person = server.add_person("Tamsin", guilds=[guild], id=saltmarsh.MEMBER_ID)
    process = await start(server, tmp_path, server.token)
    await server.wait_ready(timeout_s=15)
    (seen,) = await person.say(guild.room, "/dose water:10 gal rate:2 ml per litre")
    assert "75 mL (5 tbsp + 1/4 tsp) of each part" in seen.text
    await person.say(guild.room, "/tower add name:kitchen tank:16 gal")
    process.send_signal(signal.SIGTERM)
    out, err = await asyncio.wait_for(process.communicate(), timeout=10)
    assert (process.returncode, out, err) == (0, b"", b"")
    store = Store(f"sqlite+aiosqlite:///{tmp_path / 'tankwren.db'}")
    asker = Asker(user_id=person.id, name="Tamsin", guild_id=guild.id, private=True)
    assert [t.name for t in (await load_book(store, asker, SystemClock().now())).towers] == [
        "kitchen"
    ]
    await store.close()


async def test_buttons_and_open_forms_live_through_a_kill(
    server: ChatServer, tmp_path: Path
) -> None:
    """Killed in the middle of a set-up: the form that was open still saves, the log stays whole."""
    guild = server.add_guild("Saltmarsh Growers", room="towers", id=saltmarsh.GUILD_ID)
    person = server.add_person("Tamsin", guilds=[guild], id=saltmarsh.MEMBER_ID)
    first = await start(server, tmp_path, server.token)
    await server.wait_ready(timeout_s=15)
    (one,) = await person.say(guild.room, "/start")
    (form,) = await person.press(one, "Type the size")
    first.kill()
    await first.communicate()
    second = await start(server, tmp_path, server.token)
    await server.wait_ready(timeout_s=15)
    (two,) = await person.submit(form, {"tank": "40 l"})
    assert "2 of 4" in two.text
    (three,) = await person.press(two, "Outdoors")
    second.kill()
    await second.communicate()
    await start(server, tmp_path, server.token)
    await server.wait_ready(timeout_s=15)
    (bottle,) = await person.press(three, "Another bottle")
    told = {"feed": "Cliff", "rate": "2 ml of each per l", "gain": "1.5"}
    (four,) = await person.submit(bottle, told)
    (saved,) = await person.press(four, "None")
    assert "Saved: balcony" in saved.text


async def test_a_wrong_token_is_one_line(server: ChatServer, tmp_path: Path) -> None:
    process = await start(server, tmp_path, "made-up-and-wrong")
    _, err = await asyncio.wait_for(process.communicate(), timeout=15)
    assert process.returncode == 2
    assert err.decode().strip().splitlines() == [
        "tankwren: The chat server refused TANKWREN_TOKEN. Make a new token and set it."
    ]


async def test_a_gateway_that_fails_first_is_tried_again(
    server: ChatServer, tmp_path: Path
) -> None:
    server.refuse_gateway(times=1)
    process = await start(server, tmp_path, server.token)
    await server.wait_ready(timeout_s=20)
    process.terminate()
    _, err = await asyncio.wait_for(process.communicate(), timeout=10)
    assert process.returncode == 0
    assert b"not connected" in err
    assert b"Traceback" not in err, err
    assert server.token.encode() not in err


@pytest.mark.parametrize(
    ("code", "says"), [(4004, "refused TANKWREN_TOKEN"), (4013, "closed"), (4014, "intents")]
)
async def test_a_final_close_is_one_line(
    server: ChatServer, tmp_path: Path, code: int, says: str
) -> None:
    process = await start(server, tmp_path, server.token)
    await server.wait_ready(timeout_s=15)
    server.close_gateway(code)
    _, err = await asyncio.wait_for(process.communicate(), timeout=15)
    lines = [line for line in err.decode().splitlines() if line.startswith("tankwren: ")]
    assert process.returncode == 2, err
    assert len(lines) == 1
    assert says in lines[0]
    assert b"Traceback" not in err


@pytest.mark.parametrize("status", [400, 403])
async def test_a_refused_command_list_is_one_line(
    server: ChatServer, tmp_path: Path, status: int
) -> None:
    server.script(Fault(method="PUT", path_regex="/commands$", status=status, times=1))
    process = await start(server, tmp_path, server.token)
    _, err = await asyncio.wait_for(process.communicate(), timeout=15)
    assert process.returncode == 2
    assert f"HTTP {status}" in err.decode()
    assert b"Traceback" not in err


async def test_a_session_that_keeps_dying_is_begun_anew_slowly(
    server: ChatServer, tmp_path: Path
) -> None:
    process = await start(server, tmp_path, server.token)
    await server.wait_ready(timeout_s=15)
    assert process.stderr is not None
    waits = []
    for _ in range(2):
        server.invalidate_session()
        async with asyncio.timeout(30):
            while b"session lost" not in (line := await process.stderr.readline()):
                assert line
        waits.append(float(line.split(b"again_in_s=")[1].split()[0]))
        await server.wait_ready(timeout_s=15)
    assert waits == [1.0, 2.0]


async def test_health_and_metrics_on_loopback_and_for_nobody_else(
    server: ChatServer, tmp_path: Path
) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    await start(server, tmp_path, server.token, port)
    await server.wait_ready(timeout_s=20)
    page = f"http://127.0.0.1:{port}"
    async with aiohttp.ClientSession() as client, asyncio.timeout(20):
        while True:
            try:
                told = await client.get(f"{page}/healthz")
                break
            except aiohttp.ClientConnectionError:
                await asyncio.sleep(0.05)  # another process is waited for
        found = await told.json()
        assert (told.status, found["ok"], found["gateway_connected"]) == (200, True, 1)
        metrics = await (await client.get(f"{page}/metrics")).text()
        assert "tankwren_reminders_backlog 0.0" in metrics
        assert "tankwren_reminders_unsent 0.0" in metrics
        foreign = await client.get(f"{page}/healthz", headers={"Host": "elsewhere.example"})
        assert foreign.status == 403
        holder = sqlite3.connect(tmp_path / "tankwren.db")
        holder.execute("PRAGMA foreign_keys = OFF")
        holder.execute(
            "INSERT INTO debt (rule_id, member_id, key, due, state)"
            " VALUES (1, 1, 'k', '2020-01-01 00:00:00.000000', 'failed')"
        )
        holder.commit()
        holder.close()
        metrics = await (await client.get(f"{page}/metrics")).text()
        assert "tankwren_reminders_unsent 1.0" in metrics
