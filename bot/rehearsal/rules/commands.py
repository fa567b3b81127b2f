"""Rules for application commands, as checked when a bot registers them."""

import re
from collections import Counter

from bot.rehearsal.rules.errors import Json, Problems, refuse

# The two scripts stand in full because their vowel signs are marks, which \w leaves out.
NAME = re.compile(r"^[-_'\w\u0900-\u097f\u0e00-\u0e7f]{1,32}$")
LOCALES = frozenset(
    "id da de en-GB en-US es-ES es-419 fr hr it lt hu nl no pl pt-BR ro fi sv-SE vi tr cs el bg "
    "ru uk hi th zh-CN ja zh-TW ko".split()
)
MOST = {1: 100, 2: 15, 3: 15}
SUBCOMMAND, GROUP = 1, 2
TEXT, WHOLE, NUMBER = 3, 4, 10
Path = tuple[str | int, ...]


def check_set(commands: object) -> list[Json]:
    """A whole set, as sent to bulk overwrite; returns it typed."""
    problems = Problems()
    if not isinstance(commands, list):
        problems.count((), commands, 0, 100)
        problems.stop()
        return []
    for place, command in enumerate(commands):
        _command(problems, (place,), command)
    problems.stop()
    kinds = Counter(command.get("type", 1) for command in commands)
    if any(count > MOST[kind] for kind, count in kinds.items()):
        raise refuse(30032)
    seen: set[tuple[str, int]] = set()
    for place, command in enumerate(commands):
        key = (command["name"], command.get("type", 1))
        if key in seen:
            problems.add(
                (place, "name"),
                "APPLICATION_COMMANDS_DUPLICATE_NAME",
                "Application command names must be unique",
            )
        seen.add(key)
    problems.stop()
    return commands


def check_command(command: object) -> Json:
    """One command, as sent to create or edit; returns it typed."""
    problems = Problems()
    _command(problems, (), command)
    problems.stop()
    assert isinstance(command, dict)
    return command


def _command(problems: Problems, path: Path, command: object) -> None:
    entry: Json = command if isinstance(command, dict) else {}
    kind = entry.get("type", 1)
    if kind not in MOST:
        problems.add((*path, "type"), "BASE_TYPE_CHOICES", "Value must be one of 1, 2, 3.")
        return
    if kind == 1:
        _named(problems, path, entry)
        _options(problems, path, entry.get("options") or [], depth=0)
        if total_text(entry) > 8000:
            problems.add(
                path, "APPLICATION_COMMAND_TOO_LARGE", "Command exceeds maximum size (8000)"
            )
    else:
        problems.length((*path, "name"), entry.get("name"), 1, 32)
        if entry.get("description"):
            problems.add(
                (*path, "description"),
                "APPLICATION_COMMAND_DESCRIPTION_NOT_ALLOWED",
                "Context menu commands cannot have description",
            )
    contexts = entry.get("contexts")
    if contexts is not None and any(context not in (0, 1, 2) for context in contexts):
        problems.add((*path, "contexts"), "BASE_TYPE_CHOICES", "Value must be one of 0, 1, 2.")


def _named(problems: Problems, path: Path, entry: Json) -> None:
    name = entry.get("name")
    problems.length((*path, "name"), name, 1, 32)
    if isinstance(name, str) and (not NAME.match(name) or name != name.lower()):
        problems.add(
            (*path, "name"),
            "APPLICATION_COMMAND_INVALID_NAME",
            "Command name is invalid",
        )
    problems.length((*path, "description"), entry.get("description"), 1, 100)
    for key, most in (("name_localizations", 32), ("description_localizations", 100)):
        for locale, text in (entry.get(key) or {}).items():
            where = (*path, key, locale)
            if locale not in LOCALES:
                problems.add(where, "ENUM_TYPE_COERCE", f'Value "{locale}" is not a valid locale.')
            problems.length(where, text, 1, most)
            if key == "name_localizations" and isinstance(text, str) and text != text.lower():
                problems.add(where, "APPLICATION_COMMAND_INVALID_NAME", "Command name is invalid")


