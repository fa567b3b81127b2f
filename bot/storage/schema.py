"""Migrations: run before the loop starts, and a check that they were."""

from __future__ import annotations

from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import create_engine, inspect, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError

from bot.errors import NotStarted

if TYPE_CHECKING:
    from alembic.config import Config


def migrate(url: str) -> str:
    """Bring the database at `url` to this version's schema; its revision.

    Raises
    ------
    NotStarted
        "operator.database": it cannot be opened or written.
    """
    from alembic import command  # 0.2 s to import, and only this command needs it

    found = revision_of(url)
    if found is not None and found > newest():
        raise NotStarted("operator.new_schema", found=found, wanted=newest())
    with as_file(files("migrations")) as folder:
        try:
            command.upgrade(_config(str(folder), url), "head")
        except DBAPIError:
            raise NotStarted("operator.database", url=_shown(url)) from None
    return newest()


def newest() -> str:
    """This version's schema revision: the revisions are numbered files."""
    versions = files("migrations") / "versions"
    return max(f.name[:4] for f in versions.iterdir() if f.name[:4].isdigit())


def check_schema(url: str) -> None:
    """Refuse a database that is not at this version's schema.

    Raises
    ------
    NotStarted
        "operator.no_schema", "operator.old_schema" or "operator.database".
    """
    found = revision_of(url)
    if found is None:
        raise NotStarted("operator.no_schema")
    if found > newest():
        raise NotStarted("operator.new_schema", found=found, wanted=newest())
    if found != newest():
        raise NotStarted("operator.old_schema", found=found, wanted=newest())


def revision_of(url: str) -> str | None:
    """The schema revision of the database, None where there is none yet; nothing is made.

    Raises
    ------
    NotStarted
        "operator.database": there is a file, and it cannot be opened.
    """
    file = Path(make_url(url).database or "")
    if not file.parent.is_dir():
        raise NotStarted("operator.database", url=_shown(url))
    if not file.exists():
        return None
    engine = create_engine(sync_url(url))
    try:
        with engine.connect() as connection:
            if not inspect(connection).has_table("alembic_version"):
                return None
            query = text("SELECT version_num FROM alembic_version")
            found = connection.execute(query).scalar()
            return None if found is None else str(found)
    except DBAPIError:
        raise NotStarted("operator.database", url=_shown(url)) from None
    finally:
        engine.dispose()


def sync_url(url: str) -> str:
    """The same database through the plain driver: migrations run outside the loop."""
    return make_url(url).set(drivername="sqlite").render_as_string(hide_password=False)


def _config(folder: str, url: str) -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", folder)
    config.set_main_option("sqlalchemy.url", sync_url(url).replace("%", "%%"))
    return config


def _shown(url: str) -> str:
    return make_url(url).render_as_string(hide_password=True)
