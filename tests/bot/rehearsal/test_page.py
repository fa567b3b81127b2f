"""The page over HTTP: who may ask, what it is told, and what it may do."""

import asyncio
import base64
import io
import json
import re
from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import aiohttp
import discord
import pytest
import pytest_asyncio

from bot.rehearsal import ChatServer
from bot.rehearsal.page import service
from tests.bot.rehearsal.conftest import Gardener, MovingClock, Town

FOLDER = Path(service.__file__).parent
STATIC = sorted(path for path in FOLDER.iterdir() if path.suffix in (".html", ".css", ".js"))
pytestmark = pytest.mark.asyncio


@dataclass
class Browser:
    """The calls of the page, as one person in one place."""

    session: aiohttp.ClientSession
    town: Town

    async def get(self, path: str, **query: Any) -> tuple[int, Any]:
        address = self.town.server.page_url + f"page/{path}"
        async with self.session.get(address, params=query) as answer:
            return answer.status, await answer.json()

    async def post(self, path: str, body: Any, **options: Any) -> tuple[int, Any]:
        address = self.town.server.page_url + f"page/{path}"
        async with self.session.post(address, json=body, **options) as answer:
            return answer.status, await answer.json()

    def here(self, **more: Any) -> dict[str, Any]:
        return {"who": str(self.town.tamsin.id), "where": str(self.town.guild.room.id), **more}

    async def record(self, **more: Any) -> Any:
        status, found = await self.get("record", **self.here(**more))
        assert status == 200, found
        return found

    async def until(self, *texts: str, **more: Any) -> Any:
        """The record, followed until the last entries are these (a note with its act)."""
        found = await self.record(**more)
        async with asyncio.timeout(6):
            while [text_of(entry) for entry in found["entries"]][-len(texts) :] != list(texts):
                found = await self.record(after=found["changes"], **more)
        return found


def text_of(entry: Any) -> str:
    if entry["kind"] == "note":
        return f"{entry['act']}: {entry['text']}"
    return str(entry["kind"] if entry["kind"] == "gone" else entry["text"])


@pytest_asyncio.fixture
async def browser(town: Town) -> AsyncIterator[Browser]:
    async with aiohttp.ClientSession() as session:
        yield Browser(session, town)
    assert town.server.board.surprises == []


class Form(discord.ui.Modal, title="Different"):
    about: Any = discord.ui.TextDisplay("As you see it")
    level: Any = discord.ui.Label(
        text="Level", description="half, 3 in", component=discord.ui.TextInput(max_length=10)
    )
    how: Any = discord.ui.Label(
        text="How",
        component=discord.ui.Select(
            options=[
                discord.SelectOption(label=word, value=word[3:]) for word in ("By eye", "By mm")
            ]
        ),
    )

    async def on_submit(self, interaction: discord.Interaction) -> None:
        answer = f"{self.level.component.value} {self.how.component.values}"
        await interaction.response.edit_message(content=answer, view=None)


class Panel(discord.ui.View):
    @discord.ui.button(label="Done", custom_id="done")
    async def done(self, interaction: discord.Interaction, _: Any) -> None:
        await interaction.response.edit_message(content="well done")

    @discord.ui.button(label="Different", custom_id="different")
    async def different(self, interaction: discord.Interaction, _: Any) -> None:
        await interaction.response.send_modal(Form())

    @discord.ui.button(label="Closed", custom_id="closed", disabled=True)
    async def closed(self, interaction: discord.Interaction, _: Any) -> None: ...

    @discord.ui.select(
        custom_id="tower",
        options=[discord.SelectOption(label=n, value=n[0]) for n in ("kitchen", "porch")],
    )
    async def choose(self, interaction: discord.Interaction, select: Any) -> None:
        await interaction.response.send_message(f"chose {select.values}", ephemeral=True)


