"""Messages of a channel, as the bot reads and writes them."""

from bot.rehearsal.api.calls import DONE, Call, Reply, Route, whole
from bot.rehearsal.rules.errors import Json, invalid, refuse
from bot.rehearsal.world import EPHEMERAL, PIN, SEND, Channel, Message


def _message(call: Call, channel_id: str, message_id: str) -> Message:
    channel = call.board.room_for_bot(whole(channel_id, 10003))
    message = channel.messages.get(whole(message_id, 10008))
    if message is None:
        raise refuse(10008)
    return message


def create(call: Call, channel_id: str) -> Reply:
    """POST a message."""
    board = call.board
    channel = board.room_for_bot(whole(channel_id, 10003))
    board.may_write(channel)
    _must(channel, SEND)
    body = {**call.form}
    body["flags"] = _sendable(body.get("flags"))
    message = board.draft(channel, board.payloads.bot())
    _reply_to(channel, message, body)
    board.compose(message, body, call.uploads, new=True)
    message.nonce = body.get("nonce")
    earlier = board.nonce_of(body)
    if earlier is not None:
        return 200, board.payloads.message(earlier)
    board.keep_nonce(message)
    board.publish(message)
    return 200, board.payloads.message(message)


def _sendable(flags: object) -> object:
    # nobody but an interaction can hide a message
    return flags & ~EPHEMERAL if type(flags) is int else flags


def _must(channel: Channel, permission: int) -> None:
    """Refuse what the community has not allowed the bot to do."""
    guild = channel.guild
    if guild is not None and not guild.bot_permissions & permission:
        raise refuse(50013)


def _reply_to(channel: Channel, message: Message, body: Json) -> None:
    reference = body.get("message_reference")
    if not isinstance(reference, dict) or reference.get("type", 0) != 0:
        return
    target = channel.messages.get(int(reference.get("message_id") or 0))
    if target is None and reference.get("fail_if_not_exists", True):
        raise invalid(("message_reference",), "REPLIES_UNKNOWN_MESSAGE", "Unknown message")
    message.reply_to = target
    message.kind = 19 if target is not None else 0


def read_many(call: Call, channel_id: str) -> Reply:
    """GET a page of the history, newest first."""
    channel = call.board.room_for_bot(whole(channel_id, 10003))
    limit = whole(call.query.get("limit", "50"), 50109)
    if not 1 <= limit <= 100:
        raise invalid(("limit",), "NUMBER_TYPE_RANGE", "int value should be between 1 and 100.")
    messages = sorted(channel.messages.values(), key=lambda message: message.id)
    around, before, after = (call.query.get(key) for key in ("around", "before", "after"))
    if around is not None:
        middle = int(around)
        messages.sort(key=lambda message: abs(message.id - middle))
        found = sorted(messages[:limit], key=lambda message: message.id)
    elif after is not None:
        found = [m for m in messages if m.id > int(after)][:limit]
    else:
        found = [m for m in messages if before is None or m.id < int(before)][-limit:]
    return 200, [call.board.payloads.message(message) for message in reversed(found)]


def read(call: Call, channel_id: str, message_id: str) -> Reply:
    """GET one message."""
    return 200, call.board.payloads.message(_message(call, channel_id, message_id))


def edit(call: Call, channel_id: str, message_id: str) -> Reply:
    """PATCH a message of the bot's own."""
    message = _message(call, channel_id, message_id)
    if message.author["id"] != str(call.board.world.bot_id):
        raise refuse(50005)
    call.board.may_write(message.channel)
    call.board.compose(message, call.form, call.uploads, new=False)
    call.board.changed(message)
    return 200, call.board.payloads.message(message)


def delete(call: Call, channel_id: str, message_id: str) -> Reply:
    """DELETE a message of the bot's own."""
    message = _message(call, channel_id, message_id)
    if message.author["id"] != str(call.board.world.bot_id):
        raise refuse(50003 if message.channel.private else 50013)
    call.board.remove(message)
    return DONE


def typing(call: Call, channel_id: str) -> Reply:
    """POST the typing mark."""
    call.board.may_write(call.board.room_for_bot(whole(channel_id, 10003)))
    return DONE


def pin(call: Call, channel_id: str, message_id: str) -> Reply:
    """PUT a pin."""
    message = _message(call, channel_id, message_id)
    _must(message.channel, PIN)
    if len(message.channel.pins) >= 50:
        raise refuse(30003)
    if message not in message.channel.pins:
        message.channel.pins.append(message)
    message.pinned = True
    call.board.audience.stir()
    return DONE


def unpin(call: Call, channel_id: str, message_id: str) -> Reply:
    """DELETE a pin."""
    message = _message(call, channel_id, message_id)
    if message in message.channel.pins:
        message.channel.pins.remove(message)
    message.pinned = False
    call.board.audience.stir()
    return DONE


def pins(call: Call, channel_id: str) -> Reply:
    """GET the pinned messages, in the older form (a plain list)."""
    channel = call.board.room_for_bot(whole(channel_id, 10003))
    return 200, [call.board.payloads.message(message) for message in reversed(channel.pins)]


def pins_page(call: Call, channel_id: str) -> Reply:
    """GET the pinned messages, in the present form."""
    channel = call.board.room_for_bot(whole(channel_id, 10003))
    items = [
        {"pinned_at": message.timestamp, "message": call.board.payloads.message(message)}
        for message in reversed(channel.pins)
    ]
    return 200, {"items": items, "has_more": False}


ROUTES = [
    Route(method="POST", path="/channels/{}/messages", handler=create, bucket="message-create"),
    Route(method="GET", path="/channels/{}/messages", handler=read_many),
    Route(method="GET", path="/channels/{}/messages/{}", handler=read),
    Route(method="PATCH", path="/channels/{}/messages/{}", handler=edit, bucket="message-edit"),
    Route(
        method="DELETE", path="/channels/{}/messages/{}", handler=delete, bucket="message-delete"
    ),
    Route(method="POST", path="/channels/{}/typing", handler=typing),
    Route(method="GET", path="/channels/{}/pins", handler=pins),
    Route(method="PUT", path="/channels/{}/pins/{}", handler=pin),
    Route(method="DELETE", path="/channels/{}/pins/{}", handler=unpin),
    Route(method="GET", path="/channels/{}/messages/pins", handler=pins_page),
    Route(method="PUT", path="/channels/{}/messages/pins/{}", handler=pin),
    Route(method="DELETE", path="/channels/{}/messages/pins/{}", handler=unpin),
]
