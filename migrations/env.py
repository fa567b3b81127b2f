"""Alembic's entrance: the models' metadata against a database."""

from __future__ import annotations

from alembic import context
from sqlalchemy import create_engine

from bot.storage.models import metadata


def _run() -> None:
    url = context.config.get_main_option("sqlalchemy.url")
    if url is None:
        raise RuntimeError("sqlalchemy.url is not set")
    engine = create_engine(url)
    with engine.connect() as connection:
        context.configure(
            connection=connection, target_metadata=metadata, render_as_batch=True, compare_type=True
        )
        with context.begin_transaction():
            context.run_migrations()
    engine.dispose()


_run()
