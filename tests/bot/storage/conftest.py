"""A real SQLite file with the coach, Tamsin and her kitchen in it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_asyncio

from bot.demo import saltmarsh
from bot.storage import Store, migrate
from tests.bot.storage.asking import Writer


@pytest.fixture
def url(tmp_path: Path) -> str:
    made = f"sqlite+aiosqlite:///{tmp_path / 'tankwren.db'}"
    migrate(made)
    return made


@pytest_asyncio.fixture()
async def store(url: str) -> AsyncIterator[Store]:
    opened = Store(url)
    await saltmarsh.fill(opened)
    yield opened
    await opened.close()


@pytest.fixture
def write(store: Store) -> Writer:
    return Writer(store)
