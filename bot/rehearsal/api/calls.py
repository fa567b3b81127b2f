"""A request as the routes see it, their reply, and the table that finds the route."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from bot.rehearsal.drafts import Upload
from bot.rehearsal.rules.errors import Json, refuse
from bot.rehearsal.switchboard import Switchboard

# Status and the object to send as JSON; None sends no body.
Reply: TypeAlias = tuple[int, Any]
DONE: Reply = (204, None)


@dataclass(slots=True, kw_only=True)
class Call:
    """One request: body as JSON (payload_json of a multipart one), and its files."""

    board: Switchboard
    query: Mapping[str, str]
    body: object = None
    uploads: list[Upload] = field(default_factory=list)

    @property
    def form(self) -> Json:
        """The body, which must be a JSON object."""
        if not isinstance(self.body, dict):
            raise refuse(50109)
        return self.body

    def flag(self, name: str) -> bool:
        """Whether a query parameter says true."""
        return self.query.get(name, "").lower() in ("true", "1")


Handler: TypeAlias = Callable[..., Reply]


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A method and path; `{}` stands for a parameter.

    `bucket` is None where no rate limit holds; `major` is the parameter that keys the bucket.
    `open` routes carry their right in the path and need no bot token; they are also outside
    the global limit.
    """

    method: str
    path: str
    handler: Handler
    bucket: str | None = "other"
    major: int = 0
    open: bool = False


class Table:
    """Finds the route of a request without regular expressions."""

    def __init__(self, routes: list[Route]) -> None:
        self._shapes: dict[tuple[str, int], list[tuple[list[tuple[int, str]], list[int], Route]]]
        self._shapes = {}
        for route in sorted(routes, key=lambda r: r.path.count("{}")):
            parts = route.path.split("/")
            fixed = [(place, part) for place, part in enumerate(parts) if part != "{}"]
            free = [place for place, part in enumerate(parts) if part == "{}"]
            self._shapes.setdefault((route.method, len(parts)), []).append((fixed, free, route))

    def find(self, method: str, path: str) -> tuple[Route, list[str]] | None:
        """The route and its parameters, or None."""
        parts = path.split("/")
        for fixed, free, route in self._shapes.get((method, len(parts)), ()):
            if all(parts[place] == part for place, part in fixed):
                return route, [parts[place] for place in free]
        return None


def whole(text: str, code: int) -> int:
    """An id of a path, or the refusal for one that cannot exist."""
    if not text.isascii() or not text.isdigit() or len(text) > 20:
        raise refuse(code)
    return int(text)