@pytest.fixture
def gardener() -> Gardener:
    client = Gardener()
    tree = client.tree

    @tree.command(description="What to pour")
    @discord.app_commands.describe(water="How much", level="How full")
    @discord.app_commands.choices(level=[discord.app_commands.Choice(name="Half", value="h")])
    async def dose(
        interaction: discord.Interaction,
        water: str,
        level: discord.app_commands.Choice[str] | None = None,
        file: discord.Attachment | None = None,
    ) -> None:
        read = "" if file is None else (await file.read()).decode()
        await interaction.response.send_message(f"pour {water}{read}", ephemeral=True)

    @dose.autocomplete("water")
    async def waters(interaction: discord.Interaction, current: str) -> list[Any]:
        return [discord.app_commands.Choice(name=f"{current} gal", value=f"{current}gal")]

    @tree.command(description="The panel")
    async def panel(interaction: discord.Interaction) -> None:
        await interaction.response.send_message("pick", view=Panel(timeout=None))

    @tree.command(description="Takes its time")
    async def slow(interaction: discord.Interaction) -> None:
        await interaction.response.defer(ephemeral=True)
        await client.release.wait()
        await interaction.edit_original_response(content="at last")

    @tree.command(description="Says nothing")
    async def mute(interaction: discord.Interaction) -> None: ...

    client.release = asyncio.Event()
    return client


# Who may ask


@pytest.mark.parametrize("path", ["", "page/page.css", "page/page.js", "page/town", "page/none"])
async def test_every_answer_carries_the_strict_headers(browser, path):
    async with browser.session.get(browser.town.server.page_url + path) as answer:
        assert answer.headers["Content-Security-Policy"] == (
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
            "connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
        )
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert answer.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("path", STATIC, ids=[path.name for path in STATIC])
async def test_the_page_holds_no_code_in_texts_and_no_address(path):
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\b", text)
    assert not re.search(r"https?:|url\(|@import|localStorage|document\.cookie", text)
    assert not re.search(r"<(script|style)[^>]*>[^<]|\sstyle=|\son[a-z]+=", text)


def luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("scheme", [0, 1], ids=["light", "dark"])
async def test_every_ink_is_legible_on_its_paper(scheme):
    """At least 4.5 : 1 for text and 3 : 1 for the focus (WCAG 2.2, 1.4.3 and 1.4.11)."""
    css = (FOLDER / "page.css").read_text(encoding="utf-8")
    block = re.findall(r":root \{(.*?)\}", css, re.DOTALL)[scheme]
    colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", block))
    inks = [(ink, paper) for ink in ("ink", "own", "pencil", "press", "good", "grave")
            for paper in ("paper", "slip")]  # fmt: skip
    wanted = [*((*pair, 4.5) for pair in [*inks, ("press-ink", "press")]), ("focus", "paper", 3)]
    for ink, paper, least in wanted:
        low, high = sorted((luminance(colours[ink]), luminance(colours[paper])))
        assert (high + 0.05) / (low + 0.05) >= least, (ink, paper)


async def test_every_file_of_the_page_is_served(browser):
    served = {name for name, _ in service.FILES.values()}
    assert served == {path.name for path in STATIC}
    for address in service.FILES:
        async with browser.session.get(browser.town.server.page_url + address[1:]) as answer:
            assert answer.status == 200
            assert await answer.read()


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "saltmarsh.example"},
        {"Host": "127.0.0.1.saltmarsh.example"},
        {"Origin": "http://saltmarsh.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "http://localhost"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
    ids=str,
)
async def test_only_the_page_itself_may_call(browser, headers):
    for path in ("town", "record"):
        address = browser.town.server.page_url + f"page/{path}"
        async with browser.session.get(address, headers=headers) as answer:
            assert answer.status == 403
    status, _ = await browser.post("say", browser.here(text="dry"), headers=headers)
    assert status == 403
    assert browser.town.server.messages == []


async def test_each_name_of_loopback_is_the_page_itself(browser):
    port = browser.town.server.page_url.rsplit(":", 1)[1].strip("/")
    for name in ("127.0.0.1", "localhost", "[::1]"):
        host = f"{name}:{port}"
        headers = {"Host": host, "Origin": f"http://{host}", "Sec-Fetch-Site": "same-origin"}
        status, answer = await browser.post("say", browser.here(text="/x"), headers=headers)
        assert (status, answer) == (200, {"refused": "There is no command /x here."})


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
async def test_what_a_foreign_form_can_post_is_refused(browser, kind):
    address = browser.town.server.page_url + "page/say"
    headers = {"Content-Type": kind} if kind else {}
    async with browser.session.post(address, data=b'{"who":1}', headers=headers) as answer:
        assert answer.status == 415


