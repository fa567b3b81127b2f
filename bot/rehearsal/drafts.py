"""From the body of a request to the fields of a stored message."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from bot.rehearsal.payloads import Payloads
from bot.rehearsal.rules.components import (
    FILE,
    GALLERY,
    TEXT,
    THUMBNAIL,
    V2,
    number_components,
    walk,
)
from bot.rehearsal.rules.errors import Json, Problems, invalid, refuse
from bot.rehearsal.rules.messages import check_message
from bot.rehearsal.world import Account, Channel, Message, StoredFile, World

MENTION = re.compile(r"<@!?(\d+)>")
FILE_LIMIT, KEPT_FLAGS = 10 * 2**20, (1 << 2) | (1 << 12) | V2
SCHEME = "attachment://"
# A picture is known by its first bytes: a client names no type, and a name may lie.
PICTURES = ((b"\x89PNG", "image/png"), (b"\xff\xd8\xff", "image/jpeg"), (b"GIF8", "image/gif"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload:
    """One file of a multipart request."""

    field: str
    name: str
    data: bytes
    content_type: str


def check_edit(message: Message, body: Json, *, has_files: bool) -> None:
    """Raise what the platform would raise for this edit, the standing parts counted in."""
    flags = body.get("flags")
    if message.flags & V2 and type(flags) is int and not flags & V2:
        raise invalid(
            ("flags",), "MESSAGE_COMPONENTS_V2_FLAG_REMOVAL", "IS_COMPONENTS_V2 cannot be removed"
        )
    merged = {**body, "flags": (flags or 0) | (message.flags & V2)}
    merged.pop("nonce", None)
    if merged["flags"] & V2:
        merged.setdefault("content", message.content)
        # null leaves the embeds standing: only an empty list takes them away
        merged["embeds"] = message.embeds if body.get("embeds") is None else body["embeds"]
    check_message(merged, has_files=has_files, new=False)


def fill(world: World, message: Message, body: Json) -> None:
    """Take over what the body says; keys it leaves out stay as they are."""
    if "content" in body:
        message.content = body["content"] or ""
    if "embeds" in body:
        message.embeds = body["embeds"] or []
    if "components" in body:
        message.components = body["components"] or []
        number_components(message.components)
    if body.get("poll"):
        message.poll = body["poll"]
    if type(body.get("flags")) is int:
        message.flags = (message.flags & ~(1 << 2)) | (body["flags"] & KEPT_FLAGS)
    message.tts = bool(body.get("tts", message.tts))
    _mention(world, message, body.get("allowed_mentions"))


def _mention(world: World, message: Message, allowed: object) -> None:
    texts = [message.content]
    texts += [part["content"] for part in walk(message.components) if part["type"] == TEXT]
    text = "\n".join(texts)
    rules: Json = allowed if isinstance(allowed, dict) else {"parse": ["users", "everyone"]}
    parse, users = rules.get("parse") or [], {str(user) for user in rules.get("users") or []}
    found: dict[int, Account] = {}
    for match in MENTION.finditer(text):
        person = world.people.get(int(match[1]))
        if person is not None and ("users" in parse or match[1] in users):
            found[person.id] = person
    message.mentions = list(found.values())
    message.everyone = "everyone" in parse and ("@everyone" in text or "@here" in text)


def attach(
    world: World, payloads: Payloads, message: Message, body: Json, uploads: list[Upload]
) -> None:
    """Store uploads, drop the files an edit leaves out, and resolve attachment:// addresses."""
    for upload in uploads:
        if len(upload.data) > FILE_LIMIT:
            raise refuse(40005)
    listed = body.get("attachments")
    files = list(message.files)
    if isinstance(listed, list) and not message.loading:
        kept = {str(entry.get("id")) for entry in listed}
        files = [file for file in files if str(file.id) in kept]
    notes = {str(entry.get("id")): entry for entry in listed or [] if isinstance(entry, dict)}
    for upload in uploads:
        note = notes.get(upload.field.removeprefix("files[").removesuffix("]"), {})
        files.append(stored(world, message.channel, upload, note))
    if len(files) > 10:
        raise invalid(("attachments",), "BASE_TYPE_MAX_LENGTH", "Must be 10 or fewer in length.")
    _resolve(payloads, message, files)
    message.files = files
    for file in files:
        world.files[file.id] = file


def take(message: Message, draft: Message) -> None:
    """Let an edit take effect, unless it would leave nothing to see."""
    if not (draft.content or draft.embeds or draft.components or draft.files or draft.poll):
        raise refuse(50006)
    for key in ("content", "embeds", "components", "files", "flags", "mentions", "everyone"):
        setattr(message, key, getattr(draft, key))


def stored(world: World, channel: Channel, upload: Upload, note: Json) -> StoredFile:
    """An uploaded file, not served yet; `note` is what the body says about it."""
    return StoredFile(
        id=world.snowflakes.next(),
        name=note.get("filename") or upload.name,
        data=upload.data,
        content_type=_kind(upload),
        description=note.get("description"),
        channel_id=channel.id,
    )


def _kind(upload: Upload) -> str:
    for start, kind in PICTURES:
        if upload.data.startswith(start):
            return kind
    if upload.name.endswith((".csv", ".ics", ".txt", ".json")):
        return f"text/{'calendar' if upload.name.endswith('.ics') else 'plain'}; charset=utf-8"
    return upload.content_type


def _resolve(payloads: Payloads, message: Message, files: list[StoredFile]) -> None:
    """Every attachment:// address must name a file of the message."""
    by_name = {file.name: file for file in files}
    problems = Problems()
    for media in _media(message):
        url = media.get("url") or ""
        if not url.startswith(SCHEME):
            continue
        file = by_name.get(url.removeprefix(SCHEME))
        if file is None:
            problems.add(
                ("components",),
                "UNFURLED_MEDIA_ITEM_REFERENCED_ATTACHMENT_NOT_FOUND",
                f"The referenced attachment {url!r} was not found",
            )
            continue
        shown = payloads.attachment(file)
        media.update(
            url=shown["url"],
            proxy_url=shown["url"],
            content_type=shown["content_type"],
            width=shown.get("width"),
            height=shown.get("height"),
            attachment_id=shown["id"],
        )
    problems.stop()


def _media(message: Message) -> Iterator[Json]:
    for embed in message.embeds:
        for key in ("image", "thumbnail"):
            if isinstance(embed.get(key), dict):
                yield embed[key]
    for part in walk(message.components):
        if part["type"] == GALLERY:
            yield from (item["media"] for item in part["items"])
        elif part["type"] in (THUMBNAIL, FILE):
            yield part["media" if part["type"] == THUMBNAIL else "file"]
