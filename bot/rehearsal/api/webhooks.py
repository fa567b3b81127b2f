"""Follow-ups to an interaction, and its original answer."""

from bot.rehearsal.api.callbacks import CHOICES, MODAL, new_message
from bot.rehearsal.api.calls import DONE, Call, Reply, Route, whole
from bot.rehearsal.interactions import Interaction
from bot.rehearsal.rules.errors import refuse
from bot.rehearsal.world import Message


def _interaction(call: Call, application: str, token: str) -> Interaction:
    interaction = call.board.interactions.by_token.get(token)
    if interaction is None or application != str(call.board.world.bot_id):
        raise refuse(10015)
    if interaction.void:
        raise refuse(50027)
    if interaction.callback is None or interaction.callback == CHOICES:
        raise refuse(10015)
    return interaction


def _message(call: Call, interaction: Interaction, which: str) -> Message:
    if which == "@original":
        message = interaction.original
    else:
        channel = interaction.prepared.channel
        message = call.board.world.find(channel, whole(which, 10008))
        if message is not interaction.original and not _made_by(message, interaction):
            message = None
    if message is None or message.deleted:
        raise refuse(10008)
    return message


def _made_by(message: Message | None, interaction: Interaction) -> bool:
    cause = None if message is None else message.interaction
    return cause is not None and cause["id"] == str(interaction.id)


def create(call: Call, application: str, token: str) -> Reply:
    """POST a follow-up; straight after a defer it fills in the original."""
    interaction = _interaction(call, application, token)
    board = call.board
    original = interaction.original
    if original is not None and original.loading and not original.deleted:
        board.compose(original, call.form, call.uploads, new=False)
        board.changed(original, cause=interaction.id)
        return 200, board.payloads.message(original)
    message = new_message(call, interaction, call.form.get("flags"))
    message.reply_to = original if interaction.callback not in (6, 7, MODAL) else None
    board.compose(message, {**call.form, "nonce": None}, call.uploads, new=True)
    board.publish(message, cause=interaction.id)
    return 200, board.payloads.message(message)


def read(call: Call, application: str, token: str, which: str) -> Reply:
    """GET the original answer or a follow-up."""
    interaction = _interaction(call, application, token)
    return 200, call.board.payloads.message(_message(call, interaction, which))


def edit(call: Call, application: str, token: str, which: str) -> Reply:
    """PATCH the original answer or a follow-up."""
    interaction = _interaction(call, application, token)
    message = _message(call, interaction, which)
    call.board.compose(message, call.form, call.uploads, new=False)
    call.board.changed(message, cause=interaction.id)
    return 200, call.board.payloads.message(message)


def delete(call: Call, application: str, token: str, which: str) -> Reply:
    """DELETE the original answer or a follow-up."""
    interaction = _interaction(call, application, token)
    call.board.remove(_message(call, interaction, which), cause=interaction.id)
    return DONE


_ONE = "/webhooks/{}/{}/messages/{}"
ROUTES = [
    Route(
        method="POST",
        path="/webhooks/{}/{}",
        handler=create,
        bucket="webhook",
        major=1,
        open=True,
    ),
    Route(method="GET", path=_ONE, handler=read, bucket="webhook", major=1, open=True),
    Route(method="PATCH", path=_ONE, handler=edit, bucket="webhook", major=1, open=True),
    Route(method="DELETE", path=_ONE, handler=delete, bucket="webhook", major=1, open=True),
]