@pytest.mark.parametrize(
    "path",
    [
        "/page/../service.py",
        "/page/service.py",
        "/page/%2e%2e/world.py",
        "/page/..%2fworld.py",
        "/page//page.css",
        "/page/page.css/",
        "/page/",
        "/page",
        "/page.html",
        "/page/page.html",
        "/cdn/1/../../page/service.py",
        "/%00",
    ],
)
async def test_no_other_file_can_be_read(town, path):
    host, port = town.server.page_url.removeprefix("http://").strip("/").split(":")
    reader, writer = await asyncio.open_connection(host, int(port))
    writer.write(f"GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n".encode())
    answer = await reader.read()
    writer.close()
    await writer.wait_closed()
    assert answer.split(b" ", 2)[1] in (b"404", b"400")
    assert b"import" not in answer


async def test_a_server_without_the_page_serves_none():
    server = ChatServer(now=MovingClock())
    await server.start()
    assert server.page_url == ""
    async with aiohttp.ClientSession() as session:
        for path in ("/", "/page/town"):
            async with session.get(server.api_url.removesuffix("/api/v10") + path) as answer:
                assert answer.status == 404
    await server.stop()


# Bad input

BAD_QUERIES = [
    ("record", {"who": None}, 400),
    ("record", {"who": "tamsin"}, 400),
    ("record", {"who": "-1"}, 400),
    ("record", {"who": "9" * 30}, 400),
    ("record", {"who": "12345"}, 404),
    ("record", {"where": None}, 400),
    ("record", {"where": "12345"}, 404),
    ("record", {"last": "0"}, 400),
    ("record", {"last": "5001"}, 400),
    ("record", {"after": "soon"}, 400),
    ("commands", {"who": "12345"}, 404),
    ("commands", {"where": "12345"}, 404),
    ("nothing", {}, 404),
    ("say", {}, 404),
]


@pytest.mark.parametrize(("path", "change", "wanted"), BAD_QUERIES)
async def test_a_bad_query_is_a_json_error(browser, path, change, wanted):
    query = {k: v for k, v in {**browser.here(), **change}.items() if v is not None}
    status, body = await browser.get(path, **query)
    assert (status, list(body)) == (wanted, ["error"])


BAD_BODIES = [
    ("say", {"text": None}, 400),
    ("say", {"text": 7}, 400),
    ("say", {"text": "x" * 6001}, 413),
    ("say", {"text": "x", "mention": "yes"}, 400),
    ("say", {"text": "x", "files": "none"}, 400),
    ("say", {"text": "x", "files": ["none"]}, 400),
    ("say", {"text": "x", "files": [{"name": "a"}]}, 400),
    ("say", {"text": "x", "files": [{"name": "a", "data": "*"}]}, 400),
    ("say", {"text": "x", "files": [{"name": "a" * 256, "data": ""}]}, 400),
    ("say", {"text": "x", "who": True}, 400),
    ("say", {"text": "x", "who": [1]}, 400),
    ("say", {"text": "x", "who": "12345"}, 404),
    ("say", {"text": "x", "where": "12345"}, 404),
    ("complete", {"text": None}, 400),
    ("complete", {"text": "/x", "where": "12345"}, 404),
    ("press", {"message": "1"}, 200),
    ("press", {"message": "one", "button": "b"}, 400),
    ("press", {"button": "b"}, 400),
    ("choose", {"message": None, "menu": "m", "values": []}, 400),
    ("submit", {"form": "x", "values": {}}, 200),
    ("dismiss", {"form": "1"}, 200),
    ("town", {}, 404),
]


