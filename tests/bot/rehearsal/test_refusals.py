"""What the platform refuses, asked by plain HTTP."""

import io
from typing import Any

import aiohttp
import pytest

from bot.rehearsal import Refused

V2 = 1 << 15


def button(number: int = 0, **more: Any) -> dict[str, Any]:
    return {"type": 2, "style": 1, "label": "Kitchen", "custom_id": f"b{number}", **more}


def row(*parts: dict[str, Any]) -> dict[str, Any]:
    return {"type": 1, "components": list(parts)}


def text(content: str, **more: Any) -> dict[str, Any]:
    return {"type": 10, "content": content, **more}


def select(count: int = 1, **more: Any) -> dict[str, Any]:
    options = [{"label": f"l{i}", "value": f"v{i}"} for i in range(count)]
    return {"type": 3, "custom_id": "s", "options": options, **more}


def rows(*parts: dict[str, Any]) -> dict[str, Any]:
    return {"content": "x", "components": [row(*parts)]}


def layout(*parts: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"flags": V2, "components": list(parts), **more}


def embed(**more: Any) -> dict[str, Any]:
    return {"embeds": [more]}


BAD_MESSAGES = [
    ("content", {"content": "x" * 2001}),
    ("nonce", {"content": "x", "nonce": "n" * 26}),
    ("components", {"content": "x", "components": [row(button(i)) for i in range(6)]}),
    ("components", rows(*(button(i) for i in range(6)))),
    ("components", rows(button(1), button(1))),
    ("components", rows(button(custom_id="c" * 101))),
    ("components", rows(button(custom_id=""))),
    ("components", rows(button(label="l" * 81))),
    ("components", rows(select(26))),
    ("components", rows(select(1, placeholder="p" * 151))),
    ("components", rows({**select(), "options": [{"label": "l" * 101, "value": "v"}]})),
    ("components", rows({**select(), "options": [{"label": "l", "value": "v" * 101}]})),
    ("components", rows(select(2), button(1))),
    ("components", {"content": "x", "components": [text("only in a layout")]}),
    ("content", layout(text("t"), content="beside it")),
    ("embeds", layout(text("t"), embeds=[{"title": "t"}])),
    ("poll", layout(text("t"), poll={"question": {"text": "q"}, "answers": []})),
    ("components", layout(*(text("t") for _ in range(41)))),
    ("components", layout(*({"type": 17, "components": [text("t")] * 20} for _ in range(2)))),
    ("components", layout(text("t" * 2001), text("t" * 2000))),
    ("components", layout(text("a", id=7), text("b", id=7))),
    ("components", layout({"type": 13, "file": {"url": "attachment://none.csv"}})),
    ("embeds", {"embeds": [{"title": "t"}] * 11}),
    ("embeds", embed(title="t" * 257)),
    ("embeds", embed(description="d" * 4097)),
    ("embeds", embed(fields=[{"name": "n", "value": "v"}] * 26)),
    ("embeds", embed(fields=[{"name": "n", "value": "v" * 1025}])),
    ("embeds", embed(footer={"text": "f" * 2049})),
    ("embeds", {"embeds": [{"description": "d" * 3001}] * 2}),
    ("allowed_mentions", {"content": "x", "allowed_mentions": {"parse": ["all"]}}),
]


@pytest.mark.asyncio
@pytest.mark.parametrize(("key", "body"), BAD_MESSAGES)
async def test_refuses_a_bad_message_with_an_errors_tree(town, http, key, body):
    status, answer, headers = await http("POST", f"/channels/{town.guild.room.id}/messages", body)
    assert (status, answer["code"]) == (400, 50035)
    assert key in answer["errors"]
    assert headers["Content-Type"] == "application/json"
    assert town.server.messages == []


GOOD_MESSAGES = [
    {"content": "x" * 2000},
    rows(*(button(i) for i in range(5))),
    rows(button(custom_id="c" * 100, label="l" * 80)),
    rows(select(25)),
    layout(*(text("t" * 100) for _ in range(40))),
    layout({"type": 17, "components": [text("t"), row(button())]}),
]


@pytest.mark.asyncio
@pytest.mark.parametrize("body", GOOD_MESSAGES)
async def test_takes_a_message_just_within_the_limits(town, http, body):
    status, answer, _ = await http("POST", f"/channels/{town.guild.room.id}/messages", body)
    assert status == 200, answer
    assert len(town.server.messages) == 1


