"""The bytes of a request: JSON, or multipart with JSON and files."""

import json

from aiohttp import BodyPartReader, web

from bot.rehearsal.api.calls import Call
from bot.rehearsal.drafts import Upload
from bot.rehearsal.rules.errors import refuse

REQUEST_LIMIT = 25 * 2**20


async def read_body(request: web.BaseRequest, call: Call) -> None:
    """Put JSON body and files of the request into the call; ApiError when they cannot be read."""
    if not request.body_exists:
        return
    if (request.content_length or 0) > REQUEST_LIMIT:
        raise refuse(40005)
    kind = request.content_type
    if kind == "multipart/form-data":
        await _read_parts(request, call)
        return
    try:
        data = await request.read()
    except web.HTTPRequestEntityTooLarge:
        raise refuse(40005) from None
    if data:
        call.body = _parsed(data)


def _parsed(data: bytes) -> object:
    try:
        body = json.loads(data)
        if b"\\ud" in data.lower():
            # half of a surrogate pair is no text, and could not be sent on
            json.dumps(body, ensure_ascii=False).encode()
    except ValueError:
        raise refuse(50109) from None
    return body


async def _read_parts(request: web.BaseRequest, call: Call) -> None:
    reader = await request.multipart()
    total = 0
    async for part in reader:
        if not isinstance(part, BodyPartReader):
            continue
        data = bytes(await part.read())
        total += len(data)
        if total > REQUEST_LIMIT:
            raise refuse(40005)
        if part.name == "payload_json":
            call.body = _parsed(data)
        else:
            kind = part.headers.get("Content-Type", "application/octet-stream")
            name = part.filename or "file"
            call.uploads.append(
                Upload(field=part.name or "", name=name, data=data, content_type=kind)
            )
    if call.body is None:
        call.body = {}
