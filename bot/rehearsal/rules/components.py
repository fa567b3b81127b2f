"""Rules for buttons, selects and the layout components of messages."""

from collections.abc import Iterator

from bot.rehearsal.rules.errors import Json, Problems

V2 = 1 << 15
ROW, BUTTON, TEXT_SELECT, TEXT_INPUT = 1, 2, 3, 4
SELECTS = (3, 5, 6, 7, 8)
SECTION, TEXT, THUMBNAIL, GALLERY, FILE, SEPARATOR, CONTAINER, LABEL = 9, 10, 11, 12, 13, 14, 17, 18
LAYOUT_TOP = (ROW, SECTION, TEXT, GALLERY, FILE, SEPARATOR, CONTAINER)
IN_CONTAINER = (ROW, SECTION, TEXT, GALLERY, FILE, SEPARATOR)
Path = tuple[str | int, ...]


def walk(components: list[Json]) -> Iterator[Json]:
    """Every component, nested ones included, in the order a reader meets them."""
    for component in components:
        yield component
        nested = component.get("components")
        if nested:
            yield from walk(nested)
        for key in ("accessory", "component"):
            inner = component.get(key)
            if isinstance(inner, dict):
                yield from walk([inner])


def check_components(problems: Problems, components: object, flags: int) -> None:
    """The components of a message, classic or layout, as the flags say."""
    layout = bool(flags & V2)
    if not problems.count(("components",), components, 0, 40 if layout else 5):
        return
    assert isinstance(components, list)
    before = len(problems.tree)
    for place, component in enumerate(components):
        allowed = LAYOUT_TOP if layout else (ROW,)
        _component(problems, ("components", place), component, allowed)
    if len(problems.tree) == before:
        check_unique(problems, components)
        if layout:
            _totals(problems, components)


def check_unique(problems: Problems, components: list[Json]) -> None:
    """No custom_id and no component id may stand twice in one message or form."""
    custom_ids: set[str] = set()
    ids: set[int] = set()
    for component in walk(components):
        custom_id = component.get("custom_id")
        if custom_id is not None:
            if custom_id in custom_ids:
                problems.add(
                    ("components",),
                    "COMPONENT_CUSTOM_ID_DUPLICATED",
                    f"Component custom id cannot be duplicated: {custom_id}",
                )
            custom_ids.add(custom_id)
        number = component.get("id")
        if number:
            if number in ids:
                problems.add(
                    ("components",),
                    "COMPONENT_ID_DUPLICATED",
                    f"Component id cannot be duplicated: {number}",
                )
            ids.add(number)


def _totals(problems: Problems, components: list[Json]) -> None:
    everything = list(walk(components))
    if len(everything) > 40:
        problems.add(
            ("components",),
            "COMPONENT_LAYOUT_TOTAL_COMPONENTS_EXCEEDED",
            "The number of components in this message exceeds the limit of 40.",
        )
    text = sum(len(part["content"]) for part in everything if part["type"] == TEXT)
    if text > 4000:
        problems.add(
            ("components",),
            "COMPONENT_DISPLAYABLE_TEXT_SIZE_EXCEEDED",
            "The displayable text size of all components exceeds the limit of 4000.",
        )


def _component(problems: Problems, path: Path, component: object, allowed: tuple[int, ...]) -> None:
    if not isinstance(component, dict):
        problems.add(path, "DICT_TYPE_CONVERT", "Only dictionaries may be used in a DictType")
        return
    kind = component.get("type")
    if kind not in allowed:
        problems.add(
            (*path, "type"),
            "UNION_TYPE_CHOICES",
            f'Value of field "type" must be one of {allowed}.',
        )
        return
    problems.whole((*path, "id"), component.get("id"), 0, 2**31 - 1)
    if kind == ROW:
        _row(problems, path, component)
    elif kind == CONTAINER:
        _children(problems, path, component, 1, 39, IN_CONTAINER)
    elif kind == SECTION:
        _children(problems, path, component, 1, 3, (TEXT,))
        accessory = component.get("accessory")
        _component(problems, (*path, "accessory"), accessory, (BUTTON, THUMBNAIL))
    elif kind == TEXT:
        problems.length((*path, "content"), component.get("content"), 1, 4000)
    elif kind == GALLERY:
        _gallery(problems, path, component)
    elif kind == BUTTON:
        check_button(problems, path, component)
    elif kind in SELECTS:
        check_select(problems, path, component)
    elif kind in (THUMBNAIL, FILE):
        _media(problems, path, component, "media" if kind == THUMBNAIL else "file")


