"""HTTP in and out: who may ask, faults, rate limits, recording, and the bytes."""

import asyncio
import json
import socket
import struct
from pathlib import Path
from typing import IO

from aiohttp import StreamReader, web
from aiohttp.abc import AbstractStreamWriter
from aiohttp.http_parser import RawRequestMessage
from aiohttp.web_protocol import RequestHandler

from bot.rehearsal.api import callbacks, messages, places, webhooks
from bot.rehearsal.api.bodies import REQUEST_LIMIT, read_body
from bot.rehearsal.api.calls import Call, Reply, Route, Table
from bot.rehearsal.drafts import PICTURES
from bot.rehearsal.faults import Fault
from bot.rehearsal.page.service import Page
from bot.rehearsal.rules.errors import ApiError, Json, refuse, unauthorized
from bot.rehearsal.switchboard import Switchboard

LOOPBACK = frozenset(("127.0.0.1", "localhost", "[::1]"))
JSON_TYPE = "application/json"
# An uploaded file stands at the page's own address, so it must never run as a page itself.
_FILE_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cross-Origin-Resource-Policy": "same-origin",
}
_PICTURES = frozenset(kind for _, kind in PICTURES)
_dumps = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False).encode


def _host(address: str) -> str:
    host = address.split("//", 1)[-1]
    return host if host.endswith("]") else host.rsplit(":", 1)[0]