@pytest.mark.parametrize(("path", "change", "wanted"), BAD_BODIES)
async def test_a_bad_body_is_a_json_error(browser, path, change, wanted):
    body = {k: v for k, v in {**browser.here(), **change}.items() if v is not None}
    status, answer = await browser.post(path, body)
    # the platform's own refusal is an answer like any other
    assert (status, list(answer)) == (wanted, ["refused" if wanted == 200 else "error"])


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b"7", b"\xff", b"[" * 100_000])
async def test_a_body_that_is_no_object_is_refused(browser, data):
    address = browser.town.server.page_url + "page/say"
    headers = {"Content-Type": "application/json"}
    async with browser.session.post(address, data=data, headers=headers) as answer:
        assert answer.status == 400
        assert list(await answer.json()) == ["error"]


async def test_a_body_too_large_is_refused(browser):
    address = browser.town.server.page_url + "page/say"
    headers = {"Content-Type": "application/json", "Content-Length": str(26 * 2**20)}
    async with browser.session.post(address, data=b"{}", headers=headers) as answer:
        assert answer.status == 413


async def test_a_file_too_large_is_refused_by_the_platform(browser):
    data = base64.b64encode(bytes(10 * 2**20 + 1)).decode()
    files = [{"name": "big.bin", "data": data}]
    body = io.BytesIO(json.dumps(browser.here(text="look", files=files)).encode())
    address = browser.town.server.page_url + "page/say"
    headers = {"Content-Type": "application/json"}
    async with browser.session.post(address, data=body, headers=headers) as response:
        answer = await response.json()
    assert answer == {"refused": "big.bin: is larger than 10 MiB."}
    assert browser.town.server.messages == []


async def test_wrong_parts_of_a_menu_or_form_are_refused(browser, run, gardener):
    await run(gardener)
    [shown] = await browser.town.tamsin.say(browser.town.guild.room, "/panel")
    message = str(shown.id)
    for values in ("k", [7], ["k"] * 26):
        body = browser.here(message=message, menu="tower", values=values)
        assert (await browser.post("choose", body))[0] == 400
    await browser.post("press", browser.here(message=message, button="different"))
    form = (await browser.until("pick", "pressed: Different"))["form"]
    while form is None:
        form = (await browser.record())["form"]
    for values in ([], {"level": 7}, {"level": {}}, {"level": [["x"]]}):
        status, _ = await browser.post("submit", browser.here(form=form["id"], values=values))
        assert status == 400


# What is seen


async def test_the_town_lists_people_and_their_places(browser):
    town = browser.town
    _, found = await browser.get("town")
    assert found["bot"]["name"] == "Tankwren"
    assert [(p["name"], p["coach"]) for p in found["people"]] == [
        ("Tamsin", False),
        ("Ife", False),
        ("Wenna", True),
    ]
    assert found["people"][0]["places"] == [
        {"id": str(town.guild.room.id), "name": "towers", "community": "Saltmarsh Growers",
         "private": False},
        {"id": str(town.tamsin.private.id), "name": "Tamsin", "community": None, "private": True},
    ]  # fmt: skip
    before = (await browser.record())["town"]
    town.server.add_room(town.guild, "seedlings")
    assert (await browser.record())["town"] != before


async def test_nobody_opens_anothers_private_place(browser):
    private = str(browser.town.ife.private.id)
    assert (await browser.get("record", **browser.here(where=private)))[0] == 404
    status, _ = await browser.post("say", browser.here(where=private, text="psst"))
    assert status == 404


async def test_a_command_is_noted_and_answered_only_to_its_asker(browser, run, gardener):
    await run(gardener)
    town = browser.town
    assert await browser.post("say", browser.here(text="/dose water:10")) == (200, {})
    found = await browser.until("typed: /dose water:10", "pour 10")
    answer = found["entries"][-1]
    assert (answer["by"], answer["bot"], answer["only_you"]) == ("Tankwren", True, True)
    assert found["clock"] is None
    # it stays for a page loaded anew, and nobody else sees either line
    assert len((await browser.record())["entries"]) == 2
    assert (await browser.record(who=str(town.ife.id)))["entries"] == []
    _, pressed = await browser.post(
        "press", browser.here(who=str(town.ife.id), message=answer["id"], button="x")
    )
    assert pressed == {"refused": "The message is gone."}


