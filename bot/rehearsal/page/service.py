"""The page over HTTP: its few files, and its calls."""

import json
from collections.abc import Awaitable, Callable, Mapping
from pathlib import Path
from typing import Final

from aiohttp import web

from bot.rehearsal.acts.person import Person
from bot.rehearsal.acts.seen import Refused, Seen
from bot.rehearsal.api.bodies import REQUEST_LIMIT
from bot.rehearsal.instrument import Instrument
from bot.rehearsal.page.asked import Asked, Wrong, read_object
from bot.rehearsal.page.clock import Clock
from bot.rehearsal.page.doings import Doings
from bot.rehearsal.page.notebook import Act, Notebook
from bot.rehearsal.page.record import commands, record, town
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.switchboard import Switchboard
from bot.rehearsal.world import Channel

HEADERS: Final = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
        "connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Cross-Origin-Resource-Policy": "same-origin",
}
SCRIPT, STYLE = "text/javascript", "text/css"
FILES: Final = {
    "/": ("page.html", "text/html"),
    "/page/page.css": ("page.css", STYLE),
    **{
        f"/page/{name}.js": (f"{name}.js", SCRIPT)
        for name in ("page", "ask", "clock", "entries", "forms", "line", "marks", "typing")
    },
}
LONGEST_WAIT_S, LAST, MOST_LAST = 25.0, 200, 5000
Handler = Callable[[Asked], Awaitable[object]]


