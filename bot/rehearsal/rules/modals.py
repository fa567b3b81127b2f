"""Rules for forms (modals)."""

from bot.rehearsal.rules.components import (
    LABEL,
    ROW,
    SELECTS,
    TEXT,
    TEXT_INPUT,
    Path,
    check_options,
    check_select,
    check_unique,
)
from bot.rehearsal.rules.errors import Json, Problems

UPLOAD, RADIO, CHECKBOXES, CHECKBOX = 19, 21, 22, 23
IN_LABEL = (TEXT_INPUT, *SELECTS, UPLOAD, RADIO, CHECKBOXES, CHECKBOX)


def check_modal(data: Json) -> None:
    """Raise 50035 unless this is a form the platform would show."""
    problems = Problems()
    problems.length(("data", "title"), data.get("title"), 1, 45)
    problems.length(("data", "custom_id"), data.get("custom_id"), 1, 100)
    components = data.get("components")
    if problems.count(("data", "components"), components, 1, 5):
        assert isinstance(components, list)
        for place, component in enumerate(components):
            _top(problems, ("data", "components", place), component)
        if not problems.tree:
            check_unique(problems, components)
    problems.stop()


def _top(problems: Problems, path: Path, component: object) -> None:
    entry: Json = component if isinstance(component, dict) else {}
    kind = entry.get("type")
    if kind == ROW:
        children = entry.get("components")
        if problems.count((*path, "components"), children, 1, 1):
            assert isinstance(children, list)
            for child in children:
                problems.optional_length((*path, "components", 0, "label"), child.get("label"), 45)
                _field(problems, (*path, "components", 0), child, (TEXT_INPUT, *SELECTS))
    elif kind == LABEL:
        problems.length((*path, "label"), entry.get("label"), 1, 45)
        problems.optional_length((*path, "description"), entry.get("description"), 100)
        _field(problems, (*path, "component"), entry.get("component"), IN_LABEL)
    elif kind == TEXT:
        problems.length((*path, "content"), entry.get("content"), 1, 4000)
    else:
        problems.add(
            (*path, "type"), "UNION_TYPE_CHOICES", "A form takes rows, labels and text displays."
        )


def _field(problems: Problems, path: Path, field: object, allowed: tuple[int, ...]) -> None:
    entry: Json = field if isinstance(field, dict) else {}
    kind = entry.get("type")
    if kind not in allowed:
        problems.add((*path, "type"), "UNION_TYPE_CHOICES", f"Must be one of {allowed}.")
        return
    if kind == TEXT_INPUT:
        _text_input(problems, path, entry)
        return
    if kind in SELECTS:
        check_select(problems, path, entry)
    problems.length((*path, "custom_id"), entry.get("custom_id"), 1, 100)
    if kind == RADIO:
        check_options(problems, path, entry, 2, 10)
    elif kind == CHECKBOXES:
        check_options(problems, path, entry, 1, 10)
    elif kind == UPLOAD:
        problems.whole((*path, "min_values"), entry.get("min_values"), 0, 10)
        problems.whole((*path, "max_values"), entry.get("max_values"), 1, 10)


def _text_input(problems: Problems, path: Path, entry: Json) -> None:
    problems.length((*path, "custom_id"), entry.get("custom_id"), 1, 100)
    if entry.get("style") not in (1, 2):
        problems.add((*path, "style"), "BASE_TYPE_CHOICES", "Value must be one of 1, 2.")
    problems.whole((*path, "min_length"), entry.get("min_length"), 0, 4000)
    problems.whole((*path, "max_length"), entry.get("max_length"), 1, 4000)
    problems.optional_length((*path, "value"), entry.get("value"), 4000)
    problems.optional_length((*path, "placeholder"), entry.get("placeholder"), 100)
