"""Set-up by buttons, a top-up, Different and undo, on a phone and by keyboard alone."""

from __future__ import annotations

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


async def press(page: Page, label: str, then: str) -> None:
    """The button of the newest answer that has it; `then` is what must come back."""
    await page.get_by_role("button", name=label, exact=True).last.click()
    await expect(page.locator(".entry.message").last).to_contain_text(then)


async def test_a_newcomer_is_set_up_by_buttons_on_a_phone(town: Town, browser: Browser) -> None:
    shown = (await town.wenna.say(town.guild.room, "/setup"))[0]
    post = (await town.wenna.press(shown, "Go on"))[0]
    await town.wenna.press(post, "Post and pin")
    town.server.add_person("Nessa", guilds=[town.guild])
    async with opened(browser, town.server.page_url, PHONE) as page:
        await page.select_option("#who", label="Nessa")
        await expect(page.locator(".entry.message").last).to_contain_text("New here?")
        await press(page, "Set up my tower", "1 of 4")
        await page.get_by_role("button", name="Type the size").last.click()
        await page.locator("dialog input").fill("12 gal")
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message").last).to_contain_text("2 of 4")
        await press(page, "Outdoors", "3 of 4")
        await press(page, "Saltmarsh two-part, 8 mL per gal of each", "4 of 4")
        await press(page, "None", "Saved: balcony, 12 gal")
        await press(page, "Here, empty", "leak run")
        width = await page.evaluate("document.documentElement.scrollWidth")
        assert width <= PHONE[0]
    assert town.rows("SELECT stage FROM tower WHERE name = 'balcony'") == [("empty",)]


async def test_a_topup_different_and_undo(town: Town, browser: Browser) -> None:
    async with opened(browser, town.server.page_url) as page:
        await write(page, "/topup level:half ec:2.1")
        await expect(page.locator(".entry.message").last).to_contain_text("A 36 mL")
        await page.get_by_role("button", name="Different").last.click()
        fields = page.locator("dialog input")
        await expect(fields).to_have_count(2)
        await fields.nth(0).fill("7/8")
        await fields.nth(1).fill("30 ml each")
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message").last).to_contain_text(
            "Logged: kitchen, 6 gal water, 30 mL of each, 14 gal in the tank"
        )
        await press(page, "Undo", "Taken back: kitchen")
    assert town.rows("SELECT count(*) FROM entry WHERE undoes_id IS NOT NULL") == [(2,)]


async def test_the_keyboard_alone_fills_a_tank_and_takes_it_back(
    town: Town, browser: Browser
) -> None:
    async with opened(browser, town.server.page_url) as page:
        await page.keyboard.type("/topup level:half")
        await page.keyboard.press("Enter")
        buttons = page.locator(".entry.message").last.locator("button")
        await expect(buttons).to_have_text(["Filled as shown", "Different"])
        await page.keyboard.press("Shift+Tab")
        await page.keyboard.press("Shift+Tab")
        await expect(buttons.first).to_be_focused()
        await page.keyboard.press("Enter")
        last = page.locator(".entry.message").last
        await expect(last).to_contain_text("Logged: kitchen, 8 gal water")
        await page.focus("#text")
        await page.keyboard.type("/undo")
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message").last).to_contain_text("Taken back")
        await page.keyboard.type("/log")
        await page.keyboard.press("Escape")
        await page.keyboard.press("Enter")
        await expect(page.locator("dialog input").first).to_be_focused()
        await page.keyboard.type("half")
        await page.keyboard.press("Tab")
        await page.keyboard.type("1.9")
        await page.keyboard.press("Enter")
        await expect(page.locator(".entry.message").last).to_contain_text("EC 1.9")
    assert town.rows("SELECT ec FROM entry ORDER BY id DESC LIMIT 1") == [(1.9,)]


async def test_an_export_can_be_saved_and_brought_in(town: Town, browser: Browser) -> None:
    async with opened(browser, town.server.page_url) as page:
        await write(page, "/mydata export")
        link = page.get_by_role("link", name="tankwren.json")
        await expect(link).to_be_visible()
        async with page.expect_download() as download:
            await link.click()
        path = await (await download.value).path()
        assert b'"form": 1' in path.read_bytes()