async def test_the_platforms_refusal_is_told_and_not_noted(browser, run, gardener):
    await run(gardener)
    for text, reason in (
        ("/dose", "water: is required."),
        ("/nothing", "There is no command /nothing here."),
        ("/dose water:1 level:brim", "level: must be one of the choices: Half."),
    ):
        assert await browser.post("say", browser.here(text=text)) == (200, {"refused": reason})
    where = str(browser.town.tamsin.private.id)
    _, answer = await browser.post("say", browser.here(where=where, text=" "))
    assert answer == {"refused": "The message is empty."}
    assert (await browser.record())["entries"] == []


async def test_the_feed_wakes_while_an_act_is_under_way(browser, run, gardener):
    await run(gardener)
    changes = (await browser.record())["changes"]
    waiting = asyncio.create_task(browser.record(after=changes))
    await asyncio.sleep(0)
    await browser.post("say", browser.here(text="/slow"))
    assert (await asyncio.wait_for(waiting, 1))["changes"] > changes
    found = await browser.until("typed: /slow", "")
    assert found["entries"][-1]["thinking"]
    gardener.release.set()
    found = await browser.until("typed: /slow", "at last")
    assert not found["entries"][-1]["thinking"]


async def test_a_page_of_an_earlier_server_is_answered_at_once(browser):
    async with asyncio.timeout(2):
        assert (await browser.record(after=10**6))["changes"] < 10**6


async def test_silence_is_told(browser, run, gardener):
    await run(gardener)
    await browser.post("say", browser.here(text="/mute"))
    await browser.until("typed: /mute", "silent: The application did not respond")


async def test_edits_deletions_replies_and_pins_show(browser, run, gardener):
    async def reply(message: discord.Message) -> None:
        first = await message.reply("first")
        second = await message.channel.send("second")
        await first.edit(content="first, mended")
        await first.pin()
        await second.delete()

    gardener.reply = reply
    await run(gardener)
    await browser.post("say", browser.here(text="dry roots", mention=False))
    found = await browser.until("dry roots", "first, mended", "gone")
    mine, first, gone = found["entries"]
    assert (mine["own"], mine["by"], first["own"]) == (True, "Tamsin", False)
    assert first["edited"]
    assert first["pinned"]
    # what is answered stands right above, so it is not quoted
    assert (first["to"]["name"], first["to"]["text"]) == ("Tamsin", "")
    assert "second" not in str(gone)


async def test_only_the_last_entries_are_sent(browser):
    town = browser.town
    for number in range(4):
        await town.ife.say(town.guild.room, f"line {number}", timeout_s=0.01, mention=False)
    found = await browser.record(last=2)
    assert [e["text"] for e in found["entries"]] == ["line 2", "line 3"]
    assert found["earlier"]
    assert not (await browser.record(last=4))["earlier"]


async def test_something_new_elsewhere_is_told(browser, run, gardener):
    gardener.reply = lambda message: message.author.send("psst")
    await run(gardener)
    private = str(browser.town.tamsin.private.id)
    assert (await browser.record())["latest"][private] == "0"
    await browser.post("say", browser.here(text="write to me"))
    found = await browser.until("psst", where=private)
    assert found["latest"][private] == found["entries"][-1]["id"]


# What is done


async def test_commands_come_in_the_persons_words(browser, run, gardener):
    await run(gardener)
    _, found = await browser.get("commands", **browser.here())
    assert [c["name"] for c in found["commands"]] == ["dose", "mute", "panel", "slow"]
    water, level, file = found["commands"][0]["options"]
    assert (water["name"], water["text"], water["required"], water["complete"]) == (
        "water",
        "How much",
        True,
        True,
    )
    assert (level["choices"], file["kind"]) == (["Half"], 11)


async def test_the_bots_own_offers_come(browser, run, gardener):
    await run(gardener)
    _, found = await browser.post("complete", browser.here(text="/dose water:8"))
    assert found == {"choices": [{"name": "8 gal", "value": "8gal"}]}
    _, found = await browser.post("complete", browser.here(text="/dose water:8 level:h"))
    assert found == {"refused": "There is no completion here."}


