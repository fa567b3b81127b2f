"""The forms that buttons open: one to five lines, each a field of the question behind it."""

from __future__ import annotations

from typing import Final

from bot.records.answer import Choice, Form, FormLine, line
from bot.records.questions import Question, to_json

# name of the form: its lines, each (field, required, long)
_FORMS: Final[dict[str, tuple[tuple[str, bool, bool], ...]]] = {
    "tank": (("tank", True, False),),
    "bottle": (("feed", True, False), ("rate", True, False), ("gain", False, False)),
    "guesses": (
        ("name", False, False),
        ("tank", False, False),
        ("refill", False, False),
        ("pump_line", False, False),
        ("tap", False, False),
    ),
    "counted": (("tank", True, False),),
    "arrival": (("arrives", True, False),),
    "topup": (("level", True, False),),
    "topup_metered": (("level", True, False), ("ec", False, False)),
    "log": (
        ("level", False, False),
        ("ec", False, False),
        ("ph", False, False),
        ("temp", False, False),
        ("note", False, True),
    ),
    "different": (("level", True, False), ("poured", True, False)),
    "change_log": (
        ("level", False, False),
        ("added", False, False),
        ("poured", False, False),
        ("ec", False, False),
        ("ph", False, False),
    ),
    "check": (
        ("ec", False, False),
        ("ph", False, False),
        ("temp", False, False),
        ("level", False, False),
    ),
    "timer": (("timer", True, False), ("watts", False, False), ("price", False, False)),
    "lamp": (("ppfd", False, False), ("hours", False, False), ("dli", False, False)),
    "jug_test": (("drops", True, False), ("level", True, False), ("ph", False, False)),
    "leak": (("where", False, False),),
    "heat": (("temp", True, False), ("level", False, False)),
    "plan": (
        ("crop", False, False),
        ("per_week", False, False),
        ("by", False, False),
        ("warmth", False, False),
        ("germination", False, False),
    ),
    "plant": (("crop", True, False), ("ports", True, False), ("sown", False, False)),
    "harvest": (("what", True, False), ("ports", False, False)),
    "stock": (
        ("item", True, False),
        ("left", True, False),
        ("size", False, False),
        ("lead", False, False),
    ),
    "plugs": (
        ("people", True, False),
        ("each", True, False),
        ("spare", False, False),
        ("seeds", False, False),
    ),
    "shares": (
        ("total", True, False),
        ("shipping", False, False),
        ("shares", True, False),
        ("mine", False, False),
    ),
    "label": (("part", True, False), ("label", True, False), ("weight", False, False)),
    "zone": (("zone", True, False), ("units", False, False)),
    "setup_feed": (
        ("name", False, False),
        ("parts", True, False),
        ("gain", False, False),
        ("tap", False, False),
    ),
    "feed": (("name", False, False), ("parts", True, False), ("gain", False, False)),
    "target": (("target", True, False),),
    "rule": (("rule", True, False), ("value", True, False)),
    "quiet": (("quiet", True, False),),
    "note": (("about", True, False), ("text", True, True)),
    "symptoms": (
        ("where", True, False),
        ("leaves", True, False),
        ("roots", True, False),
        ("readings", True, False),
    ),
    "notice": (("temp", True, False), ("until", False, False)),
    "evening": (("evening", True, False),),
    "remind": (("about", True, False), ("when", True, False)),
    "settings": (
        ("units", False, False),
        ("zone", False, False),
        ("meter", False, False),
        ("jug", False, False),
        ("quiet", False, False),
    ),
}  # fmt: skip


# The lines that are menus, by field.
_MENUS: Final[dict[str, tuple[str, ...]]] = {
    "where": ("low", "high", "side", "all"),
    "leaves": ("old", "new", "edges", "marks", "limp"),
    "roots": ("white", "tan", "slimy", "unseen"),
    "readings": ("good", "ec_low", "ec_high", "ph_off", "warm", "none"),
}

# A feed's name is asked for in other words than a tower's.
_SAID_AS: Final = {
    ("setup_feed", "name"): "feed",
    ("feed", "name"): "feed",
    ("remind", "about"): "remind_about",
    ("harvest", "ports"): "emptied",
    ("leak", "where"): "leak_where",
    ("notice", "temp"): "air",
}


def form(name: str, question: Question) -> Form:
    """The form called `name`, with what the question knows already standing in it.

    Raises
    ------
    KeyError
        No such form: a bug, caught by a test over every form.
    """
    known = to_json(question)
    return Form(
        title=line(f"form.{name}"),
        lines=tuple(
            FormLine(
                field=field,
                label=line(f"field.{_SAID_AS.get((name, field), field)}"),
                hint=line(f"hint.{_SAID_AS.get((name, field), field)}"),
                value=known.get(field, ""),
                required=required,
                long=long,
                choices=tuple(
                    Choice(value=value, label=line(f"choice.{field}_{value}"))
                    for value in (() if (name, field) in _SAID_AS else _MENUS.get(field, ()))
                ),
            )
            for field, required, long in _FORMS[name]
        ),
    )


def form_fields(name: str) -> tuple[str, ...]:
    """The fields that this form fills."""
    return tuple(field for field, _, _ in _FORMS[name])


def form_names() -> frozenset[str]:
    """All the forms there are."""
    return frozenset(_FORMS)
