"""Alembic's entrance: the models' metadata against a database.

SQLite can do DDL inside a transaction, but its driver commits before each such statement unless it
is told to keep out of it; then a migration that fails half way leaves nothing behind.
"""

from __future__ import annotations

from typing import Any

from alembic import context
from sqlalchemy import Connection, create_engine, event

from bot.storage.models import metadata


def _run() -> None:
    url = context.config.get_main_option("sqlalchemy.url")
    if url is None:
        raise RuntimeError("sqlalchemy.url is not set")
    engine = create_engine(url)
    if engine.dialect.name == "sqlite":

        @event.listens_for(engine, "connect")
        def connected(connection: Any, record: object) -> None:  # the driver's own type is untyped
            connection.isolation_level = None

        @event.listens_for(engine, "begin")
        def begun(connection: Connection) -> None:
            connection.exec_driver_sql("BEGIN IMMEDIATE")

    try:
        with engine.connect() as connection:
            context.configure(
                connection=connection,
                target_metadata=metadata,
                render_as_batch=True,
                compare_type=True,
                transactional_ddl=True,
            )
            with context.begin_transaction():
                context.run_migrations()
    finally:  # a migration that failed holds no file open
        engine.dispose()


_run()