async def test_buttons_and_menus_are_used_and_noted(browser, run, gardener):
    await run(gardener)
    [shown] = await browser.town.ife.say(browser.town.guild.room, "/panel")
    message = str(shown.id)
    here = browser.here(message=message)
    assert (await browser.record())["entries"][0]["to"] == {"name": "Ife", "text": ""}
    _, refused = await browser.post("press", {**here, "button": "closed"})
    assert refused == {"refused": 'The button "closed" is disabled.'}
    await browser.post("press", {**here, "button": "done"})
    await browser.until("well done", "pressed: Done")
    await browser.post("choose", {**here, "menu": "tower", "values": ["p"]})
    await browser.until("chose: porch", "chose ['p']")
    _, refused = await browser.post("choose", {**here, "menu": "tower", "values": []})
    assert refused == {"refused": "Take 1 to 1 of the options."}


async def opened(browser: Browser, message: str) -> Any:
    await browser.post("press", browser.here(message=message, button="different"))
    found = await browser.record()
    async with asyncio.timeout(5):
        while found["form"] is None:
            found = await browser.record(after=found["changes"])
    return found["form"]


async def test_a_form_opens_stays_and_is_sent(browser, run, gardener):
    await run(gardener)
    town = browser.town
    [shown] = await town.tamsin.say(town.guild.room, "/panel")
    form = await opened(browser, str(shown.id))
    assert form["title"] == "Different"
    text, level, how = form["parts"]
    assert text == {"kind": 10, "text": "As you see it"}
    assert (level["label"], level["text"], level["required"], level["long"]) == (
        "Level",
        "half, 3 in",
        True,
        False,
    )
    assert [o["label"] for o in how["options"]] == ["By eye", "By mm"]
    assert (await browser.record())["form"] == form
    assert (await browser.record(where=str(town.tamsin.private.id)))["form"] is None
    assert (await browser.record(who=str(town.ife.id)))["form"] is None
    _, refused = await browser.post("submit", browser.here(form=form["id"], values={}))
    assert refused == {"refused": "Level: is required."}
    values = {level["id"]: "half", how["id"]: ["eye"]}
    strange = browser.here(who=str(town.ife.id), form=form["id"], values=values)
    assert (await browser.post("submit", strange))[1] == {"refused": "The form is gone."}
    assert await browser.post("submit", browser.here(form=form["id"], values=values)) == (200, {})
    found = await browser.until("half ['eye']", "pressed: Different", "filled: Different")
    assert found["form"] is None
    _, again = await browser.post("submit", browser.here(form=form["id"], values=values))
    assert again == {"refused": "The form is gone."}


async def test_a_form_is_put_away(browser, run, gardener):
    await run(gardener)
    [shown] = await browser.town.tamsin.say(browser.town.guild.room, "/panel")
    form = await opened(browser, str(shown.id))
    assert await browser.post("dismiss", browser.here(form=form["id"])) == (200, {})
    assert (await browser.record())["form"] is None


async def test_a_file_is_sent_and_shown(browser, run, gardener):
    await run(gardener)
    files = [{"name": "records.json", "data": base64.b64encode(b" of six").decode()}]
    text = "/dose water:10 file:records.json"
    await browser.post("say", browser.here(text=text, files=files))
    await browser.until(f"typed: {text}", "pour 10 of six")
    await browser.post("say", browser.here(text="look", mention=False, files=files))
    [file] = (await browser.until("look"))["entries"][-1]["files"]
    assert (file["name"], file["size"], file["picture"]) == ("records.json", 7, False)
    async with browser.session.get(browser.town.server.page_url + file["url"][1:]) as answer:
        assert await answer.read() == b" of six"


async def test_the_server_ends_with_acts_and_a_feed_under_way(browser, run, gardener):
    await run(gardener)
    await browser.post("say", browser.here(text="/slow"))
    changes = (await browser.until("typed: /slow", ""))["changes"]
    waiting = asyncio.create_task(browser.record(after=changes))
    await asyncio.sleep(0.05)
    assert not waiting.done()
    async with asyncio.timeout(3):
        await browser.town.server.stop()
    await asyncio.gather(waiting, return_exceptions=True)
