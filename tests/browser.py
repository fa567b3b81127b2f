"""The system's Chromium, watched: nothing may go wrong in it, and nothing may leave loopback."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.async_api import Browser, Page, async_playwright

CHROMIUM = Path("/usr/bin/chromium")
PHONE = (360, 740)
# Where every check has to be made, a missing browser is a failure and no reason to skip.
needs_chromium = pytest.mark.skipif(
    not CHROMIUM.exists() and os.environ.get("CI") != "true",
    reason="the page in a real browser needs Debian's package chromium",
)


@asynccontextmanager
async def chromium() -> AsyncIterator[Browser]:
    """The browser, closed at the end."""
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        try:
            yield browser
        finally:
            await browser.close()


@asynccontextmanager
async def opened(
    browser: Browser,
    url: str,
    size: tuple[int, int] = (1100, 800),
    scheme: str = "light",
    *,
    calm: bool = True,
) -> AsyncIterator[Page]:
    """The page at this address, ready to be typed at; at the end nothing may have gone wrong.

    A browser itself complains of a server that went away; `calm=False` lets that pass.
    """
    context = await browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if scheme == "dark" else "light",
        locale="en-US",
        timezone_id="America/New_York",
    )
    page = await context.new_page()
    page.set_default_timeout(8000)
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(f"console: {message.text}"))
    page.on("pageerror", lambda error: wrong.append(f"error: {error}"))
    page.on("request", lambda request: wrong.extend(_outside(request.url)))
    await page.goto(url)
    await page.wait_for_selector("#log .entry, #log .empty")
    yield page
    await context.close()
    assert [line for line in wrong if calm or "ERR_" not in line] == []


def _outside(url: str) -> list[str]:
    parts = urlsplit(url)
    inside = parts.scheme in ("data", "blob") or parts.hostname == "127.0.0.1"
    return [] if inside else [f"request: {url}"]
