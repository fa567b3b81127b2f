"""Settings from the environment or a `.env` file; the environment wins."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from dotenv import dotenv_values

from bot.errors import NotStarted

_TOKEN = re.compile(r"[!-~]{1,200}")
HEALTH_PORT = 8464
_KEYS = ("TOKEN", "TOKEN_FILE", "DATABASE_URL", "API_URL", "GATEWAY_URL", "DATA_DIR", "HEALTH_PORT")


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """token is None when none was given; api_url and gateway_url None mean the real platform.

    health_port: of /healthz and /metrics on loopback; 0: none.
    """

    data_dir: Path
    database_url: str
    token: str | None = None
    token_file: Path | None = None
    api_url: str | None = None
    gateway_url: str | None = None
    health_port: int = HEALTH_PORT

    def __repr__(self) -> str:
        return f"Settings(data_dir={self.data_dir})"  # never the token

    def with_token(self) -> str:
        """The token, from its variable or its file.

        Raises
        ------
        NotStarted
            "operator.no_token" or "operator.token_file".
        """
        token = self.token or (self._read_token(self.token_file) if self.token_file else "")
        if not token:
            raise NotStarted("operator.no_token")
        if not _TOKEN.fullmatch(token):
            raise NotStarted("operator.token_form")
        return token

    def _read_token(self, path: Path) -> str:
        try:
            if path.stat().st_mode & 0o077:
                raise NotStarted("operator.token_mode", path=path)
            return path.read_text(encoding="utf-8").strip()
        except (OSError, UnicodeDecodeError):
            raise NotStarted("operator.token_file", path=path) from None


def load(environ: Mapping[str, str], dotenv: Path | None = None) -> Settings:
    """Settings from `environ` and, below it, the file `dotenv`.

    Raises
    ------
    NotStarted
        An address that is none.
    """
    try:
        below = dotenv_values(dotenv) if dotenv is not None and dotenv.is_file() else {}
    except (OSError, UnicodeDecodeError):
        raise NotStarted("operator.dotenv", path=dotenv) from None
    given = {
        key: environ.get(f"TANKWREN_{key}") or below.get(f"TANKWREN_{key}") or "" for key in _KEYS
    }
    data_dir = Path(given["DATA_DIR"] or "data").absolute()
    return Settings(
        data_dir=data_dir,
        database_url=_database(given["DATABASE_URL"], data_dir),
        token=given["TOKEN"] or None,
        token_file=Path(given["TOKEN_FILE"]) if given["TOKEN_FILE"] else None,
        api_url=_address("API_URL", given["API_URL"], ("http", "https")),
        gateway_url=_address("GATEWAY_URL", given["GATEWAY_URL"], ("ws", "wss")),
        health_port=_port(given["HEALTH_PORT"]),
    )


def _port(value: str) -> int:
    if not value:
        return HEALTH_PORT
    if not re.fullmatch(r"[0-9]{1,5}", value) or int(value) > 65535:
        raise NotStarted("operator.health_port", text=value[:20])
    return int(value)


def _address(key: str, value: str, schemes: tuple[str, str]) -> str | None:
    if not value:
        return None
    try:
        parts = urlsplit(value)
        good = parts.scheme in schemes and bool(parts.hostname) and parts.port != 0
        good = good and parts.username is None
    except ValueError:
        good = False
    if not good:  # not echoed: an address may hold a password
        raise NotStarted("operator.url", name=f"TANKWREN_{key}", scheme=" or ".join(schemes))
    return value.rstrip("/")


def _database(value: str, data_dir: Path) -> str:
    url = value or f"sqlite+aiosqlite:///{data_dir / 'tankwren.db'}"
    if not url.startswith("sqlite+aiosqlite:///") or url == "sqlite+aiosqlite:///":
        raise NotStarted("operator.database_url")
    return url
