"""A form as filled in: checked as the platform's client checks it, and sent back."""

from collections.abc import Mapping

from bot.rehearsal.acts.seen import Field, Refused, Seen
from bot.rehearsal.rules.components import ROW, SELECTS, TEXT, TEXT_INPUT
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.rules.modals import CHECKBOX, CHECKBOXES, RADIO


def form_data(form: Seen, values: Mapping[str, object]) -> Json:
    """The data of the submission, or Refused."""
    given = dict(values)
    filled: dict[str, object] = {}
    for entry in form.fields:
        key = entry.label if entry.label in given else entry.custom_id
        filled[entry.custom_id] = _value(entry, given.pop(key, None))
    if given:
        raise Refused(f'The form has no field "{next(iter(given))}".')
    parts = [_part(component, filled) for component in form.raw["components"]]
    return {"custom_id": form.custom_id, "components": parts}


def _value(entry: Field, given: object) -> object:
    if entry.kind == TEXT_INPUT:
        return _text(entry, entry.value if given is None else str(given))
    if entry.kind == CHECKBOX:
        return bool(given)
    if given is None:
        given = entry.value.split(",") if entry.value else []
    wanted = [str(value) for value in given] if isinstance(given, (list, tuple)) else [str(given)]
    taken = [_option(entry, value) for value in wanted] if entry.options else wanted
    if entry.required and not taken:
        raise Refused(f"{entry.label}: is required.")
    if entry.kind == RADIO:
        return taken[0] if taken else None
    return taken


def _text(entry: Field, text: str) -> str:
    if not text and not entry.required:
        return text
    if not text:
        raise Refused(f"{entry.label}: is required.")
    if not entry.min_length <= len(text) <= entry.max_length:
        raise Refused(
            f"{entry.label}: must be {entry.min_length} to {entry.max_length} characters long."
        )
    return text


def _option(entry: Field, wanted: str) -> str:
    for label, value in entry.options:
        if wanted in (label, value):
            return value
    raise Refused(f'{entry.label}: there is no option "{wanted}".')


def _part(component: Json, filled: dict[str, object]) -> Json:
    kind, number = component["type"], component.get("id")
    if kind == TEXT:
        return {"type": kind, "id": number}
    if kind == ROW:
        inner = [_answer(child, filled) for child in component["components"]]
        return {"type": kind, "id": number, "components": inner}
    return {"type": kind, "id": number, "component": _answer(component["component"], filled)}


def _answer(field: Json, filled: dict[str, object]) -> Json:
    kind, custom_id = field["type"], field["custom_id"]
    many = kind in SELECTS or kind == CHECKBOXES or isinstance(filled[custom_id], list)
    return {
        "type": kind,
        "id": field.get("id"),
        "custom_id": custom_id,
        "values" if many else "value": filled[custom_id],
    }