def _options(problems: Problems, path: Path, options: object, *, depth: int) -> None:
    if not problems.count((*path, "options"), options, 0, 25):
        return
    assert isinstance(options, list)
    seen: set[object] = set()
    optional_before = False
    nested = [o for o in options if o.get("type") in (SUBCOMMAND, GROUP)]
    if nested and len(nested) != len(options):
        problems.add(
            (*path, "options"),
            "APPLICATION_COMMAND_OPTIONS_TYPE_INVALID",
            "Sub-command and sub-command group option types are mutually exclusive "
            "to all other types",
        )
    for place, option in enumerate(options):
        where = (*path, "options", place)
        _named(problems, where, option)
        if option.get("name") in seen:
            problems.add(
                (*where, "name"),
                "APPLICATION_COMMAND_OPTIONS_NAME_DUPLICATE",
                "Option name already used",
            )
        seen.add(option.get("name"))
        if option.get("type") in (SUBCOMMAND, GROUP):
            _nested(problems, where, option, depth)
            continue
        if option.get("required") and optional_before:
            problems.add(
                where,
                "APPLICATION_COMMAND_OPTIONS_REQUIRED_INVALID",
                "Required options must be placed before non-required options",
            )
        optional_before = optional_before or not option.get("required")
        _value_option(problems, where, option)


def _nested(problems: Problems, path: Path, option: Json, depth: int) -> None:
    group = option["type"] == GROUP
    if depth >= 2 or (group and depth >= 1):
        problems.add((*path, "type"), "APPLICATION_COMMAND_OPTIONS_TYPE_INVALID", "Nested too deep")
        return
    # depth 1 = inside a group, where only subcommands fit; 2 = inside a subcommand
    _options(problems, path, option.get("options") or [], depth=1 if group else 2)


def _value_option(problems: Problems, path: Path, option: Json) -> None:
    kind = option.get("type")
    if not isinstance(kind, int) or kind not in range(3, 12):
        problems.add((*path, "type"), "BASE_TYPE_CHOICES", "Value must be one of 1 to 11.")
        return
    choices = option.get("choices")
    if choices and option.get("autocomplete"):
        problems.add(
            path,
            "APPLICATION_COMMAND_OPTIONS_CHOICES_AUTOCOMPLETE",
            "autocomplete and choices are mutually exclusive",
        )
    if kind not in (TEXT, WHOLE, NUMBER) and (choices or option.get("autocomplete")):
        problems.add(path, "APPLICATION_COMMAND_OPTION_TYPE", "Only texts and numbers have choices")
    if kind == TEXT:
        problems.whole((*path, "min_length"), option.get("min_length"), 0, 6000)
        problems.whole((*path, "max_length"), option.get("max_length"), 1, 6000)
    if choices and problems.count((*path, "choices"), choices, 0, 25):
        for place, choice in enumerate(choices):
            _choice(problems, (*path, "choices", place), choice, kind)


def _choice(problems: Problems, path: Path, choice: Json, kind: int) -> None:
    problems.length((*path, "name"), choice.get("name"), 1, 100)
    for locale in choice.get("name_localizations") or {}:
        if locale not in LOCALES:
            problems.add(
                (*path, "name_localizations", locale), "ENUM_TYPE_COERCE", "Not a valid locale."
            )
    value = choice.get("value")
    if kind == TEXT:
        problems.length((*path, "value"), value, 1, 100)
    elif isinstance(value, bool) or not isinstance(value, int if kind == WHOLE else (int, float)):
        problems.add((*path, "value"), "NUMBER_TYPE_COERCE", "Value is not a number of this type.")


def _longest(base: object, localized: object) -> int:
    texts = [base, *(localized.values() if isinstance(localized, dict) else [])]
    return max(len(text) for text in (*texts, "") if isinstance(text, str))


def total_text(entry: Json) -> int:
    """Characters of a command that count toward 8,000, the longest localization each."""
    total = _longest(entry.get("name"), entry.get("name_localizations"))
    total += _longest(entry.get("description"), entry.get("description_localizations"))
    for choice in entry.get("choices") or []:
        total += _longest(choice.get("name"), choice.get("name_localizations"))
        total += len(str(choice.get("value")))
    return total + sum(total_text(option) for option in entry.get("options") or [])
