"""What the demo bot may not use yet, by a scripted bot: forms, menus, files, marks, waiting."""

import asyncio
import io
from collections.abc import AsyncIterator
from typing import Any

import discord
import pytest
import pytest_asyncio
from discord import ui
from playwright.async_api import Browser, expect

from bot.rehearsal import ChatServer
from tests.bot.rehearsal.conftest import Gardener, MovingClock
from tests.browser import PHONE, chromium, needs_chromium, opened

pytestmark = [pytest.mark.asyncio, needs_chromium]
PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010806000000 1f15c489"
    "0000000d49444154789c636060f8cf0000030101002e2d7b4b0000000049454e44ae426082".replace(" ", "")
)
TEXT = r"""**Kitchen: add 8 gal**, then _B_, `5 min` and tank_l_x
- first water
- then **each** part
> never undiluted
Next: <t:1804150800:f> (<t:1804150800:d>)
\*plain\* <img src=x onerror=alert(1)> <script>alert(1)</script> <@{who}> **open
-# Why: 8 × 1.9"""


@pytest_asyncio.fixture
async def browser() -> AsyncIterator[Browser]:
    async with chromium() as started:
        yield started


class Form(ui.Modal, title="Different"):
    about: Any = ui.TextDisplay("What does the tank **look** like?")
    level: Any = ui.Label(
        text="Level", description="half, 3 in below full", component=ui.TextInput(max_length=10)
    )
    how: Any = ui.Label(
        text="How",
        component=ui.Select(
            options=[discord.SelectOption(label=f"By {w}", value=w) for w in ("eye", "stick")]
        ),
    )
    marks: Any = ui.Label(
        text="Seen",
        component=ui.Select(
            required=False,
            min_values=0,
            max_values=2,
            options=[discord.SelectOption(label=w, value=w[0]) for w in ("foam", "roots")],
        ),
    )
    note: Any = ui.Label(
        text="Note", component=ui.TextInput(style=discord.TextStyle.paragraph, required=False)
    )

    async def on_submit(self, interaction: discord.Interaction) -> None:
        parts = [self.level, self.how, self.marks, self.note]
        values = [getattr(p.component, "values", None) or p.component.value for p in parts]
        await interaction.response.edit_message(content=f"{values}", view=None)


class Panel(ui.View):
    def __init__(self) -> None:
        super().__init__(timeout=None)
        self.add_item(ui.Button(label="Whom to ask", url="https://saltmarsh.example/help"))

    @ui.button(label="Different", custom_id="different")
    async def different(self, interaction: discord.Interaction, _: Any) -> None:
        await interaction.response.send_modal(Form())

    @ui.button(label="Again", custom_id="again", style=discord.ButtonStyle.success)
    async def again(self, interaction: discord.Interaction, _: Any) -> None:
        await interaction.response.edit_message(content="pick once more")

    @ui.button(label="Closed", custom_id="closed", disabled=True)
    async def closed(self, interaction: discord.Interaction, _: Any) -> None: ...

    @ui.select(
        custom_id="tower",
        placeholder="Which tower",
        options=[discord.SelectOption(label=n, value=n[0]) for n in ("kitchen", "porch")],
    )
    async def choose(self, interaction: discord.Interaction, select: Any) -> None:
        await interaction.response.send_message(f"chose {select.values}", ephemeral=True)


@pytest.fixture
def gardener() -> Gardener:
    client = Gardener()
    tree = client.tree

    @tree.command(description="The panel")
    async def panel(interaction: discord.Interaction) -> None:
        await interaction.response.send_message("pick", view=Panel())

    @tree.command(description="Marks and files")
    async def marks(interaction: discord.Interaction) -> None:
        picture = discord.File(io.BytesIO(PNG), "week.png", description="The level, falling")
        table = discord.File(io.BytesIO(b"day,level\n"), "level.csv")
        text = TEXT.replace("{who}", str(interaction.user.id))
        await interaction.response.send_message(text, files=[picture, table])

    @tree.command(description="Take records over")
    @discord.app_commands.describe(file="An earlier export")
    async def take(interaction: discord.Interaction, file: discord.Attachment) -> None:
        text = (await file.read()).decode()
        await interaction.response.send_message(f"took {file.filename}: {text}", ephemeral=True)

    @tree.command(description="Takes its time")
    async def slow(interaction: discord.Interaction) -> None:
        await interaction.response.defer(ephemeral=True)
        await client.release.wait()
        await interaction.edit_original_response(content="at last")

    client.release = asyncio.Event()
    return client


