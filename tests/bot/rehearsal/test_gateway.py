"""The gateway's own rules, spoken to directly."""

import asyncio
from typing import Any

import aiohttp
import pytest

GUILDS = 1


async def hello(http, town) -> aiohttp.ClientWebSocketResponse:
    socket = await http.session.ws_connect(town.server.gateway_url + "?v=10&encoding=json")
    assert (await socket.receive_json())["op"] == 10
    return socket


async def identify(socket, town, **more: Any) -> None:
    data = {"token": town.server.token, "intents": GUILDS, "properties": {}, **more}
    await socket.send_json({"op": 2, "d": data})


async def closed(socket) -> int:
    async with asyncio.timeout(5):
        while True:
            message = await socket.receive()
            if message.type is not aiohttp.WSMsgType.TEXT:
                return socket.close_code


@pytest.mark.asyncio
@pytest.mark.parametrize(
    ("payload", "code"),
    [
        ({"op": 2, "d": {"token": "wrong", "intents": 1}}, 4004),
        ({"op": 2, "d": {"intents": 1 << 15}}, 4014),
        ({"op": 2, "d": {"intents": 1 << 40}}, 4013),
        ({"op": 2, "d": {"intents": 1, "shard": [2, 1]}}, 4010),
        ({"op": 3, "d": {}}, 4003),
        ({"no": "op"}, 4002),
    ],
)
async def test_closes_with_the_platforms_code(town, http, payload, code):
    socket = await hello(http, town)
    data = payload.get("d")
    if data and "token" not in data:
        data = {**data, "token": town.server.token}
    await socket.send_json({**payload, "d": data} if "op" in payload else payload)
    assert await closed(socket) == code


@pytest.mark.asyncio
async def test_plain_text_ready_names_the_towns_and_where_to_resume(town, http):
    socket = await hello(http, town)
    await identify(socket, town)
    ready = await socket.receive_json()
    assert (ready["t"], ready["s"]) == ("READY", 1)
    assert ready["d"]["resume_gateway_url"] == town.server.gateway_url
    assert (await socket.receive_json())["d"]["id"] == str(town.guild.id)
    await identify(socket, town)
    assert await closed(socket) == 4005


@pytest.mark.asyncio
async def test_acknowledges_beats_and_closes_a_client_that_never_beats(town, http):
    town.server.board.gateway.heartbeat_s = 0.05
    socket = await hello(http, town)
    await socket.send_json({"op": 1, "d": None})
    assert (await socket.receive_json())["op"] == 11
    assert await closed(socket) == 4009


@pytest.mark.asyncio
async def test_the_scripted_gateway_faults(town, http):
    server = town.server
    server.refuse_gateway()
    with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
        await hello(http, town)
    assert refused.value.status == 200
    server.withhold_ready()
    socket = await hello(http, town)
    await identify(socket, town)
    await socket.send_json({"op": 1, "d": None})
    assert (await socket.receive_json())["op"] == 11
    server.withhold_ready(False)
    server.invalidate_session()
    assert await socket.receive_json() == {"op": 9, "t": None, "s": None, "d": False}
    server.ask_reconnect()
    assert (await socket.receive_json())["op"] == 7
    server.close_gateway(4000)
    assert await closed(socket) == 4000


@pytest.mark.asyncio
async def test_a_session_is_not_resumed_after_it_was_invalidated(town, http):
    socket = await hello(http, town)
    await identify(socket, town)
    ready = await socket.receive_json()
    town.server.invalidate_session()
    await socket.receive_json()
    again = await hello(http, town)
    data = {"token": town.server.token, "session_id": ready["d"]["session_id"], "seq": 1}
    await again.send_json({"op": 6, "d": data})
    assert (await again.receive_json())["op"] == 9
    await socket.close()
    await again.close()


@pytest.mark.asyncio
async def test_messages_come_only_with_their_intents(town, http):
    socket = await hello(http, town)
    await identify(socket, town, intents=GUILDS | 1 << 12)
    await socket.receive_json()
    await socket.receive_json()
    await town.tamsin.say(town.guild.room, "in the room", timeout_s=0.01)
    await town.tamsin.say(town.tamsin.private, "in private", timeout_s=0.01)
    event = await socket.receive_json()
    assert (event["t"], event["d"]["content"]) == ("MESSAGE_CREATE", "in private")
    await socket.close()
