"""What people call time zones: their common names, and the cities of the IANA list."""

from __future__ import annotations

import re
from functools import cache
from typing import Final

from bot.clock import zone_names

# How people call a zone; the IANA names of those that have a city.
_CALLED: Final = {
    "pacific": "America/Los_Angeles",
    "pst": "America/Los_Angeles",
    "pdt": "America/Los_Angeles",
    "pt": "America/Los_Angeles",
    "west coast": "America/Los_Angeles",
    "california": "America/Los_Angeles",
    "mountain": "America/Denver",
    "mst": "America/Denver",
    "mdt": "America/Denver",
    "mt": "America/Denver",
    "central": "America/Chicago",
    "cst": "America/Chicago",
    "cdt": "America/Chicago",
    "ct": "America/Chicago",
    "texas": "America/Chicago",
    "eastern": "America/New_York",
    "est": "America/New_York",
    "edt": "America/New_York",
    "et": "America/New_York",
    "east coast": "America/New_York",
    "florida": "America/New_York",
    "boston": "America/New_York",
    "uk": "Europe/London",
    "gmt": "Etc/UTC",
    "bst": "Europe/London",
    "england": "Europe/London",
    "utc": "Etc/UTC",
    "zulu": "Etc/UTC",
    "cet": "Europe/Berlin",
    "cest": "Europe/Berlin",
    "germany": "Europe/Berlin",
    "france": "Europe/Paris",
    "spain": "Europe/Madrid",
    "italy": "Europe/Rome",
    "portugal": "Europe/Lisbon",
    "ireland": "Europe/Dublin",
    "japan": "Asia/Tokyo",
    "india": "Asia/Kolkata",
    "ist": "Asia/Kolkata",
    "hawaii": "Pacific/Honolulu",
    "alaska": "America/Anchorage",
    "arizona": "America/Phoenix",
    "new zealand": "Pacific/Auckland",
    "aest": "Australia/Sydney",
    "brazil": "America/Sao_Paulo",
    "mexico city": "America/Mexico_City",
}


def zone_named(text: str) -> str | None:
    """The IANA zone that people call so; None for no name."""
    words = re.sub(r"\b(time|zone|the)\b", " ", text.casefold())
    words = " ".join(words.split())
    return _CALLED.get(words) or cities().get(words)


@cache
def cities() -> dict[str, str]:
    """The last word of every zone's name, in lower case -> its name."""
    return {
        zone.rpartition("/")[2].replace("_", " ").casefold(): zone
        for zone in sorted(zone_names())
        if "/" in zone and not zone.startswith(("Etc/", "US/", "SystemV/", "posix/", "right/"))
    }


def called() -> frozenset[str]:
    """Every name of a zone that is understood."""
    return frozenset(_CALLED) | frozenset(cities())
