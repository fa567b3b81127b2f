"""Faults on request, nonces, and the record."""

import json
import re
from datetime import UTC, datetime

import aiohttp
import pytest

from bot.rehearsal import ChatServer, Fault

POST = {"content": "x", "nonce": "n1", "enforce_nonce": True}


def path(town) -> str:
    return f"/channels/{town.guild.room.id}/messages"


@pytest.mark.asyncio
@pytest.mark.parametrize("created", [False, True])
@pytest.mark.parametrize("status", [500, 502, 503, 504])
async def test_fails_with_a_status_with_or_without_effect(town, http, status, created):
    town.server.script(Fault(method="POST", path_regex="messages$", status=status, created=created))
    assert (await http("POST", path(town), POST))[0] == status
    assert len(town.server.messages) == int(created)
    assert (await http("POST", path(town), POST))[0] == 200
    assert len(town.server.messages) == 1


@pytest.mark.asyncio
@pytest.mark.parametrize("created", [False, True])
@pytest.mark.parametrize(
    ("kind", "error"),
    [({"drop": True}, aiohttp.ServerDisconnectedError), ({"reset": True}, aiohttp.ClientOSError)],
)
async def test_drops_the_line_after_accepting(town, http, created, kind, error):
    town.server.script(Fault(method="POST", created=created, **kind))
    with pytest.raises(error):
        await http("POST", path(town), POST)
    assert len(town.server.messages) == int(created)


@pytest.mark.asyncio
async def test_a_fault_is_used_up_and_matches_in_order(town, http):
    town.server.script(
        Fault(path_regex="users/@me$", status=503, times=2),
        Fault(path_regex="users/@me$", status=403, code=50001),
    )
    answers = [await http("GET", "/users/@me") for _ in range(4)]
    assert [status for status, _, _ in answers] == [503, 503, 403, 200]
    assert answers[2][1]["code"] == 50001


@pytest.mark.asyncio
async def test_limits_as_scripted_with_and_without_via(town, http):
    town.server.script(
        Fault(status=429, retry_after=2.5, global_=True), Fault(status=429, without_via=True)
    )
    _, answer, headers = await http("GET", "/users/@me")
    assert (answer["retry_after"], answer["global"]) == (2.5, True)
    assert (headers["Retry-After"], "Via" in headers) == ("3", True)
    _, _, headers = await http("GET", "/users/@me")
    assert "Via" not in headers


@pytest.mark.asyncio
async def test_answers_with_a_page_as_an_edge_would(town, http):
    town.server.script(Fault(status=429, html=True, without_via=True))
    _, answer, headers = await http("GET", "/users/@me")
    assert headers["Content-Type"] == "text/html" and answer.startswith("<html>")


@pytest.mark.asyncio
async def test_a_slow_answer_times_out_at_the_client_and_counts_as_created(town, http):
    town.server.script(Fault(method="POST", created=True, delay_s=30))
    with pytest.raises(TimeoutError):
        await http("POST", path(town), POST, timeout=aiohttp.ClientTimeout(total=0.05))
    assert len(town.server.messages) == 1


@pytest.mark.asyncio
async def test_an_enforced_nonce_returns_the_first_message_until_it_is_forgotten(town, http):
    _, first, _ = await http("POST", path(town), POST)
    private = f"/channels/{town.tamsin.private.id}/messages"
    _, again, _ = await http("POST", private, {**POST, "content": "other"})
    assert (again["id"], again["content"]) == (first["id"], "x")
    _, loose, _ = await http("POST", path(town), {"content": "x", "nonce": "n1"})
    assert loose["id"] != first["id"]
    town.server.forget_nonces()
    _, later, _ = await http("POST", path(town), POST)
    assert later["id"] != first["id"]
    await http("DELETE", f"{path(town)}/{later['id']}")
    status, answer, _ = await http("POST", path(town), POST)
    assert (status, answer["code"]) == (404, 10008)
    assert [m["deleted"] for m in town.server.messages] == [False, False, True]


@pytest.mark.asyncio
async def test_the_nonce_memory_can_be_set(town, http):
    town.server.board.nonce_memory_s = -1.0
    _, first, _ = await http("POST", path(town), POST)
    _, again, _ = await http("POST", path(town), POST)
    assert again["id"] != first["id"]


@pytest.mark.asyncio
async def test_the_world_can_go_wrong(town, http):
    private = f"/channels/{town.tamsin.private.id}/messages"
    town.tamsin.close_private()
    assert (await http("POST", private, POST))[1]["code"] == 50007
    town.tamsin.open_private()
    town.server.refuse_channel(town.guild.room, 50013)
    assert (await http("POST", path(town), POST))[1]["code"] == 50013
    town.server.refuse_channel(town.guild.room, None)
    town.server.delete_channel(town.guild.room)
    assert (await http("POST", path(town), POST))[1]["code"] == 10003
    town.server.restore_channel(town.guild.room)
    town.server.kick_bot(town.guild)
    assert (await http("POST", path(town), POST))[1]["code"] == 50001
    assert (await http("GET", f"/guilds/{town.guild.id}"))[1]["code"] == 10004
    assert (await http("POST", private, POST))[1]["code"] == 50278
    town.server.invite_bot(town.guild)
    assert (await http("POST", path(town), POST))[0] == 200


@pytest.mark.asyncio
async def test_records_every_request_as_a_line(tmp_path):
    record = tmp_path / "requests.jsonl"
    server = ChatServer(now=_fixed, record=record)
    guild = server.add_guild("Saltmarsh Growers", room="towers")
    await server.start()
    headers = {"Authorization": f"Bot {server.token}"}
    url = f"{server.api_url}/channels/{guild.room.id}/messages"
    async with aiohttp.ClientSession(headers=headers) as session:
        async with session.post(url, json={"content": "höher"}) as answer:
            assert answer.status == 200
        async with session.get(url + "?limit=1") as answer:
            assert answer.status == 200
        lines = [json.loads(line) for line in record.read_text().splitlines()]
    await server.stop()
    where = f"/api/v10/channels/{guild.room.id}/messages"
    first = {"method": "POST", "path": where, "body": {"content": "höher"}}
    assert lines[0] == {**first, "content_type": "application/json"}
    assert (lines[1]["method"], lines[1]["path"], lines[1]["body"]) == ("GET", where, None)
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/api/v10", server.api_url)


def _fixed():
    return datetime(2027, 3, 1, tzinfo=UTC)


@pytest.mark.asyncio
async def test_a_port_in_use_is_an_os_error(town):
    port = int(town.server.api_url.split(":")[2].split("/")[0])
    second = ChatServer(now=_fixed, port=port)
    with pytest.raises(OSError, match="in use"):
        await second.start()
    await second.stop()