class Page:
    """Serves the notebook of a town."""

    def __init__(
        self,
        board: Switchboard,
        people: Mapping[int, Person],
        instrument: Instrument | None = None,
    ) -> None:
        self._board = board
        self._people = people
        self._notebook = Notebook()
        self._doings = Doings(board, self._notebook)
        self._clock = None if instrument is None else Clock(board, instrument)
        self._files = _load()
        self._calls: dict[tuple[str, str], Handler] = {
            ("GET", "/page/town"): self._town,
            ("GET", "/page/record"): self._record,
            ("GET", "/page/commands"): self._commands,
            ("POST", "/page/complete"): self._complete,
            ("POST", "/page/say"): self._say,
            ("POST", "/page/press"): self._press,
            ("POST", "/page/choose"): self._choose,
            ("POST", "/page/submit"): self._submit,
            ("POST", "/page/dismiss"): self._dismiss,
        }
        if self._clock is not None:
            self._calls["GET", "/page/clock"] = self._clock.look
            self._calls["POST", "/page/clock"] = self._clock.turn

    def serves(self, path: str) -> bool:
        """Whether this path is the page's."""
        return path == "/" or path.startswith("/page/")

    async def close(self) -> None:
        """End the acts and the walk under way."""
        await self._doings.close()
        if self._clock is not None:
            await self._clock.close()

    async def handle(self, request: web.BaseRequest) -> web.Response:
        """One request; Host is known to be loopback."""
        file = self._files.get(request.path)
        if file is not None and request.method in ("GET", "HEAD"):
            data, kind = file
            return web.Response(body=data, headers=HEADERS, content_type=kind, charset="utf-8")
        try:
            _guard(request)
            call = self._calls.get((request.method, request.path))
            if call is None:
                raise Wrong(404, "there is no such call")
            given = dict(request.rel_url.query) if request.method == "GET" else await _body(request)
            return _json(200, await call(Asked(people=self._people, given=given)))
        except Refused as refusal:
            # the platform's own refusal is an answer like any other
            return _json(200, {"refused": str(refusal)})
        except Wrong as wrong:
            return _json(wrong.status, {"error": wrong.reason})

    # Looking

    async def _town(self, asked: Asked) -> Json:
        return town(self._board, list(self._people.values()))

    async def _record(self, asked: Asked) -> Json:
        person = asked.person()
        where = asked.place(person)
        last = asked.whole("last", LAST)
        if not 1 <= last <= MOST_LAST:
            raise Wrong(400, f"last is not between 1 and {MOST_LAST}")
        audience = self._board.audience
        changes = audience.changes
        # a page may come from an earlier server that had seen more changes than this one
        if asked.whole("after", 0) == changes and "after" in asked.given:
            changes = await audience.wait_change(changes, LONGEST_WAIT_S)
        found = record(self._board, self._notebook, person, where, last)
        clock = None if self._clock is None else self._clock.state()
        return {"changes": changes, "town": self._shape(), "clock": clock, **found}

    def _shape(self) -> str:
        """Changes when the menus do."""
        rooms = [c for c in self._board.world.channels.values() if not c.deleted]
        return f"{len(self._people)}.{len(rooms)}"

    async def _commands(self, asked: Asked) -> Json:
        person = asked.person()
        return {"commands": commands(person, asked.place(person))}

    async def _complete(self, asked: Asked) -> Json:
        person = asked.person()
        found = await person.complete(asked.place(person), asked.text("text"))
        return {"choices": [{"name": name, "value": str(value)} for name, value in found]}

    # Doing

    async def _say(self, asked: Asked) -> Json:
        person = asked.person()
        where, text = asked.place(person), asked.text("text")
        mention = asked.flag("mention", True)
        doing = person.say(where, text, mention=mention, files=asked.files())
        act: Act | None = "typed" if text.startswith("/") else None
        await self._doings.begin(person, where, doing, act, text)
        return {}

    async def _press(self, asked: Asked) -> Json:
        person, where, shown = self._shown(asked)
        button = asked.text("button")
        label = next((b.label for b in shown.buttons if b.custom_id == button), button)
        doing = person.press(shown, button)
        await self._doings.begin(person, where, doing, "pressed", label)
        return {}

    async def _choose(self, asked: Asked) -> Json:
        person, where, shown = self._shown(asked)
        menu, values = asked.text("menu"), asked.texts("values")
        labels = {v: label for s in shown.selects for label, v in s.options if s.custom_id == menu}
        doing = person.choose(shown, values, menu)
        text = ", ".join(labels.get(value, value) for value in values)
        await self._doings.begin(person, where, doing, "chose", text)
        return {}

    def _shown(self, asked: Asked) -> tuple[Person, Channel, Seen]:
        person = asked.person()
        where, wanted = asked.place(person), asked.whole("message")
        for shown in person.history(where):
            if shown.id == wanted:
                return person, where, shown
        raise Refused("The message is gone.")

    async def _submit(self, asked: Asked) -> Json:
        person, form = self._form(asked)
        where = self._board.world.channels[form.channel_id]
        doing = person.submit(form, asked.answers())
        await self._doings.begin(person, where, doing, "filled", form.title)
        self._notebook.close_form(person.id, form.interaction_id)
        self._board.audience.stir()
        return {}

    async def _dismiss(self, asked: Asked) -> Json:
        person, form = self._form(asked)
        self._notebook.close_form(person.id, form.interaction_id)
        self._board.audience.stir()
        return {}

    def _form(self, asked: Asked) -> tuple[Person, Seen]:
        person = asked.person()
        form = self._notebook.form(person.id)
        if form is None or form.interaction_id != asked.whole("form"):
            raise Refused("The form is gone.")
        return person, form


def _load() -> dict[str, tuple[bytes, str]]:
    folder = Path(__file__).parent
    return {path: ((folder / name).read_bytes(), kind) for path, (name, kind) in FILES.items()}


def _guard(request: web.BaseRequest) -> None:
    """Only the page itself may call: neither a page of another site nor of another port."""
    headers = request.headers
    origin = headers.get("Origin")
    if origin is not None and origin != f"http://{headers.get('Host', '')}":
        raise Wrong(403, "only the page itself may call")
    if headers.get("Sec-Fetch-Site", "none") not in ("none", "same-origin"):
        raise Wrong(403, "only the page itself may call")
    # another site's form can post plain types only
    if request.method != "GET" and request.content_type != "application/json":
        raise Wrong(415, "calls are JSON")


async def _body(request: web.BaseRequest) -> Json:
    if (request.content_length or 0) > REQUEST_LIMIT:
        raise Wrong(413, "the body is too large")
    try:
        return read_object(await request.read())
    except web.HTTPRequestEntityTooLarge:
        raise Wrong(413, "the body is too large") from None


def _json(status: int, body: object) -> web.Response:
    text = json.dumps(body, ensure_ascii=False)
    return web.Response(status=status, text=text, content_type="application/json", headers=HEADERS)
