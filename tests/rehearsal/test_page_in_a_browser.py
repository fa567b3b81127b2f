"""The whole bot in the demo town, used through the page in a real browser."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator

import pytest
import pytest_asyncio
from playwright.async_api import Browser, Page, expect

from tests.browser import PHONE, chromium, needs_chromium, opened
from tests.rehearsal.conftest import Town

pytestmark = [pytest.mark.asyncio, needs_chromium]


@pytest_asyncio.fixture()
async def browser() -> AsyncIterator[Browser]:
    async with chromium() as started:
        yield started


async def write(page: Page, text: str) -> None:
    await page.focus("#text")
    await page.keyboard.type(text)
    await page.keyboard.press("Escape")
    await page.keyboard.press("Enter")


async def test_a_topup_typed_with_completion(town: Town, browser: Browser) -> None:
    async with opened(browser, town.server.page_url) as page:
        line, offers = page.locator("#text"), page.locator("#list li")
        await expect(line).to_be_focused()
        await page.keyboard.type("/topu")
        await expect(offers).to_have_count(1)
        await expect(offers.first).to_contain_text("/topup")
        await page.keyboard.press("Enter")
        await expect(line).to_have_value("/topup ")
        await page.keyboard.type("tow")
        await page.keyboard.press("ArrowDown")
        await page.keyboard.press("Enter")
        await expect(line).to_have_value("/topup tower:")
        await page.keyboard.type("ki")
        await expect(offers.first).to_have_text("kitchen")
        await page.keyboard.press("ArrowDown")
        await expect(offers.first).to_have_attribute("aria-selected", "true")
        await page.keyboard.press("Tab")
        await expect(line).to_have_value("/topup tower:kitchen ")
        await page.keyboard.type("le")
        await page.keyboard.press("ArrowDown")
        await page.keyboard.press("Enter")
        await page.keyboard.type("half ec:1.9")
        await page.keyboard.press("Enter")
        answer = page.locator(".entry.message").last
        await expect(answer.locator("strong").first).to_have_text(
            "Kitchen: add 8 gal water, to the line, pump off."
        )
        await expect(answer.locator(".mark")).to_have_text("only you")
        await expect(page.locator(".typed")).to_contain_text("/topup tower:kitchen level:half")
        await expect(line).to_have_value("")
        await expect(line).to_be_focused()
        await page.reload()
        await expect(page.locator(".entry.message").last).to_contain_text("Expect EC about 1.7")


async def test_every_command_is_offered_with_its_description(town: Town, browser: Browser) -> None:
    async with opened(browser, town.server.page_url) as page:
        await page.keyboard.type("/")
        offers = page.locator("#list li")
        wanted = []
        for command in town.tamsin.commands(town.guild.room):
            inner = [o for o in command.get("options", []) if o["type"] == 1]
            wanted += [f"/{command['name']} {o['name']}" for o in inner] or [f"/{command['name']}"]
        await expect(offers).to_have_count(len(wanted))
        assert sorted(await offers.locator("b").all_text_contents()) == sorted(wanted)
        assert all(await offers.locator("span").all_text_contents())


async def test_a_button_pressed_by_keyboard_settles_the_question(
    town: Town, browser: Browser
) -> None:
    async with opened(browser, town.server.page_url) as page:
        await page.select_option("#who", label="Bram")
        await write(page, "/dose water:10 gal")
        buttons = page.locator(".entry.message").last.locator("button")
        await expect(buttons).to_have_text(["US gallons", "UK gallons"])
        await page.keyboard.press("Shift+Tab")
        await expect(buttons.last).to_be_focused()
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message").last).to_contain_text("10 UK gal")
        await expect(page.locator(".pressed")).to_have_text(re.compile("pressed UK gallons"))
        assert town.rows("SELECT gallon FROM member WHERE name = 'Bram'") == [("uk",)]


async def test_a_sentence_in_private_and_the_other_place_is_marked(
    town: Town, browser: Browser
) -> None:
    async with opened(browser, town.server.page_url) as page:
        await town.tamsin.say(town.tamsin.private, "half, meter says 1.9")
        await expect(page.locator("#status")).to_have_text("New in private.")
        await page.select_option("#where", label="In private · new")
        await expect(page.locator(".entry.message").last).to_contain_text("add 8 gal water")
        await expect(page.locator("#to")).to_be_hidden()
        await write(page, "the kitchen is at half")
        await expect(page.locator(".entry.message")).to_have_count(4)
        await expect(page.locator("#where option").last).to_have_text("In private")


async def test_two_people_see_the_room_and_not_each_others_answers(
    town: Town, browser: Browser
) -> None:
    async with (
        opened(browser, town.server.page_url) as hers,
        opened(browser, town.server.page_url) as his,
    ):
        await his.select_option("#who", label="Bram")
        await write(hers, "/topup level:half ec:1.9")
        await expect(hers.locator(".entry.message")).to_have_count(1)
        await write(hers, "tank's at half, meter says 1.9. what do i add")
        for page, count in ((hers, 3), (his, 2)):
            await expect(page.locator(".entry.message")).to_have_count(count)
            await expect(page.locator(".entry.message").last).to_contain_text("8 gal water")
        await expect(his.get_by_text("only you")).to_have_count(0)


async def test_what_the_platform_refuses_is_said_and_the_line_kept(
    town: Town, browser: Browser
) -> None:
    async with opened(browser, town.server.page_url) as page:
        await write(page, "/tower add name:porch")
        await expect(page.locator("#trouble")).to_have_text("tank: is required.")
        await expect(page.locator("#text")).to_have_value("/tower add name:porch")
        await page.keyboard.type(" tank:10 gal")
        await expect(page.locator("#trouble")).to_be_hidden()
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message").last).to_contain_text("10 gal")


async def test_the_keyboard_reaches_everything_in_order(town: Town, browser: Browser) -> None:
    async with opened(browser, town.server.page_url) as page:
        await page.focus("#who")
        order = ["who", "where", "log", "text", "file", "mention", ""]
        for place, name in enumerate(order):
            focused = "document.activeElement"
            assert await page.evaluate(f"{focused}.id") == name, place
            outline = await page.evaluate(f"getComputedStyle({focused}).outlineStyle")
            seen = await page.evaluate(f"getComputedStyle({focused}.parentNode).outlineStyle")
            assert "solid" in (outline, seen), name
            await page.keyboard.press("Tab")
        await page.focus("#text")
        await page.keyboard.type("/")
        await expect(page.locator("#offers")).to_be_visible()
        await page.keyboard.press("Escape")
        await expect(page.locator("#offers")).to_be_hidden()
        await expect(page.locator("#text")).to_be_focused()


async def test_the_newest_stays_in_sight_unless_one_reads_further_up(
    town: Town, browser: Browser
) -> None:
    async with opened(browser, town.server.page_url, PHONE) as page:
        entries, log = page.locator(".entry.message"), page.locator("#log")
        for count in (1, 2, 3):
            await write(page, "/topup level:half ec:1.9")
            await expect(entries).to_have_count(count)
        small = entries.last.locator(".small").last
        await expect(small).to_be_in_viewport()
        await page.keyboard.type("/topup ")
        await expect(page.locator("#list li").first).to_be_visible()
        await expect(small).to_be_in_viewport()
        await page.fill("#text", "")
        await log.evaluate("(node) => { node.scrollTop = 0; }")
        await expect(entries.first).to_be_in_viewport()
        await town.bram.say(town.guild.room, "half, what do i add")
        await expect(entries).to_have_count(5)
        await expect(entries.first).to_be_in_viewport()


@pytest.mark.parametrize("scheme", ["light", "dark"])
async def test_a_phone_never_scrolls_sideways(town: Town, browser: Browser, scheme: str) -> None:
    async with opened(browser, town.server.page_url, PHONE, scheme) as page:
        await write(page, "/topup level:half ec:1.9")
        await expect(page.locator(".entry.message")).to_have_count(1)
        await write(page, "/tower add name:" + "n" * 40 + " tank:10 gal")
        await write(page, "w" * 400)
        await page.keyboard.type("/topup ")
        await expect(page.locator("#list li").first).to_be_visible()
        width = await page.evaluate("document.documentElement.scrollWidth")
        assert width <= PHONE[0]
        wide = await page.evaluate(
            "[...document.querySelectorAll('main *')].filter((n) => n.getClientRects().length"
            " && n.getBoundingClientRect().right > innerWidth + 1).map((n) => n.outerHTML)"
        )
        assert wide == []
        low = await page.evaluate(
            "[...document.querySelectorAll('button, select, #text, .file, #list li')]"
            ".filter((n) => n.getClientRects().length && n.getBoundingClientRect().height < 44)"
            ".map((n) => n.outerHTML)"
        )
        assert low == []
        await expect(page.locator("#text")).to_be_in_viewport()
