"""What a person asks: one frozen record per capability, its fields as they were typed.

A slash command fills the fields from its options, `understanding` from the words of a sentence,
a button from what it kept, a form from its lines; `services` reads them with the person's own
measures. Field names are option names.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from typing import Final

from bot.records.questions.community import (
    Contents,
    Elsewhere,
    FeedSet,
    Noted,
    Notice,
    Policy,
    Quiet,
    Setup,
    Teach,
    Waiting,
)
from bot.records.questions.log import (
    History,
    LastFed,
    Log,
    Picture,
    Undo,
)
from bot.records.questions.own import (
    Export,
    Forget,
    Help,
    Home,
    Import,
    NotMine,
    Said,
    SettingsEdit,
    Unsure,
)
from bot.records.questions.plants import (
    Cost,
    Harvest,
    Plan,
    Plugs,
    PortClear,
    PortMove,
    PortPlant,
    Ports,
    Shares,
    Stock,
    Symptoms,
)
from bot.records.questions.reminders import (
    Remind,
    Reminded,
    Reminders,
    RemindFile,
    RemindStop,
)
from bot.records.questions.tank import (
    Away,
    ChangeDue,
    Check,
    Clean,
    Convert,
    Dose,
    DoseAll,
    Forecast,
    Heat,
    Lamp,
    Leak,
    MoveIn,
    Outage,
    Ph,
    Schedule,
    Source,
    Timer,
    TopUp,
)
from bot.records.questions.towers import (
    Door,
    Start,
    TowerAdd,
    TowerEdit,
    TowerJoin,
    TowerLeave,
    TowerPack,
    TowerShare,
    TowerShow,
)

Question = (
    Dose | TopUp | Log | Undo | History | Check | Timer | Lamp | Schedule
    | Ph | Source | Heat | Outage | Clean | Away | Forecast | Leak | ChangeDue
    | Plan | Ports | PortPlant | PortMove | PortClear | Harvest | Stock | Symptoms
    | Plugs | Shares | Cost | Contents
    | MoveIn | DoseAll | Convert | LastFed | Picture | Quiet | Notice | Elsewhere
    | Remind | Reminders | RemindStop | RemindFile | Reminded
    | TowerAdd | TowerEdit | TowerShow | TowerShare | TowerJoin | TowerLeave | TowerPack
    | Start | Door | Setup | FeedSet | Policy | Teach | Noted | Waiting
    | SettingsEdit | Export | Import | Forget | Home | Help | Said | Unsure | NotMine
)  # fmt: skip

_KINDS: Final[dict[str, type[Question]]] = {
    "dose": Dose, "topup": TopUp, "log": Log, "undo": Undo, "history": History, "check": Check,
    "timer": Timer, "lamp": Lamp, "schedule": Schedule,
    "ph": Ph, "source": Source, "heat": Heat, "outage": Outage, "clean": Clean, "away": Away,
    "forecast": Forecast, "leak": Leak, "change_due": ChangeDue,
    "plan": Plan, "ports": Ports, "port_plant": PortPlant, "port_move": PortMove,
    "port_clear": PortClear, "harvest": Harvest, "stock": Stock, "symptoms": Symptoms,
    "plugs": Plugs, "shares": Shares, "cost": Cost, "contents": Contents,
    "move_in": MoveIn, "dose_all": DoseAll, "last_fed": LastFed, "picture": Picture,
    "quiet": Quiet, "notice": Notice,
    "elsewhere": Elsewhere, "convert": Convert,
    "remind": Remind, "reminders": Reminders, "remind_stop": RemindStop,
    "remind_file": RemindFile, "reminded": Reminded,
    "tower_add": TowerAdd, "tower_edit": TowerEdit, "tower_show": TowerShow,
    "tower_share": TowerShare, "tower_join": TowerJoin, "tower_leave": TowerLeave,
    "tower_pack": TowerPack,
    "start": Start, "door": Door, "setup": Setup, "feed": FeedSet, "policy": Policy,
    "teach": Teach, "noted": Noted, "waiting": Waiting, "settings": SettingsEdit, "export": Export,
    "import": Import, "forget": Forget, "home": Home, "help": Help, "said": Said,
    "unsure": Unsure, "not_mine": NotMine,
}  # fmt: skip
_NAMES: Final = {cls: name for name, cls in _KINDS.items()}


def to_json(question: Question) -> dict[str, str]:
    """A question as plain data, for a button to keep."""
    given = {f.name: getattr(question, f.name) for f in fields(question)}
    told = {name: value for name, value in given.items() if value is not None}
    return {"kind": _NAMES[type(question)], **told}


def from_json(data: Mapping[str, str]) -> Question:
    """The question that `to_json` wrote.

    Raises
    ------
    KeyError, TypeError
        Data that no version of the bot wrote.
    """
    given = dict(data)
    return _KINDS[given.pop("kind")](**given)


def packed(question: Question) -> str:
    """A question as one text, to stand in another's field."""
    return json.dumps(to_json(question), separators=(",", ":"))


def unpacked(text: str) -> Question:
    """The question that `packed` wrote."""
    return from_json(json.loads(text))


def with_fields(question: Question, typed: Mapping[str, str]) -> Question:
    """The same question with some fields typed anew; an empty text is none."""
    kept = {k: v for k, v in to_json(question).items() if k not in typed}
    return from_json(kept | {k: v for k, v in typed.items() if v.strip()})


def with_field(question: Question, name: str, text: str) -> Question:
    """The same question with one field typed anew."""
    return with_fields(question, {name: text})


__all__ = [
    "Away",
    "ChangeDue",
    "Check",
    "Clean",
    "Contents",
    "Convert",
    "Cost",
    "Door",
    "Dose",
    "DoseAll",
    "Elsewhere",
    "Export",
    "FeedSet",
    "Forecast",
    "Forget",
    "Harvest",
    "Heat",
    "Help",
    "History",
    "Home",
    "Import",
    "Lamp",
    "LastFed",
    "Leak",
    "Log",
    "MoveIn",
    "NotMine",
    "Noted",
    "Notice",
    "Outage",
    "Ph",
    "Picture",
    "Plan",
    "Plugs",
    "Policy",
    "PortClear",
    "PortMove",
    "PortPlant",
    "Ports",
    "Question",
    "Quiet",
    "Remind",
    "RemindFile",
    "RemindStop",
    "Reminded",
    "Reminders",
    "Said",
    "Schedule",
    "SettingsEdit",
    "Setup",
    "Shares",
    "Source",
    "Start",
    "Stock",
    "Symptoms",
    "Teach",
    "Timer",
    "TopUp",
    "TowerAdd",
    "TowerEdit",
    "TowerJoin",
    "TowerLeave",
    "TowerPack",
    "TowerShare",
    "TowerShow",
    "Undo",
    "Unsure",
    "Waiting",
    "from_json",
    "packed",
    "to_json",
    "unpacked",
    "with_field",
    "with_fields",
]
