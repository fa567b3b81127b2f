"""A chat server on loopback that speaks the platform's protocol, for rehearsals and tests.

It needs no account and no network, refuses what the platform refuses, and goes wrong on request.
"""

from bot.rehearsal.acts.person import Person
from bot.rehearsal.acts.seen import Button, Field, Refused, Seen, Select
from bot.rehearsal.faults import Fault
from bot.rehearsal.instrument import Coming, Instrument
from bot.rehearsal.interactions import Prepared
from bot.rehearsal.rules.errors import Json
from bot.rehearsal.server import ChatServer
from bot.rehearsal.world import Channel, Guild

__all__ = [
    "Button",
    "Channel",
    "ChatServer",
    "Coming",
    "Fault",
    "Field",
    "Guild",
    "Instrument",
    "Json",
    "Person",
    "Prepared",
    "Refused",
    "Seen",
    "Select",
]
