"""Settings from the environment or a `.env` file; the environment wins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from dotenv import dotenv_values

from bot.errors import NotStarted

_KEYS = ("TOKEN", "TOKEN_FILE", "DATABASE_URL", "API_URL", "GATEWAY_URL", "DATA_DIR")


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """token is None when none was given; api_url and gateway_url None mean the real platform."""

    data_dir: Path
    database_url: str
    token: str | None = None
    token_file: Path | None = None
    api_url: str | None = None
    gateway_url: str | None = None

    def __repr__(self) -> str:
        return f"Settings(data_dir={self.data_dir})"  # never the token

    def with_token(self) -> str:
        """The token, from its variable or its file.

        Raises
        ------
        NotStarted
            "operator.no_token" or "operator.token_file".
        """
        if self.token:
            return self.token
        if self.token_file is None:
            raise NotStarted("operator.no_token")
        try:
            return self.token_file.read_text(encoding="utf-8").strip()
        except OSError:
            raise NotStarted("operator.token_file", path=self.token_file) from None


def load(environ: Mapping[str, str], dotenv: Path | None = None) -> Settings:
    """Settings from `environ` and, below it, the file `dotenv`.

    Raises
    ------
    NotStarted
        An address that is none.
    """
    below = dotenv_values(dotenv) if dotenv is not None and dotenv.is_file() else {}
    given = {
        key: environ.get(f"TANKWREN_{key}") or below.get(f"TANKWREN_{key}") or "" for key in _KEYS
    }
    data_dir = Path(given["DATA_DIR"] or "data").absolute()
    return Settings(
        data_dir=data_dir,
        database_url=given["DATABASE_URL"] or f"sqlite+aiosqlite:///{data_dir / 'tankwren.db'}",
        token=given["TOKEN"] or None,
        token_file=Path(given["TOKEN_FILE"]) if given["TOKEN_FILE"] else None,
        api_url=_address("API_URL", given["API_URL"], ("http", "https")),
        gateway_url=_address("GATEWAY_URL", given["GATEWAY_URL"], ("ws", "wss")),
    )


def _address(key: str, value: str, schemes: tuple[str, str]) -> str | None:
    if not value:
        return None
    parts = urlsplit(value)
    if parts.scheme not in schemes or not parts.netloc:
        raise NotStarted(
            "operator.url", name=f"TANKWREN_{key}", value=value, scheme=" or ".join(schemes)
        )
    return value.rstrip("/")
