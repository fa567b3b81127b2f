"""Rules for the body of a message, new or edited."""

from bot.rehearsal.rules.components import V2, check_components
from bot.rehearsal.rules.errors import Json, Problems, refuse

CONTENT_MOST = 2000
VISIBLE = ("content", "embeds", "components", "poll", "sticker_ids", "attachments")


def check_message(body: Json, *, has_files: bool, new: bool = True) -> None:
    """Raise what the platform would raise for this message body (flags included)."""
    problems = Problems()
    flags = body.get("flags") or 0
    if type(flags) is not int:
        problems.add(("flags",), "NUMBER_TYPE_COERCE", "Value is not an int.")
        flags = 0
    problems.optional_length(("content",), body.get("content"), CONTENT_MOST)
    _check_nonce(problems, body.get("nonce"))
    if body.get("embeds"):
        _check_embeds(problems, body["embeds"])
    if body.get("components"):
        check_components(problems, body["components"], flags)
    if body.get("allowed_mentions"):
        _check_mentions(problems, body["allowed_mentions"])
    if body.get("poll"):
        _check_poll(problems, body["poll"])
    _check_attachments(problems, body.get("attachments"))
    if flags & V2:
        _check_alone(problems, body)
    problems.stop()
    blank = isinstance(body.get("content"), str) and not str(body["content"]).strip()
    shown = [key for key in VISIBLE if body.get(key) and not (key == "content" and blank)]
    if new and not has_files and not shown:
        raise refuse(50006)


def _check_alone(problems: Problems, body: Json) -> None:
    for key in ("content", "embeds", "poll", "sticker_ids", "stickers"):
        if body.get(key):
            problems.add(
                (key,),
                "MESSAGE_CANNOT_USE_LEGACY_FIELDS_WITH_COMPONENTS_V2",
                f'The "{key}" field cannot be used when using IS_COMPONENTS_V2',
            )


def _check_nonce(problems: Problems, nonce: object) -> None:
    if nonce is None:
        return
    if isinstance(nonce, bool) or not isinstance(nonce, (str, int)):
        problems.add(("nonce",), "NONCE_TYPE", "A nonce is a string or an integer.")
    elif len(str(nonce)) > 25:
        problems.add(("nonce",), "NONCE_TYPE_MAX_LENGTH", "Must be 25 or fewer in length.")


def _check_attachments(problems: Problems, attachments: object) -> None:
    if attachments is None or not problems.count(("attachments",), attachments, 0, 10):
        return
    assert isinstance(attachments, list)
    for place, entry in enumerate(attachments):
        if isinstance(entry, dict):
            problems.optional_length(
                ("attachments", place, "description"), entry.get("description"), 1024
            )


def _check_embeds(problems: Problems, embeds: object) -> None:
    if not problems.count(("embeds",), embeds, 0, 10):
        return
    assert isinstance(embeds, list)
    total = 0
    for place, embed in enumerate(embeds):
        total += _check_embed(problems, ("embeds", place), embed)
    if total > 6000:
        problems.add(
            ("embeds",), "MAX_EMBED_SIZE_EXCEEDED", "Embed size exceeds maximum size of 6000"
        )


def _check_embed(problems: Problems, path: tuple[str | int, ...], embed: object) -> int:
    if not isinstance(embed, dict):
        problems.add(path, "DICT_TYPE_CONVERT", "Only dictionaries may be used in a DictType")
        return 0
    footer, author = embed.get("footer") or {}, embed.get("author") or {}
    texts = [
        (("title",), embed.get("title"), 256),
        (("description",), embed.get("description"), 4096),
        (("footer", "text"), footer.get("text"), 2048),
        (("author", "name"), author.get("name"), 256),
    ]
    fields = embed.get("fields") or []
    if not problems.count((*path, "fields"), fields, 0, 25):
        return 0
    for place, field in enumerate(fields):
        for key, most in (("name", 256), ("value", 1024)):
            problems.length((*path, "fields", place, key), field.get(key), 1, most)
    for where, text, most in texts:
        problems.optional_length((*path, *where), text, most)
    shown = [text for _, text, _ in texts] + [f.get(k) for f in fields for k in ("name", "value")]
    return sum(len(text) for text in shown if isinstance(text, str))


def _check_mentions(problems: Problems, mentions: object) -> None:
    path = ("allowed_mentions",)
    if not isinstance(mentions, dict):
        problems.add(path, "DICT_TYPE_CONVERT", "Only dictionaries may be used in a DictType")
        return
    parse = mentions.get("parse") or []
    for place, kind in enumerate(parse):
        if kind not in ("roles", "users", "everyone"):
            problems.add(
                (*path, "parse", place), "BASE_TYPE_CHOICES", "Must be roles, users or everyone."
            )
    for kind in ("users", "roles"):
        listed = mentions.get(kind) or []
        problems.count((*path, kind), listed, 0, 100)
        if listed and kind in parse:
            problems.add(
                path,
                "MESSAGE_ALLOWED_MENTIONS_PARSE_EXCLUSIVE",
                f'parse:["{kind}"] and {kind}: [ids...] are mutually exclusive.',
            )


def _check_poll(problems: Problems, poll: object) -> None:
    entry: Json = poll if isinstance(poll, dict) else {}
    question = entry.get("question") or {}
    problems.length(("poll", "question", "text"), question.get("text"), 1, 300)
    answers = entry.get("answers")
    if problems.count(("poll", "answers"), answers, 1, 10):
        assert isinstance(answers, list)
        for place, answer in enumerate(answers):
            media = answer.get("poll_media") or {}
            problems.length(("poll", "answers", place, "text"), media.get("text"), 1, 55)
    problems.whole(("poll", "duration"), entry.get("duration"), 1, 768)
