"""What the platform's errors mean for a reminder: PLATFORM's list of codes, row by row."""

from __future__ import annotations

from types import SimpleNamespace

import aiohttp
import discord
import pytest

from bot.chat.deliver import _outcome
from bot.records.reminders import Failed, Sent


def http(status: int, code: int, kind: type[discord.HTTPException] = discord.HTTPException
         ) -> discord.HTTPException:  # fmt: skip
    reply = SimpleNamespace(status=status, reason="scripted")
    return kind(reply, {"code": code, "message": "scripted"})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("error", "private", "why"),
    [
        # permanent for a reminder: 10003, 10004, 10013, 50001, 50007, 50013, 50278
        (http(403, 50007, discord.Forbidden), True, "closed"),
        (http(400, 50007), True, "closed"),  # the status has been either
        (http(403, 50278, discord.Forbidden), True, "closed"),
        (http(404, 10013, discord.NotFound), True, "closed"),
        (http(404, 10003, discord.NotFound), False, "gone"),
        (http(404, 10004, discord.NotFound), False, "gone"),
        (http(403, 50001, discord.Forbidden), False, "gone"),
        (http(403, 50013, discord.Forbidden), False, "gone"),
        (http(404, 10003, discord.NotFound), True, "gone"),  # an old private channel: opened anew
        # the text itself
        (http(400, 50035), False, "rejected"),
        (http(400, 200000), False, "rejected"),
        # to be tried again: 429, 5xx, 40003 much later, 130000
        (http(500, 0, discord.DiscordServerError), True, "unknown"),
        (http(503, 0, discord.DiscordServerError), True, "unknown"),
        (http(400, 40003), True, "later"),
        (http(503, 130000, discord.DiscordServerError), False, "unknown"),
        (http(429, 0), False, "limited"),  # no Via header: the address itself is blocked
        (discord.RateLimited(75.0), False, "later"),
        (http(418, 1), True, "later"),
        # nobody knows whether it stands there
        (TimeoutError(), True, "unknown"),
        (ConnectionResetError(104, "reset"), True, "unknown"),
        (aiohttp.ClientConnectionError(), False, "unknown"),
        # nothing may be sent any more
        (http(401, 0), True, "revoked"),
        (discord.LoginFailure("no"), True, "revoked"),
    ],
    ids=str,
)
def test_each_error_has_its_outcome(error: Exception, private: bool, why: str) -> None:
    found = _outcome(error, private=private)
    assert isinstance(found, Failed)
    assert found.why == why


def test_a_create_under_a_nonce_whose_message_was_deleted_is_sent() -> None:
    assert isinstance(_outcome(http(404, 10008, discord.NotFound), private=True), Sent)


def test_waits_are_kept() -> None:
    limited = _outcome(discord.RateLimited(75.0), private=False)
    assert isinstance(limited, Failed)
    assert limited.wait_s == 75.0
    opening = _outcome(http(400, 40003), private=True)
    assert isinstance(opening, Failed)
    assert opening.wait_s >= 600