class Transport:
    """Serves one switchboard."""

    def __init__(self, board: Switchboard, record: Path | None, page: Page | None = None) -> None:
        self._page = page
        self._board = board
        self._record_path = record
        self._record: IO[str] | None = None
        self._table = Table([*callbacks.ROUTES, *messages.ROUTES, *webhooks.ROUTES, *places.ROUTES])

    def open(self) -> None:
        """Open the record."""
        if self._record_path is not None:
            self._record = self._record_path.open("a", encoding="utf-8")

    def close(self) -> None:
        """Close the record."""
        if self._record is not None:
            self._record.close()
            self._record = None

    def make_request(
        self,
        message: RawRequestMessage,
        payload: StreamReader,
        protocol: RequestHandler,
        writer: AbstractStreamWriter,
        task: "asyncio.Task[None]",
    ) -> web.BaseRequest:
        """A request that may be as large as the platform allows."""
        loop = asyncio.get_running_loop()
        return web.BaseRequest(
            message, payload, protocol, writer, task, loop, client_max_size=REQUEST_LIMIT
        )

    async def handle(self, request: web.BaseRequest) -> web.StreamResponse:
        """One request."""
        headers = request.headers
        origin = headers.get("Origin")
        if _host(headers.get("Host", "")) not in LOOPBACK or (
            origin is not None and _host(origin) not in LOOPBACK
        ):
            return _json(403, {"message": "only loopback is served here", "code": 0})
        path = request.path
        if path.startswith(("/api/v10/", "/api/v9/")):
            return await self._api(request, path)
        if path in ("/gateway", "/gateway/"):
            return await self._board.gateway.handle(request)
        if path.startswith("/cdn/"):
            return self._file(path)
        if self._page is not None and self._page.serves(path):
            return await self._page.handle(request)
        return _json(404, refuse(0).body())

    def _file(self, path: str) -> web.StreamResponse:
        # the name, whose own slashes arrive as such, is only for people
        parts = path.split("/", 4)
        identity = parts[3] if len(parts) == 5 else ""
        file = self._board.world.files.get(
            int(identity) if identity.isdecimal() and len(identity) < 20 else 0
        )
        if file is None:
            return web.Response(status=404, text="no such file")
        kind = file.content_type
        shown = "inline" if kind in _PICTURES else "attachment"
        headers = {"Content-Type": kind, "Content-Disposition": shown, **_FILE_HEADERS}
        return web.Response(body=file.data, headers=headers)

    async def _api(self, request: web.BaseRequest, path: str) -> web.StreamResponse:
        board, method = self._board, request.method
        call = Call(board=board, query=request.query if "?" in request.raw_path else {})
        try:
            await read_body(request, call)
            entry = self._note(request, path, call)
        except ApiError as refusal:
            return _json(refusal.status, refusal.body())
        short = path[path.index("/", 5) :]
        fault = board.script.take(method, path) if board.script.faults else None
        if fault is not None:
            return await self._go_wrong(fault, request, short, call, entry)
        response = self._serve(request, short, call)
        entry["status"] = response.status
        return response

    def _serve(self, request: web.BaseRequest, path: str, call: Call) -> web.Response:
        found = self._table.find(request.method, path)
        if found is None:
            return _json(404, refuse(0).body())
        route, parameters = found
        if not route.open and not self._authorized(request):
            return _json(401, unauthorized().body())
        headers: dict[str, str] = {}
        if self._board.limits.enabled and route.bucket is not None:
            refused = self._limit(route, parameters, headers)
            if refused is not None:
                return _json(429, refused, headers)
        try:
            status, body = _run(route, call, parameters)
        except ApiError as refusal:
            return _json(refusal.status, refusal.body(), headers)
        return _json(status, body, headers)

    def _authorized(self, request: web.BaseRequest) -> bool:
        given = request.headers.get("Authorization", "")
        return given.startswith("Bot ") and self._board.token_valid(given[4:])

    def _limit(self, route: Route, parameters: list[str], headers: dict[str, str]) -> Json | None:
        assert route.bucket is not None
        key = parameters[route.major] if parameters else ""
        if route.bucket == "other":
            # each route has a bucket of its own, as far as a client can tell
            key = f"{route.method} {route.path} {key}"
        found, refused = self._board.limits.count(route.bucket, key, counts_globally=not route.open)
        headers.update(found)
        return refused

    def _note(self, request: web.BaseRequest, path: str, call: Call) -> Json:
        entry: Json = {
            "method": request.method,
            "path": path,
            "body": call.body,
            "content_type": request.content_type if request.body_exists else "",
        }
        if call.uploads:
            entry["files"] = [upload.name for upload in call.uploads]
        self._board.requests.append(entry)
        if self._record is not None:
            self._record.write(json.dumps(entry, ensure_ascii=False) + "\n")
            self._record.flush()
        return entry

    async def _go_wrong(
        self, fault: Fault, request: web.BaseRequest, path: str, call: Call, entry: Json
    ) -> web.StreamResponse:
        slow = fault.status is None and not (fault.drop or fault.reset)
        response: web.Response | None = None
        if fault.created:
            response = self._serve(request, path, call)
        if fault.delay_s:
            await asyncio.sleep(fault.delay_s)
        if slow:
            response = response or self._serve(request, path, call)
            entry["status"] = response.status
            return response
        if fault.drop or fault.reset:
            _drop(request, reset=fault.reset)
            return web.Response()
        status, body, headers = fault.answer()
        entry["status"] = status
        return web.Response(status=status, body=body, headers=headers)


def _run(route: Route, call: Call, parameters: list[str]) -> Reply:
    try:
        return route.handler(call, *parameters)
    except (AttributeError, KeyError, TypeError, ValueError) as wrong:
        # A body whose parts have the wrong types; the platform answers those with 50035 as well.
        # It may also be a fault of this server, so it is kept for tests to look at.
        call.board.surprises.append(repr(wrong))
        raise ApiError(
            400, 50035, "Invalid Form Body", {"_errors": [{"code": "TYPE", "message": repr(wrong)}]}
        ) from wrong


def _json(status: int, body: object, headers: dict[str, str] | None = None) -> web.Response:
    if body is None:
        return web.Response(status=status, headers=headers)
    data = _dumps(body).encode()
    return web.Response(
        status=status, body=data, headers={"Content-Type": JSON_TYPE, **(headers or {})}
    )


def _drop(request: web.BaseRequest, *, reset: bool) -> None:
    transport = request.transport
    if transport is None:
        return
    if reset:
        raw = transport.get_extra_info("socket")
        # lingering for no time makes closing send a reset
        raw.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    transport.abort()