@pytest.mark.parametrize("size", [(1100, 800), PHONE])
async def test_a_form_is_filled_by_keyboard_alone(town, run, gardener, browser, size):
    await run(gardener)
    async with opened(browser, town.server.page_url, size) as page:
        press = page.keyboard.press
        await page.keyboard.type("/panel")
        await press("Enter")
        shown = page.locator(".entry.message")
        await expect(shown).to_contain_text("Whom to ask: https://saltmarsh.example/help")
        await expect(shown.locator("a")).to_have_count(0)
        await expect(shown.get_by_role("button", name="Closed")).to_be_disabled()
        different = shown.get_by_role("button", name="Different")
        await different.focus()
        await press("Enter")
        form = page.locator("dialog")
        await expect(form.get_by_role("heading")).to_have_text("Different")
        await expect(form.locator("strong")).to_have_text("look")
        level = form.get_by_label("Level")
        await expect(level).to_be_focused()
        await expect(level).to_have_accessible_description("half, 3 in below full")
        await page.keyboard.type("a lot more than ten letters")
        await expect(level).to_have_value("a lot more")
        await page.keyboard.press("Control+A")
        await page.keyboard.press("Backspace")
        await press("Enter")
        await expect(form.locator(".trouble")).to_have_text("Level: is required.")
        await expect(level).to_be_focused()
        await expect(level).to_have_attribute("aria-invalid", "true")
        await page.keyboard.type("half")
        await press("Tab")
        await page.keyboard.type("By s")
        await press("Tab")
        await press("Tab")
        await press("Space")
        await press("Tab")
        await page.keyboard.type("stick")
        await press("Enter")
        await page.keyboard.type("is wet")
        await press("Tab")
        await press("Enter")
        await expect(form).to_be_hidden()
        await expect(shown).to_contain_text("['half', ['stick'], ['r'], 'stick\\nis wet']")
        assert await page.evaluate("document.activeElement !== document.body")
        assert await page.evaluate("document.documentElement.scrollWidth") <= size[0]


async def test_escape_puts_a_form_away_and_the_focus_back(town, run, gardener, browser):
    await run(gardener)
    async with opened(browser, town.server.page_url) as page:
        await page.keyboard.type("/panel")
        await page.keyboard.press("Enter")
        different = page.get_by_role("button", name="Different")
        await different.focus()
        await page.keyboard.press("Enter")
        await expect(page.locator("dialog")).to_be_visible()
        await page.keyboard.press("Escape")
        await expect(page.locator("dialog")).to_be_hidden()
        await expect(different).to_be_focused()
        await page.reload()
        await expect(page.locator(".entry.message")).to_have_count(1)
        await expect(page.locator("dialog")).to_be_hidden()
        await page.get_by_role("button", name="Different").click()
        await expect(page.locator("dialog")).to_be_visible()
        await page.reload()
        await expect(page.get_by_label("Level")).to_be_focused()


async def test_a_menu_is_taken_with_its_own_press_and_focus_stays(town, run, gardener, browser):
    await run(gardener)
    async with opened(browser, town.server.page_url) as page:
        await page.keyboard.type("/panel")
        await page.keyboard.press("Enter")
        menu = page.get_by_label("Which tower")
        await menu.focus()
        await page.keyboard.type("por")
        await page.keyboard.press("Tab")
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message").last).to_contain_text("chose ['p']")
        again = page.get_by_role("button", name="Again")
        await again.focus()
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message").first).to_contain_text("pick once more")
        await expect(page.locator(".entry.message").first).to_contain_text("edited")
        await expect(again).to_be_focused()


