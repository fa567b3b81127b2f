"""Time zones by the names people use for them."""

from __future__ import annotations

from functools import cache

from rapidfuzz import fuzz, process

from bot.clock import zone_names, zone_of
from bot.errors import Refusal

_SHORT = {
    "eastern": "America/New_York", "est": "America/New_York", "edt": "America/New_York",
    "central": "America/Chicago", "cst": "America/Chicago", "cdt": "America/Chicago",
    "mountain": "America/Denver", "mst": "America/Denver", "mdt": "America/Denver",
    "pacific": "America/Los_Angeles", "pst": "America/Los_Angeles", "pdt": "America/Los_Angeles",
    "uk": "Europe/London", "gmt": "Europe/London", "bst": "Europe/London",
    "cet": "Europe/Paris", "utc": "UTC",
}  # fmt: skip


@cache
def _cities() -> dict[str, str]:
    """ "new york" -> "America/New_York", of the zones that are named after places."""
    named = [z for z in sorted(zone_names()) if "/" in z and not z.startswith("Etc/")]
    return {z.rsplit("/", 1)[1].replace("_", " ").casefold(): z for z in reversed(named)}


def read_zone(typed: str) -> str:
    """ "America/New_York", "new york", "eastern" -> the zone's name.

    Raises
    ------
    Refusal
        No such zone, with the nearest ones: an hour off is worse than one more question.
    """
    words = " ".join(typed.casefold().replace("_", " ").split())
    by_name = {z.casefold().replace("_", " "): z for z in zone_names()}
    found = by_name.get(words) if "/" in words or words == "utc" else None
    found = found or _SHORT.get(words.removesuffix(" time")) or _cities().get(words)
    if found is None:
        near_ones = process.extract(words[:60], list(_cities()), scorer=fuzz.WRatio, limit=2)
        names = ", ".join(_cities()[name] for name, _, _ in near_ones)
        raise Refusal("no.zone", text=typed[:40], near=names)
    zone_of(found)
    return found


def city(zone: str) -> str:
    """ "America/New_York" -> "New York", as people call their zone."""
    return zone.rsplit("/", 1)[-1].replace("_", " ")