@pytest.mark.asyncio
@pytest.mark.parametrize(
    ("method", "path", "body", "expected"),
    [
        ("POST", "/channels/{room}/messages", {"content": ""}, (400, 50006)),
        ("POST", "/channels/77/messages", {"content": "x"}, (404, 10003)),
        ("GET", "/channels/{room}/messages/77", None, (404, 10008)),
        ("GET", "/channels/{room}/messages?limit=101", None, (400, 50035)),
        ("GET", "/users/77", None, (404, 10013)),
        ("GET", "/guilds/77", None, (404, 10004)),
        ("GET", "/guilds/{guild}/members/77", None, (404, 10013)),
        ("POST", "/users/@me/channels", {"recipient_id": "77"}, (404, 10013)),
        ("POST", "/interactions/7/token/callback", {"type": 4}, (404, 10062)),
        ("POST", "/webhooks/{app}/token", {"content": "x"}, (404, 10015)),
        ("GET", "/applications/{app}/commands/7", None, (404, 10063)),
        ("PUT", "/applications/{app}/guilds/77/commands", [], (403, 50001)),
        ("GET", "/no/such/route", None, (404, 0)),
    ],
)
async def test_refuses_with_the_platforms_code(town, http, method, path, body, expected):
    names = {"room": town.guild.room.id, "guild": town.guild.id, "app": town.server.application_id}
    status, answer, _ = await http(method, path.format(**names), body)
    assert (status, answer["code"]) == expected


def command(**more: Any) -> dict[str, Any]:
    return {"name": "dose", "description": "d", "type": 1, **more}


def option(**more: Any) -> dict[str, Any]:
    return {"name": "water", "description": "d", "type": 3, **more}


CHOICE = {"name": "half", "value": "half"}
BAD_COMMANDS = [
    [command(name="Dose")],
    [command(name="two words")],
    [command(name="d" * 33)],
    [command(description="")],
    [command(description="d" * 101)],
    [command(options=[option(name=f"o{i}") for i in range(26)])],
    [command(options=[option(choices=[{"name": f"n{i}", "value": "v"} for i in range(26)])])],
    [command(options=[option(), option(name="ec", required=True)])],
    [command(options=[option(), option()])],
    [command(options=[option(choices=[CHOICE], autocomplete=True)])],
    [command(options=[option(choices=[{"name": "n" * 101, "value": "v"}])])],
    [command(name_localizations={"xx": "dose"})],
    [command(), command()],
    [
        command(
            options=[
                option(
                    name=f"o{o}",
                    choices=[{"name": f"{i:02}" + "n" * 90, "value": "v"} for i in range(25)],
                )
                for o in range(4)
            ]
        )
    ],
]


@pytest.mark.asyncio
@pytest.mark.parametrize("commands", BAD_COMMANDS)
async def test_refuses_a_bad_set_of_commands(town, http, commands):
    path = f"/applications/{town.server.application_id}/commands"
    status, answer, _ = await http("PUT", path, commands)
    assert (status, answer["code"]) == (400, 50035)
    assert (await http("GET", path))[1] == []


@pytest.mark.asyncio
async def test_refuses_the_hundred_and_first_command(town, http):
    path = f"/applications/{town.server.application_id}/commands"
    status, answer, _ = await http("PUT", path, [command(name=f"c{i}") for i in range(101)])
    assert status == 400
    assert answer["code"] in (30032, 50035)
    assert (await http("PUT", path, [command(name=f"c{i}") for i in range(100)]))[0] == 200


@pytest.mark.asyncio
async def test_creates_edits_and_deletes_a_single_command(town, http):
    path = f"/applications/{town.server.application_id}/commands"
    status, made, _ = await http("POST", path, command())
    assert status == 201
    assert (await http("POST", path, command(description="again")))[0] == 200
    changed = await http("PATCH", f"{path}/{made['id']}", {"description": "new"})
    assert changed[1]["description"] == "new"
    assert (await http("DELETE", f"{path}/{made['id']}"))[0] == 204
    assert (await http("GET", path))[1] == []


@pytest.mark.asyncio
@pytest.mark.parametrize("headers", [{"Host": "example.org"}, {"Origin": "https://example.org"}])
async def test_serves_loopback_only(http, headers):
    assert (await http("GET", "/users/@me", headers=headers))[0] == 403


@pytest.mark.asyncio
async def test_refuses_a_wrong_and_a_revoked_token(town, http):
    wrong = {"Authorization": "Bot wrong"}
    assert (await http("GET", "/users/@me", headers=wrong))[0] == 401
    assert (await http("GET", "/users/@me"))[0] == 200
    town.server.revoke_token()
    assert (await http("GET", "/users/@me"))[0] == 401
    assert [entry["status"] for entry in town.server.requests] == [401, 200, 401]


@pytest.mark.asyncio
async def test_a_layout_flag_cannot_be_taken_back_and_an_edit_to_a_layout_needs_no_embeds(
    town, http
):
    path = f"/channels/{town.guild.room.id}/messages"
    _, shown, _ = await http("POST", path, layout(text("t")))
    status, answer, _ = await http("PATCH", f"{path}/{shown['id']}", {"flags": 0, "content": "x"})
    assert (status, answer["code"]) == (400, 50035)
    _, classic, _ = await http("POST", path, {"content": "x", **embed(title="t")})
    body = layout(text("t"), content=None, embeds=None)
    assert (await http("PATCH", f"{path}/{classic['id']}", body))[0] == 400
    assert (await http("PATCH", f"{path}/{classic['id']}", {**body, "embeds": []}))[0] == 200