async def test_texts_stay_texts_and_files_are_shown(town, run, gardener, browser):
    await run(gardener)
    async with opened(browser, town.server.page_url) as page:
        await page.keyboard.type("/marks")
        await page.keyboard.press("Enter")
        body = page.locator(".entry.message .body")
        await expect(body.locator("strong")).to_have_text(["Kitchen: add 8 gal", "each"])
        await expect(body.locator("em")).to_have_text(["B"])
        await expect(body.locator("code")).to_have_text(["5 min"])
        await expect(body.locator("li")).to_have_text(["first water", "then each part"])
        await expect(body.locator("blockquote")).to_have_text("never undiluted")
        await expect(body.locator(".small")).to_have_text("Why: 8 × 1.9")
        times = body.locator("p time")
        await expect(times.first).to_have_attribute("title", "2027-03-04 09:00 UTC")
        await expect(times.first).to_have_text("March 4, 2027 at 4:00 AM")
        await expect(body.locator("p", has_text="plain")).to_have_text(
            "*plain* <img src=x onerror=alert(1)> <script>alert(1)</script> @Tamsin **open"
        )
        await expect(body.locator("script")).to_have_count(0)
        picture = body.get_by_role("img", name="The level, falling")
        await expect(picture).to_have_js_property("naturalWidth", 1)
        async with page.expect_download() as download:
            await body.get_by_role("link", name="level.csv (10 B)").click()
        got = await download.value
        assert got.suggested_filename == "level.csv"
        assert (await got.path()).read_bytes() == b"day,level\n"


MARKS = [
    ("**bold** and *leaning*", "<p><strong>bold</strong> and <em>leaning</em></p>"),
    ("_a_ tank_l_x 2_000_000 a_b", "<p><em>a</em> tank_l_x 2_000_000 a_b</p>"),
    ("**a _b_ `c`**", "<p><strong>a <em>b</em> <code>c</code></strong></p>"),
    ("`**no**` ``a`b``", "<p><code>**no**</code> <code>a`b</code></p>"),
    (r"\*a\* \_b\_ \` \\ \- \z", r"<p>*a* _b_ ` \ - \z</p>"),
    (r"**a\*\*b**", "<p><strong>a**b</strong></p>"),
    ("** open _ ` ~~ <t: <@ <", "<p>** open _ ` ~~ &lt;t: &lt;@ &lt;</p>"),
    ("5 * 3 * 2", "<p>5 * 3 * 2</p>"),
    ("__under__ ~~gone~~", "<p><u>under</u> <s>gone</s></p>"),
    ("-# small **b**", "<p>small <strong>b</strong></p>"),
    (r"\-# not small", "<p>-# not small</p>"),
    ("- a\n  - b\n- c\nd", "<ul><li>a</li><li>b</li><li>c</li></ul><p>d</p>"),
    ("-5 °C", "<p>-5 °C</p>"),
    ("> a\nb", "<blockquote>a</blockquote><p>b</p>"),
    ("a\n\nb", "<p>a</p><p><br></p><p>b</p>"),
    ("```\nx **y**\n```", "<pre>x **y**</pre>"),
    ("<@99> <#98> </dose:97>", "<p>@someone #a room <code>/dose</code></p>"),
    ("<t:99999999999999999> <t:1:Q>", "<p>&lt;t:99999999999999999&gt; &lt;t:1:Q&gt;</p>"),
    ("<t:1804150800:R>", "<p><time>in 2 days</time></p>"),
    ("&amp; <b>x</b>", "<p>&amp;amp; &lt;b&gt;x&lt;/b&gt;</p>"),
]
DRAW = """async ([text, now]) => {
    const { write } = await import('/page/marks.js');
    const node = document.createElement('div');
    write(node, text, { names: new Map(), now: new Date(now) });
    for (const part of node.querySelectorAll('*'))
        for (const name of part.getAttributeNames()) part.removeAttribute(name);
    return node.innerHTML;
}"""


