"""The first answer to an interaction."""

from bot.rehearsal.acts.seen import form_seen
from bot.rehearsal.api.calls import DONE, Call, Reply, Route, whole
from bot.rehearsal.interactions import COMMAND, COMPLETION, COMPONENT, FORM, Interaction
from bot.rehearsal.rules.components import number_components
from bot.rehearsal.rules.errors import ApiError, Json, Problems, invalid, refuse
from bot.rehearsal.rules.modals import check_modal
from bot.rehearsal.world import EPHEMERAL, LOADING, Message

MESSAGE, DEFER, DEFER_UPDATE, UPDATE, CHOICES, MODAL = 4, 5, 6, 7, 8, 9
ALLOWED = {
    COMMAND: (MESSAGE, DEFER, MODAL),
    COMPONENT: (MESSAGE, DEFER, DEFER_UPDATE, UPDATE, MODAL),
    COMPLETION: (CHOICES,),
    FORM: (MESSAGE, DEFER),
}


def answer(call: Call, identity: str, token: str) -> Reply:
    """POST the callback."""
    interaction = call.board.interactions.by_id.get(whole(identity, 10062))
    if interaction is None or interaction.token != token:
        raise refuse(10062)
    if interaction.callback is not None:
        raise refuse(40060)
    if interaction.late:
        raise refuse(10062)
    kind = call.form.get("type")
    if kind not in _allowed(interaction):
        raise invalid(
            ("type",), "BASE_TYPE_CHOICES", f"Value must be one of {set(_allowed(interaction))}."
        )
    data = call.form.get("data") or {}
    if not isinstance(data, dict):
        raise invalid(("data",), "DICT_TYPE_CONVERT", "Only dictionaries may be used in a DictType")
    message = _obey(call, interaction, kind, data)
    interaction.callback = kind
    if interaction.answered is not None and not interaction.answered.done():
        interaction.answered.set_result(None)
    if call.flag("with_response"):
        return 200, _response(call, interaction, kind, message)
    return DONE


def _allowed(interaction: Interaction) -> tuple[int, ...]:
    kind = interaction.prepared.kind
    if kind == FORM and interaction.prepared.source is not None:
        return (*ALLOWED[FORM], DEFER_UPDATE, UPDATE)
    return ALLOWED[kind]


def _obey(call: Call, interaction: Interaction, kind: int, data: Json) -> Message | None:
    if kind == MESSAGE:
        return _post(call, interaction, data)
    if kind == DEFER:
        return _defer(call, interaction, data)
    if kind in (DEFER_UPDATE, UPDATE):
        return _update(call, interaction, kind, data)
    if kind == CHOICES:
        _choices(interaction, data)
    else:
        _modal(call, interaction, data)
    return None


def new_message(call: Call, interaction: Interaction, flags: object) -> Message:
    """An empty message in the place of the interaction, hidden if the flags say so."""
    board = call.board
    message = board.draft(interaction.prepared.channel, board.payloads.bot())
    message.interaction = {"id": str(interaction.id), **interaction.prepared.description}
    if type(flags) is int and flags & EPHEMERAL:
        message.flags = EPHEMERAL
        message.hidden_for = interaction.prepared.person
    return message


def _post(call: Call, interaction: Interaction, data: Json) -> Message:
    message = new_message(call, interaction, data.get("flags"))
    if interaction.prepared.kind == COMMAND:
        message.kind = 20
    try:
        call.board.compose(message, {**data, "nonce": None}, call.uploads, new=True)
    except ApiError as refusal:
        raise under_data(refusal) from None
    interaction.original = message
    call.board.publish(message, cause=interaction.id)
    return message


def under_data(refusal: ApiError) -> ApiError:
    """The same refusal, with its errors in the place they have inside a callback."""
    if refusal.errors is None:
        return refusal
    return ApiError(refusal.status, refusal.code, refusal.message, {"data": refusal.errors})


def _defer(call: Call, interaction: Interaction, data: Json) -> Message:
    flags = data.get("flags")
    if type(flags) is int and flags & ~EPHEMERAL:
        raise refuse(50035)  # the only flag a deferral may carry
    message = new_message(call, interaction, data.get("flags"))
    message.kind = 20 if interaction.prepared.kind == COMMAND else 0
    message.flags |= LOADING
    interaction.original = message
    watch = call.board.audience.of(interaction.id)
    if watch is not None:
        watch.pending = True
        watch.touch()
    call.board.publish(message, cause=interaction.id)
    return message


def _update(call: Call, interaction: Interaction, kind: int, data: Json) -> Message | None:
    source = interaction.prepared.source
    if source is None:
        return None
    if source.deleted:
        raise refuse(10008)
    if kind == UPDATE:
        try:
            call.board.compose(source, data, call.uploads, new=False)
        except ApiError as refusal:
            raise under_data(refusal) from None
        call.board.changed(source, cause=interaction.id)
    else:
        watch = call.board.audience.of(interaction.id)
        if watch is not None:
            watch.acknowledge()
    interaction.original = source
    return source


def _choices(interaction: Interaction, data: Json) -> None:
    problems = Problems()
    choices = data.get("choices")
    if problems.count(("data", "choices"), choices, 0, 25):
        assert isinstance(choices, list)
        for place, choice in enumerate(choices):
            where = ("data", "choices", place)
            problems.length((*where, "name"), choice.get("name"), 1, 100)
            if isinstance(choice.get("value"), str):
                problems.length((*where, "value"), choice["value"], 1, 100)
            elif not isinstance(choice.get("value"), (int, float)):
                problems.add((*where, "value"), "BASE_TYPE_REQUIRED", "This field is required")
    problems.stop()
    interaction.choices = list(choices or []) if isinstance(choices, list) else []


def _modal(call: Call, interaction: Interaction, data: Json) -> None:
    check_modal(data)
    number_components(data["components"])
    interaction.form = data
    watch = call.board.audience.of(interaction.id)
    if watch is not None:
        channel = interaction.prepared.channel
        watch.add(form_seen(data, channel_id=channel.id, interaction_id=interaction.id))


def _response(call: Call, interaction: Interaction, kind: int, message: Message | None) -> Json:
    about: Json = {"id": str(interaction.id), "type": interaction.prepared.kind}
    resource: Json = {"type": kind}
    if message is not None:
        about.update(
            response_message_id=str(message.id),
            response_message_loading=message.loading,
            response_message_ephemeral=message.ephemeral,
        )
        if kind in (MESSAGE, UPDATE):
            resource["message"] = call.board.payloads.message(message)
    return {"interaction": about, "resource": resource}


ROUTES = [
    Route(
        method="POST",
        path="/interactions/{}/{}/callback",
        handler=answer,
        bucket=None,
        open=True,
    )
]
