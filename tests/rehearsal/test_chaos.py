"""The bot killed in the middle of its reminders, a few times: `python -m tests.chaos` is longer."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.chaos.raid import Wanted, run


@pytest.mark.asyncio
async def test_nothing_is_lost_or_doubled_by_kills(tmp_path: Path) -> None:
    found = await run(Wanted(kills=5, reminders=60, drain_s=20.0), tmp_path)
    assert (found.lost, found.doubled, found.stuck) == ((), (), ())
    assert (found.integrity, found.troubles, found.said) == ("ok", (), {})
    assert found.kills == 5
    assert found.messages