async def test_each_mark_becomes_its_node_and_all_else_stays(town, browser):
    async with opened(browser, town.server.page_url) as page:
        for text, wanted in MARKS:
            assert await page.evaluate(DRAW, [text, "2027-03-02T09:00:00Z"]) == wanted
        for unit in ("*", "_", "`", "**a", "<t:", "\\", "~~", "- ", "> "):
            async with asyncio.timeout(2):
                await page.evaluate(DRAW, [unit * (4000 // len(unit)), "2027-03-02T09:00:00Z"])


class Layout(ui.LayoutView):
    row: Any = ui.ActionRow()

    def __init__(self) -> None:
        super().__init__(timeout=None)
        button: ui.Button[Any] = ui.Button(label="Working", custom_id="working")
        section: Any = ui.Section("**Kitchen** at half", accessory=button)
        gallery: Any = ui.MediaGallery()
        gallery.add_item(media="attachment://week.png", description="The level, falling")
        file: Any = ui.File("attachment://level.csv")
        self.add_item(ui.Container(section, ui.Separator(), gallery, file))

    @row.select(
        placeholder="What you see",
        max_values=2,
        options=[discord.SelectOption(label=n, value=n[0]) for n in ("foam", "roots", "algae")],
    )
    async def choose(self, interaction: discord.Interaction, select: Any) -> None:
        await interaction.response.send_message(f"chose {select.values}", ephemeral=True)


async def test_a_layout_is_shown_with_all_its_parts(town, run, gardener, browser):
    @gardener.tree.command(description="A layout")
    async def layout(interaction: discord.Interaction) -> None:
        files = [
            discord.File(io.BytesIO(PNG), "week.png"),
            discord.File(io.BytesIO(b"a"), "level.csv"),
        ]
        await interaction.response.send_message(view=Layout(), files=files)

    await run(gardener)
    async with opened(browser, town.server.page_url, PHONE) as page:
        await page.keyboard.type("/layout")
        await page.keyboard.press("Enter")
        body = page.locator(".entry.message .body").first
        await expect(body.locator("strong")).to_have_text("Kitchen")
        await expect(body.get_by_role("button", name="Working")).to_be_visible()
        # a file that a part of the layout shows is not shown once more
        await expect(body.get_by_role("img")).to_have_count(1)
        await expect(body.get_by_role("img", name="The level, falling")).to_be_visible()
        await expect(body.get_by_role("link", name="level.csv")).to_have_count(1)
        await body.get_by_label("foam").check()
        await body.get_by_label("algae").check()
        await body.get_by_role("button", name="Choose").click()
        await expect(page.locator(".entry.message").last).to_contain_text("chose ['f', 'a']")
        await expect(page.locator(".chose")).to_contain_text("chose foam, algae")
        assert await page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


async def test_the_page_finds_a_server_that_was_started_anew(town, browser):
    async with opened(browser, town.server.page_url, calm=False) as page:
        port = int(town.server.page_url.rsplit(":", 1)[1].strip("/"))
        await town.server.stop()
        await expect(page.locator("#status")).to_contain_text("No answer from the server")
        again = ChatServer(now=MovingClock(), page=True, port=port)
        guild = again.add_guild("Saltmarsh Growers", room="seedlings")
        ruan = again.add_person("Ruan", guilds=[guild])
        await again.start()
        await ruan.say(guild.room, "sown today", timeout_s=0.01, mention=False)
        await expect(page.locator(".entry.message")).to_contain_text("sown today")
        await expect(page.locator("#who")).to_have_value(str(ruan.id))
        await expect(page.locator("#status")).to_have_text("")
        await again.stop()


async def test_a_file_becomes_the_value_of_an_option(town, run, gardener, browser):
    await run(gardener)
    async with opened(browser, town.server.page_url) as page:
        await page.keyboard.type("/take file:")
        await expect(page.locator("#list li")).to_have_text(["Choose a file …"])
        async with page.expect_file_chooser() as chooser:
            await page.keyboard.press("ArrowDown")
            marked = page.locator("#list li").first
            await expect(marked).to_have_attribute("aria-selected", "true")
            await page.keyboard.press("Enter")
        file = {"name": "old records.json", "mimeType": "application/json", "buffer": b"{}"}
        await (await chooser.value).set_files(file)
        await expect(page.locator("#text")).to_have_value("/take file:old records.json")
        await expect(page.locator("#text")).to_be_focused()
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message")).to_contain_text("took old records.json: {}")
        await expect(page.locator("#chosen")).to_be_hidden()
        await page.set_input_files("#file", {**file, "name": "tank.png", "buffer": PNG})
        await page.keyboard.press("Enter")
        await expect(page.get_by_role("img", name="tank.png")).to_be_visible()


async def test_a_deferred_answer_is_shown_and_replaced(town, run, gardener, browser):
    await run(gardener)
    async with opened(browser, town.server.page_url) as page:
        await page.keyboard.type("/slow")
        await page.keyboard.press("Enter")
        answer = page.locator(".entry.message")
        await expect(answer).to_contain_text("Tankwren is thinking …")
        gardener.release.set()
        await expect(answer).to_contain_text("at last")
        await expect(answer).not_to_contain_text("thinking")
        await expect(page.locator("#log")).to_have_attribute("aria-live", "polite")