@pytest.mark.asyncio
async def test_pages_through_the_history(town, http):
    town.server.board.limits.enabled = False
    path = f"/channels/{town.guild.room.id}/messages"
    ids = [(await http("POST", path, {"content": str(i)}))[1]["id"] for i in range(5)]
    page = await http("GET", f"{path}?limit=2")
    assert [m["id"] for m in page[1]] == [ids[4], ids[3]]
    page = await http("GET", f"{path}?limit=2&before={ids[2]}")
    assert [m["id"] for m in page[1]] == [ids[1], ids[0]]
    page = await http("GET", f"{path}?limit=2&after={ids[2]}")
    assert [m["id"] for m in page[1]] == [ids[4], ids[3]]


@pytest.mark.asyncio
async def test_limits_a_channel_and_then_everything(town, http):
    path = f"/channels/{town.guild.room.id}/messages"
    for left in (4, 3, 2, 1, 0):
        status, _, headers = await http("POST", path, {"content": "x"})
        assert (status, headers["X-RateLimit-Remaining"]) == (200, str(left))
    status, answer, headers = await http("POST", path, {"content": "x"})
    assert (status, answer["global"]) == (429, False)
    assert headers["Via"] and 0 < answer["retry_after"] <= 5
    private = f"/channels/{town.tamsin.private.id}/messages"
    assert (await http("POST", private, {"content": "x"}))[0] == 200
    town.server.board.limits.global_window.limit = 1
    status, answer, _ = await http("GET", f"/users/{town.ife.id}")
    assert (status, answer["global"]) == (429, True)


@pytest.mark.asyncio
async def test_an_uploaded_file_is_served_back(town, http):
    form = aiohttp.FormData()
    form.add_field("payload_json", '{"content":"","attachments":[{"id":0,"description":"log"}]}')
    form.add_field("files[0]", b"day,ec\n1,1.9\n", filename="log.csv")
    headers = {"Authorization": f"Bot {town.server.token}"}
    url = f"{town.server.api_url}/channels/{town.guild.room.id}/messages"
    async with http.session.post(url, data=form, headers=headers) as answer:
        attachment = (await answer.json())["attachments"][0]
    assert (attachment["filename"], attachment["description"]) == ("log.csv", "log")
    async with http.session.get(attachment["url"]) as answer:
        assert await answer.read() == b"day,ec\n1,1.9\n"
    assert town.server.requests[-1]["files"] == ["log.csv"]


@pytest.mark.asyncio
@pytest.mark.parametrize(("size", "status"), [(10 * 2**20, 200), (10 * 2**20 + 1, 413)])
async def test_takes_files_up_to_ten_mebibytes(town, http, size, status):
    form = aiohttp.FormData({"payload_json": "{}"})
    form.add_field("files[0]", io.BytesIO(b"x" * size), filename="big.bin")
    headers = {"Authorization": f"Bot {town.server.token}"}
    url = f"{town.server.api_url}/channels/{town.guild.room.id}/messages"
    async with http.session.post(url, data=form, headers=headers) as answer:
        assert answer.status == status
        shown = await answer.json()
    if status == 200:
        async with http.session.get(shown["attachments"][0]["url"]) as answer:
            assert len(await answer.read()) == size


@pytest.mark.asyncio
@pytest.mark.parametrize("body", [b"not json", b"[]", rb'{"content":"\ud800"}'])
async def test_refuses_a_body_that_is_no_object_of_text(town, http, body):
    headers = {"Authorization": f"Bot {town.server.token}", "Content-Type": "application/json"}
    url = f"{town.server.api_url}/channels/{town.guild.room.id}/messages"
    async with http.session.post(url, data=body, headers=headers) as answer:
        assert (answer.status, (await answer.json())["code"]) == (400, 50109)


@pytest.mark.asyncio
async def test_mentions_count_only_where_they_are_allowed(town, http):
    town.server.limits.enabled = False
    path = f"/channels/{town.guild.room.id}/messages"
    content = f"<@{town.ife.id}> @everyone"
    for allowed, people, everyone in [
        ({"parse": []}, [], False),
        ({"parse": [], "users": [str(town.ife.id)]}, [str(town.ife.id)], False),
        (None, [str(town.ife.id)], True),
    ]:
        body = {"content": content, **({"allowed_mentions": allowed} if allowed else {})}
        _, shown, _ = await http("POST", path, body)
        found = [user["id"] for user in shown["mentions"]]
        assert (found, shown["mention_everyone"]) == (people, everyone)


@pytest.mark.asyncio
async def test_a_person_cannot_open_a_deleted_room_or_anothers_private_one(town):
    with pytest.raises(Refused, match="cannot open"):
        await town.tamsin.say(town.ife.private, "hello")
    town.server.delete_channel(town.guild.room)
    with pytest.raises(Refused, match="cannot open"):
        await town.tamsin.say(town.guild.room, "hello")
