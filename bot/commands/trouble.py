"""The one handler of what goes wrong, with three entrances: commands, buttons, messages."""

from __future__ import annotations

import secrets

import structlog
from discord import app_commands

from bot.storage import Unavailable
from bot.words import sentence


def caught(error: BaseException) -> str:
    """The calm sentence for `error`; a bug is logged with its traceback under the code shown."""
    while isinstance(error, app_commands.CommandInvokeError):
        error = error.original
    log = structlog.get_logger()
    if isinstance(error, Unavailable):
        log.warning("store unavailable", reason=str(error))
        return sentence("no.unavailable")
    code = secrets.token_hex(3)
    log.error("bug", code=code, exc_info=error)
    return sentence("no.bug").format(code=code)