def _children(
    problems: Problems, path: Path, parent: Json, least: int, most: int, allowed: tuple[int, ...]
) -> None:
    children = parent.get("components")
    if problems.count((*path, "components"), children, least, most):
        assert isinstance(children, list)
        for place, child in enumerate(children):
            _component(problems, (*path, "components", place), child, allowed)


def _row(problems: Problems, path: Path, row: Json) -> None:
    _children(problems, path, row, 1, 5, (BUTTON, *SELECTS))
    children = row.get("components")
    if not isinstance(children, list):
        return
    selects = [c for c in children if isinstance(c, dict) and c.get("type") in SELECTS]
    if selects and len(children) > 1:
        problems.add(
            (*path, "components"),
            "COMPONENT_LAYOUT_WIDTH_EXCEEDED",
            "The specified components exceed the maximum width of a row (one select, alone).",
        )


def _gallery(problems: Problems, path: Path, gallery: Json) -> None:
    items = gallery.get("items")
    if problems.count((*path, "items"), items, 1, 10):
        assert isinstance(items, list)
        for place, item in enumerate(items):
            where = (*path, "items", place)
            _media(problems, where, item if isinstance(item, dict) else {}, "media")


def _media(problems: Problems, path: Path, holder: Json, key: str) -> None:
    media = holder.get(key)
    url = media.get("url") if isinstance(media, dict) else None
    problems.length((*path, key, "url"), url, 1, 2048)
    problems.optional_length((*path, "description"), holder.get("description"), 1024)


def check_button(problems: Problems, path: Path, button: Json) -> None:
    """A button: style, label and exactly one of custom_id, url, sku_id."""
    style = button.get("style")
    problems.optional_length((*path, "label"), button.get("label"), 80)
    if style in (1, 2, 3, 4):
        problems.length((*path, "custom_id"), button.get("custom_id"), 1, 100)
        if button.get("url") is not None:
            problems.add((*path, "url"), "BUTTON_URL_UNEXPECTED", "A URL needs the link style")
    elif style == 5:
        problems.length((*path, "url"), button.get("url"), 1, 512)
        if button.get("custom_id") is not None:
            problems.add(
                (*path, "custom_id"), "BUTTON_CUSTOM_ID_UNEXPECTED", "A link has no custom id"
            )
    elif style != 6:
        problems.add((*path, "style"), "BASE_TYPE_CHOICES", "Value must be one of 1 to 6.")
    if style != 6 and not button.get("label") and not button.get("emoji"):
        problems.add(
            (*path, "label"), "BUTTON_COMPONENT_INVALID", "A button needs a label or an emoji"
        )


def check_select(problems: Problems, path: Path, select: Json) -> None:
    """A select menu: custom_id, placeholder, its options and how many may be taken."""
    problems.length((*path, "custom_id"), select.get("custom_id"), 1, 100)
    problems.optional_length((*path, "placeholder"), select.get("placeholder"), 150)
    least, most = select.get("min_values"), select.get("max_values")
    whole = problems.whole((*path, "min_values"), least, 0, 25)
    whole &= problems.whole((*path, "max_values"), most, 1, 25)
    if select.get("type") == TEXT_SELECT:
        check_options(problems, path, select, 1, 25)
        options = select.get("options")
        if whole and isinstance(options, list) and (most or 1) > max(len(options), 1):
            problems.add(
                (*path, "max_values"), "BASE_TYPE_MAX_LENGTH", "More than there are options."
            )
    if whole and (1 if least is None else least) > (1 if most is None else most):
        problems.add((*path, "min_values"), "SELECT_MIN_ABOVE_MAX", "Must not exceed max_values.")


def check_options(problems: Problems, path: Path, holder: Json, least: int, most: int) -> None:
    """The options of a select, radio group or checkbox group."""
    options = holder.get("options")
    if not problems.count((*path, "options"), options, least, most):
        return
    assert isinstance(options, list)
    values: set[object] = set()
    for place, option in enumerate(options):
        where = (*path, "options", place)
        entry = option if isinstance(option, dict) else {}
        problems.length((*where, "label"), entry.get("label"), 1, 100)
        problems.length((*where, "value"), entry.get("value"), 1, 100)
        problems.optional_length((*where, "description"), entry.get("description"), 100)
        if str(entry.get("value")) in values:
            problems.add(
                (*where, "value"),
                "SELECT_COMPONENT_OPTION_VALUE_DUPLICATED",
                "The specified option value is already used",
            )
        values.add(str(entry.get("value")))


def number_components(components: list[Json]) -> None:
    """Give every component without an id the next free one, as the platform does."""
    everything = list(walk(components))
    used = {component["id"] for component in everything if component.get("id")}
    free = 1
    for component in everything:
        if not component.get("id"):
            while free in used:
                free += 1
            component["id"] = free
            used.add(free)
