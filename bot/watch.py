"""Logging: one line an event on standard error, ids and never texts."""

from __future__ import annotations

import logging
import sys

import structlog


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
