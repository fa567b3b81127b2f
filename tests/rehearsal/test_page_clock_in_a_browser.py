"""The page's clock in a real browser: a town that posts at due times, walked, run and stopped."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest
import pytest_asyncio
from playwright.async_api import Browser, expect

from bot.rehearsal import ChatServer, Coming, Guild, Person
from bot.stepping import SteppedClock
from tests.browser import PHONE, chromium, needs_chromium, opened

pytestmark = [pytest.mark.asyncio, needs_chromium]
BEGUN = datetime(2026, 5, 7, 14, 30, tzinfo=UTC)
ZONES = {"Tamsin": "America/New_York", "Bram": "Europe/London"}


def _due(hours: int, who: str, text: str) -> Coming:
    return Coming(due=BEGUN + timedelta(hours=hours), who=who, text=text, zone=ZONES[who])


class Hands(SteppedClock):
    """A clock with people who post at what is due, in Saltmarsh."""

    def __init__(self) -> None:
        super().__init__(BEGUN)
        self.run(0)
        self.due = [
            _due(8, "Tamsin", "Kitchen: top up"),
            _due(20, "Bram", "Porch: test the water"),
            _due(32, "Tamsin", "Kitchen: top up"),
            _due(56, "Tamsin", "Kitchen: change the whole tank and wash the filter of the pump"),
            _due(80, "Bram", "Porch: look at the roots"),
        ]

    async def coming(self) -> Sequence[Coming]:
        return [one for one in self.due if one.due > self.now()]


@dataclass(frozen=True, slots=True, kw_only=True)
class Street:
    """A server without a bot; what is due is posted by the people themselves."""

    server: ChatServer
    guild: Guild
    people: dict[str, Person]
    hands: Hands = field(default_factory=Hands)

    async def post(self) -> None:
        sleeper = self.hands.sleeper()
        for one in self.hands.due:
            await sleeper.until(one.due)
            await self.people[one.who].say(self.guild.room, one.text, timeout_s=0.01, mention=False)
        await sleeper.until(None)


@pytest_asyncio.fixture()
async def street() -> AsyncIterator[Street]:
    hands = Hands()
    server = ChatServer(now=hands.now, page=True, instrument=hands)
    guild = server.add_guild("Saltmarsh Growers", room="towers")
    people = {name: server.add_person(name, guilds=[guild]) for name in ("Tamsin", "Bram", "Ife")}
    await server.start()
    made = Street(server=server, guild=guild, people=people, hands=hands)
    posting = asyncio.create_task(made.post())
    yield made
    posting.cancel()
    with suppress(asyncio.CancelledError):
        await posting
    await server.stop()
    assert server.board.surprises == []


@pytest_asyncio.fixture()
async def browser() -> AsyncIterator[Browser]:
    async with chromium() as started:
        yield started


async def test_the_clock_is_stepped_run_and_stopped_by_keyboard(
    street: Street, browser: Browser
) -> None:
    async with opened(browser, street.server.page_url) as page:
        now, coming = page.locator("#now"), page.locator("#coming li")
        await expect(now).to_have_text("Thu 7 May 10:30 am EDT")
        await expect(page.get_by_role("button", name="Stop")).to_have_attribute(
            "aria-pressed", "true"
        )
        await expect(coming).to_have_count(4)
        await expect(coming.first).to_have_text("Thu 7 May, 6:30 pm · Tamsin · Kitchen: top up")
        # a person's own zone, once something due told it; the browser's for all others
        await page.select_option("#who", label="Bram")
        await expect(now).to_have_text("Thu 7 May 3:30 pm GMT+1")
        await page.select_option("#who", label="Ife")
        await expect(now).to_have_text("Thu 7 May 10:30 am EDT")
        await page.get_by_role("button", name="Next").focus()
        await page.keyboard.press("Enter")
        await expect(now).to_have_text("Thu 7 May 6:30 pm EDT")
        await expect(page.locator(".entry.message")).to_have_count(1)
        await expect(page.get_by_role("button", name="Next")).to_be_focused()
        await expect(page.locator("#turned")).to_have_text("It is Thu 7 May, 6:30 pm EDT.")
        await expect(coming.first).to_contain_text("Fri 8 May, 11:30 am · Bram")
        then = page.get_by_label("Day and time to step to")
        await expect(then).to_have_value("2026-05-08T18:30")
        await then.fill("2026-05-09T23:00")
        await page.keyboard.press("Enter")
        await expect(now).to_have_text("Sat 9 May 11:00 pm EDT")
        await expect(page.locator(".entry.message")).to_have_count(4)
        await then.fill("2026-05-01T12:00")
        await page.get_by_role("button", name="Step to").click()
        await expect(page.locator("#trouble")).to_have_text("That time is over.")
        fast = page.get_by_role("button", name="1000x")
        await fast.focus()
        await page.keyboard.press("Space")
        await expect(fast).to_have_attribute("aria-pressed", "true")
        await expect(page.locator("#trouble")).to_be_hidden()
        await expect(now).not_to_contain_text("11:0")
        await page.get_by_role("button", name="Stop").click()
        await expect(fast).to_have_attribute("aria-pressed", "false")
        assert street.hands.speed == 0


async def test_a_town_run_to_its_end_has_nothing_due(street: Street, browser: Browser) -> None:
    async with (
        opened(browser, street.server.page_url) as hers,
        opened(browser, street.server.page_url) as his,
    ):
        await hers.get_by_label("Day and time to step to").fill("2026-05-20T08:00")
        await hers.get_by_role("button", name="Step to").click()
        for page in (hers, his):
            await expect(page.locator("#coming")).to_have_text("Nothing is due.")
            await expect(page.locator("#now")).to_have_text("Wed 20 May 8:00 am EDT")
            await expect(page.locator(".entry.message")).to_have_count(5)
        await his.get_by_role("button", name="Next").click()
        await expect(his.locator("#trouble")).to_have_text("Nothing is due.")


async def test_stop_ends_a_step_that_somebody_holds_up(street: Street, browser: Browser) -> None:
    street.hands.sleeper()  # its owner never comes to rest
    async with opened(browser, street.server.page_url) as page:
        await page.get_by_role("button", name="Next").click()
        await expect(page.locator("#now")).to_have_text("Thu 7 May … 10:30 am EDT")
        await expect(page.locator("#turned")).to_have_text("Stepping …")
        stop = page.get_by_role("button", name="Stop")
        await expect(stop).to_have_attribute("aria-pressed", "false")
        await page.get_by_role("button", name="Step to").click()
        await expect(page.locator("#trouble")).to_have_text("The clock is being stepped already.")
        await stop.click()
        await expect(page.locator("#now")).to_have_text("Thu 7 May 10:30 am EDT")
        await expect(stop).to_have_attribute("aria-pressed", "true")
        await expect(page.locator("#trouble")).to_be_hidden()


async def test_the_keyboard_reaches_the_clock_between_the_menus_and_the_record(
    street: Street, browser: Browser
) -> None:
    async with opened(browser, street.server.page_url) as page:
        await expect(page.locator("#coming li")).to_have_count(4)
        await page.focus("#where")
        reached = []
        for _ in range(20):
            await page.keyboard.press("Tab")
            words = "document.activeElement.id || document.activeElement.textContent"
            if not reached or reached[-1] != await page.evaluate(words):
                reached.append(await page.evaluate(words))
            outline = "getComputedStyle(document.activeElement).outlineStyle"
            assert await page.evaluate(outline) == "solid", reached
            if reached[-1] == "log":
                break
        assert reached == [
            "Stop", "1x", "60x", "1000x", "then", "Step to", "next", "coming", "log",
        ]  # fmt: skip


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, (1100, 800)], ids=["phone", "desk"])
async def test_the_record_stands_still_under_the_clock(
    street: Street, browser: Browser, size: tuple[int, int], scheme: str
) -> None:
    async with opened(browser, street.server.page_url, size, scheme) as page:
        await expect(page.locator("#coming li")).to_have_count(4)
        top = "document.getElementById('log').getBoundingClientRect().top"
        before = await page.evaluate(top)
        await page.evaluate(
            "window.moved = new Set();"
            f"(function look() {{ moved.add({top}); requestAnimationFrame(look); }})()"
        )
        await page.get_by_role("button", name="Next").click()
        await expect(page.locator("#now")).to_have_text("Thu 7 May 6:30 pm EDT")
        await page.select_option("#who", label="Bram")
        await page.get_by_label("Day and time to step to").fill("2026-12-30T23:30")
        await page.get_by_role("button", name="Step to").click()
        await expect(page.locator("#coming")).to_have_text("Nothing is due.")
        assert await page.evaluate("[...moved]") == [before]
        assert await page.evaluate("document.documentElement.scrollWidth") <= size[0]
        wide = await page.evaluate(
            "[...document.querySelectorAll('main *')].filter((n) => n.getClientRects().length"
            " && n.getBoundingClientRect().right > innerWidth + 1).map((n) => n.outerHTML)"
        )
        assert wide == []
        low = await page.evaluate(
            "[...document.querySelectorAll('.clock button, .clock input')]"
            ".filter((n) => n.getBoundingClientRect().height < (innerWidth < 640 ? 44 : 36))"
            ".map((n) => n.outerHTML)"
        )
        assert low == []
        rows = await page.evaluate(
            "new Set([...document.querySelectorAll('.hands button')].map((n) => n.offsetTop)).size"
        )
        assert rows == (2 if size == PHONE else 1)


async def test_a_page_without_an_instrument_shows_no_clock(browser: Browser) -> None:
    server = ChatServer(now=Hands().now, page=True)
    guild = server.add_guild("Saltmarsh Growers", room="towers")
    server.add_person("Tamsin", guilds=[guild])
    await server.start()
    async with opened(browser, server.page_url) as page:
        await expect(page.locator("#clock")).to_be_hidden()
        await page.focus("#where")
        await page.keyboard.press("Tab")
        await expect(page.locator("#log")).to_be_focused()
    await server.stop()
