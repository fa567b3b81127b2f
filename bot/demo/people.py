"""Who lives in Saltmarsh Growers: invented people, as the community knows them.

Joining is counted in days before the moment the town is looked at, so that the town is never
older or younger than its story.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from bot.records.facts import Member

SALTMARSH_ZONE: Final = "America/New_York"
LISBON: Final = "Europe/Lisbon"
AUCKLAND: Final = "Pacific/Auckland"  # moved away, stayed in the group
TAMSIN_ID: Final = 410_000_000_000_000_011


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody in the chat server; `member` is None until the community has a record of them."""

    name: str
    user_id: int
    joined_days_ago: int
    member: Member | None

    @property
    def zone(self) -> str:
        return self.member.time_zone if self.member else SALTMARSH_ZONE


def _us(
    name: str, zone: str = SALTMARSH_ZONE, *, meter: bool | None, scale: int | None = None
) -> Member:
    return Member(
        name=name,
        units="us",
        time_zone=zone,
        gallon="us",
        has_ec_meter=meter,
        tds_scale=scale,
    )


def _metric(
    name: str, zone: str, currency: str, *, meter: bool | None, scale: int | None = None
) -> Member:
    return Member(
        name=name,
        units="metric",
        time_zone=zone,
        has_ec_meter=meter,
        tds_scale=scale,
        jug_l=1.0,
        currency=currency,
    )


def _person(number: int, joined_days_ago: int, member: Member) -> Person:
    return Person(
        name=member.name,
        user_id=TAMSIN_ID - 11 + number,
        joined_days_ago=joined_days_ago,
        member=member,
    )


WENNA: Final = Person(
    name="Wenna",
    user_id=TAMSIN_ID - 1,
    joined_days_ago=900,
    member=Member(
        name="Wenna",
        role="coach",
        units="us",
        time_zone=SALTMARSH_ZONE,
        gallon="us",
        has_ec_meter=True,
    ),
)
TAMSIN: Final = _person(11, 240, _us("Tamsin", meter=True))

PEOPLE: Final[tuple[Person, ...]] = (
    WENNA,
    TAMSIN,
    _person(12, 610, _metric("Ife", LISBON, "EUR", meter=True)),
    _person(13, 580, _metric("Perrin", LISBON, "EUR", meter=True)),
    _person(14, 130, _us("Bram", meter=True, scale=500)),
    _person(15, 420, _metric("Odalys", SALTMARSH_ZONE, "USD", meter=True, scale=700)),
    _person(16, 700, _us("Corin", meter=True)),
    Person(name="Nessa", user_id=TAMSIN_ID + 6, joined_days_ago=3, member=None),
    _person(18, 515, _metric("Hana", AUCKLAND, "NZD", meter=True)),
    _person(19, 26, _us("Rafe", meter=False)),
    _person(20, 190, _metric("Mirela", LISBON, "EUR", meter=True, scale=700)),
    _person(21, 160, _us("Joss", meter=False)),
    _person(22, 350, _metric("Sunniva", AUCKLAND, "NZD", meter=True, scale=500)),
)


def person(name: str) -> Person:
    """The one of that name.

    Raises
    ------
    KeyError
        Nobody is called that.
    """
    return {one.name: one for one in PEOPLE}[name]
