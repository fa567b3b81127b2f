"""The yardstick of reminders: APScheduler with its SQLAlchemy store, WAL and FULL as ours."""

from __future__ import annotations

import logging
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from apscheduler.events import EVENT_JOB_EXECUTED, EVENT_JOB_MISSED
from apscheduler.jobstores.sqlalchemy import SQLAlchemyJobStore
from apscheduler.schedulers.background import BackgroundScheduler
from sqlalchemy import create_engine, event

LONG_AGO = datetime(2026, 1, 4, 19, 30, tzinfo=UTC)
_NOTHING = "tests.bench.scheduler:nothing"


def nothing() -> None:
    """What every job does."""


@contextmanager
def _scheduler() -> Iterator[BackgroundScheduler]:
    """Started, but paused: jobs go to the file at once and none is run."""
    logging.getLogger("apscheduler").setLevel(logging.ERROR)  # not a line a job that it misses
    with tempfile.TemporaryDirectory() as folder:
        engine = create_engine(f"sqlite:///{Path(folder) / 'jobs.db'}")

        @event.listens_for(engine, "connect")
        def _connected(connection: object, record: object) -> None:
            cursor = connection.cursor()  # type: ignore[attr-defined]  # the driver's own
            cursor.execute("PRAGMA journal_mode = WAL")
            cursor.execute("PRAGMA synchronous = FULL")
            cursor.close()

        made = BackgroundScheduler(
            jobstores={"default": SQLAlchemyJobStore(engine=engine)}, timezone=UTC
        )
        made.start(paused=True)
        try:
            yield made
        finally:
            made.shutdown()
            engine.dispose()


def added_per_s(count: int) -> float:
    """Jobs for every Sunday evening, added one by one."""
    with _scheduler() as made:
        started = time.perf_counter()
        for number in range(count):
            made.add_job(
                _NOTHING, "cron", day_of_week="sun", hour=19, minute=30, id=str(number),
                misfire_grace_time=None,
            )  # fmt: skip
        return count / (time.perf_counter() - started)


def run_per_s(count: int, **options: object) -> tuple[float, int]:
    """Jobs whose date is over: how many a second are run and done with, and how many are run."""
    told = 0
    ran = 0
    all_told = threading.Event()

    def tell(one: object) -> None:
        nonlocal told, ran
        told += 1
        ran += one.code == EVENT_JOB_EXECUTED  # type: ignore[attr-defined]  # untyped library
        if told >= count:
            all_told.set()

    with _scheduler() as made:
        for number in range(count):
            made.add_job(_NOTHING, "date", run_date=LONG_AGO, id=str(number), **options)
        made.add_listener(tell, EVENT_JOB_EXECUTED | EVENT_JOB_MISSED)
        started = time.perf_counter()
        made.resume()
        all_told.wait(timeout=120)
        assert not made.get_jobs()  # waits until the last one is taken out of the file too
        return count / (time.perf_counter() - started), ran
