"""F11-F14: the process killed, stopped, started twice, and put to sleep, in real time."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.chaos.raid import Wanted, run
from tests.chaos.verdict import Verdict

pytestmark = pytest.mark.asyncio


async def raid(folder: Path, kills: int, *ways: str, reminders: int = 90) -> Verdict:
    wanted = Wanted(kills=kills, reminders=reminders, drain_s=60.0, ways=dict.fromkeys(ways, 1.0))
    return await run(wanted, folder)


def nothing_wrong(found: Verdict) -> None:
    assert (found.lost, found.doubled, found.stuck) == ((), (), ())
    assert (found.integrity, found.troubles, found.said) == ("ok", (), {})
    assert found.messages


async def test_f11_killed_between_send_and_commit(tmp_path: Path) -> None:
    nothing_wrong(await raid(tmp_path, 4, "sending"))


async def test_f12_killed_between_claim_and_send(tmp_path: Path) -> None:
    nothing_wrong(await raid(tmp_path, 4, "start", "any"))


async def test_f13_stopped_in_good_order_at_any_moment(tmp_path: Path) -> None:
    found = await raid(tmp_path, 4, "term")
    nothing_wrong(found)  # each ended by itself with 0 within ten seconds, or it stands in troubles
    assert found.of_which_term == 4


async def test_f14_two_at_once_and_one_that_slept_past_its_lease(tmp_path: Path) -> None:
    nothing_wrong(await raid(tmp_path, 3, "second", "pause"))


@pytest.mark.slow
async def test_six_hundred_reminders_and_a_hundred_kills(tmp_path: Path) -> None:
    wanted = Wanted(kills=100, reminders=600)
    found = await run(wanted, tmp_path)
    nothing_wrong(found)
    assert found.kills == 100
