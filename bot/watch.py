"""What an operator can see: log lines (ids, never texts) and the pulse of a running bot."""

from __future__ import annotations

import asyncio
import logging
import sys
from collections import Counter, deque
from dataclasses import dataclass, field
from time import monotonic

import structlog

_BEAT_S = 1.0
_REMEMBERED = 60  # beats


@dataclass(slots=True, kw_only=True)
class Pulse:
    """How a running bot does.

    sent: messages made; failed: tries that made none, by why; waits: what the sender waits for
    ("store", "clock"), nothing when all is well; connected: the gateway is.
    """

    sent: int = 0
    failed: Counter[str] = field(default_factory=Counter)
    waits: str = ""
    connected: bool = False
    _late: deque[float] = field(default_factory=lambda: deque(maxlen=_REMEMBERED))

    @property
    def loop_lag_s(self) -> float:
        """How long the loop was held up at worst within the last minute."""
        return max(self._late, default=0.0)

    async def beat(self) -> None:
        """Measure it, until cancelled."""
        while True:
            before = monotonic()
            await asyncio.sleep(_BEAT_S)
            self._late.append(max(0.0, monotonic() - before - _BEAT_S))


def _calm(record: logging.LogRecord) -> bool:
    """A lost connection is a line, not a traceback: it is tried again."""
    if record.exc_info and record.exc_info[0] and "reconnect" in str(record.msg):
        record.msg = f"{record.msg} ({record.exc_info[0].__name__})"
        record.exc_info = None
    return True


def start_logging(level: int = logging.WARNING) -> None:
    """Send our events and the libraries' warnings to standard error."""
    logging.basicConfig(stream=sys.stderr, level=level, format="%(levelname)s %(name)s %(message)s")
    logging.getLogger("discord.client").addFilter(_calm)
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso"),
            structlog.processors.format_exc_info,
            structlog.processors.KeyValueRenderer(key_order=["timestamp", "level", "event"]),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(level),
        logger_factory=structlog.PrintLoggerFactory(file=sys.stderr),
    )
