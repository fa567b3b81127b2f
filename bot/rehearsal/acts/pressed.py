"""A button or a menu of a message, used: the data of its interaction, or Refused."""

from collections.abc import Sequence

from bot.rehearsal.acts.seen import Refused
from bot.rehearsal.rules.components import BUTTON, TEXT_SELECT, walk
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.world import Message


def button_data(message: Message, which: str) -> Json:
    """The press of a button, by its custom_id or label."""
    buttons = [part for part in walk(message.components) if part["type"] == BUTTON]
    found = [b for b in buttons if which == b.get("custom_id")]
    found = found or [b for b in buttons if which == b.get("label")]
    if not found:
        raise Refused(f'There is no button "{which}".')
    button = next((b for b in found if not b.get("disabled")), found[0])
    if button.get("disabled"):
        raise Refused(f'The button "{which}" is disabled.')
    if button.get("url"):
        raise Refused(f'The button "{which}" opens {button["url"]}.')
    return {"custom_id": button["custom_id"], "component_type": BUTTON, "id": button.get("id")}


def menu_data(message: Message, values: Sequence[str], which: str | None) -> Json:
    """Options taken of a menu, by value or label; without `which`, of the first menu."""
    selects = [part for part in walk(message.components) if part["type"] == TEXT_SELECT]
    found = [s for s in selects if which in (None, s["custom_id"])]
    if not found:
        raise Refused("There is no such menu.")
    select = found[0]
    if select.get("disabled"):
        raise Refused("The menu is disabled.")
    taken = [_option(select, value) for value in values]
    least, most = select.get("min_values", 1), select.get("max_values", 1)
    if not least <= len(taken) <= most:
        raise Refused(f"Take {least} to {most} of the options.")
    return {
        "custom_id": select["custom_id"],
        "component_type": TEXT_SELECT,
        "id": select.get("id"),
        "values": taken,
    }


def _option(select: Json, wanted: str) -> str:
    for option in select["options"]:
        if wanted in (option["value"], option["label"]):
            return str(option["value"])
    raise Refused(f'There is no option "{wanted}".')
