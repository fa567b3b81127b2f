"""What is answered: exact amounts with their origin, and named sentences in reading order."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from bot.records.changes import Change
from bot.records.drawings import Drawing
from bot.records.questions import Question

if TYPE_CHECKING:
    from bot.records.pictures import Picture


@dataclass(frozen=True, slots=True)
class FromText:
    """The person just said it."""


@dataclass(frozen=True, slots=True)
class FromRecord:
    """Stored earlier, on a date where known."""

    on: date | None = None


@dataclass(frozen=True, slots=True)
class FromPolicy:
    """The coach's setting of a date, or (None) the shipped default: common practice."""

    key: str
    on: date | None = None
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Learned:
    """Worked out from `n` readings."""

    n: int


@dataclass(frozen=True, slots=True)
class FromTable:
    """Printed somewhere: `source` says where."""

    source: str


@dataclass(frozen=True, slots=True)
class Computed:
    """Worked out from facts, each with its own origin."""

    inputs: tuple[Fact, ...]


Origin = FromText | FromRecord | FromPolicy | Learned | FromTable | Computed


@dataclass(frozen=True, slots=True)
class Fact:
    """A number that an answer rests on, where it comes from, and the unit it was typed in."""

    name: str
    value: float
    origin: Origin
    typed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """One exact result. unit: "L", "mL", "g", "mS/cm", "x label"; tolerance in the same unit."""

    name: str
    value: float
    unit: str
    origin: Origin
    tolerance: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """One exact day or moment among the results."""

    name: str
    on: date | datetime
    origin: Origin


@dataclass(frozen=True, slots=True)
class Measure:
    """A number inside a sentence, formatted only by `render`.

    of: how it is said, a key of `render.numbers`: water and water_other [L], ec [mS/cm],
        share [x label], part [of the tank], depth_in and depth_cm [cm], rate_ml [mL/L] ...
    """

    value: float
    of: str


@dataclass(frozen=True, slots=True)
class Weekday:
    """A day to act on, said with its weekday; a bare date is one to remember."""

    on: date


@dataclass(frozen=True, slots=True)
class Pour:
    """One part to pour: [mL], or [g] when dry."""

    name: str
    amount: float
    dry: bool = False


@dataclass(frozen=True, slots=True)
class Pours:
    """The parts of a feed in order, rounded together so that the label's ratio holds.

    steps: said as steps with the pump running `minutes` after each (0: stirred, where there is
    no pump), else as plain amounts.
    spoons: the kitchen measure beside them; exact: as they were told, not as they can be poured.
    """

    parts: tuple[Pour, ...]
    minutes: float = 5
    steps: bool = True
    spoons: bool = True
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Stamp:
    """A moment that each reader's own client shows in their own zone. style: F, t, R ..."""

    at: datetime
    style: str = "F"


Value = str | int | date | datetime | Weekday | Measure | Pours | Stamp | tuple["Line", ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence by its name in `words`, with the values it speaks of."""

    word: str
    values: tuple[tuple[str, Value], ...] = ()


def line(word: str, **values: Value) -> Line:
    """A Line, written like a call."""
    return Line(word, tuple(values.items()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Remember:
    """A setting of the person's that a button settles."""

    setting: str
    value: str | int


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A button: the same question with a choice made, or the next one.

    form: the name of a form (services.forms) to fill in first; its lines go into the question.
    anyone: whoever may read the message may press it, each for themselves.
    """

    label: Line
    question: Question
    remember: tuple[Remember, ...] = ()
    form: str | None = None
    anyone: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One entry of a form's menu."""

    value: str
    label: Line


@dataclass(frozen=True, slots=True, kw_only=True)
class FormLine:
    """One line of a form: the field of the question it fills, and what stands there at first.

    choices: a menu instead of a line to type.
    """

    field: str
    label: Line
    hint: Line | None = None
    value: str = ""
    required: bool = False
    long: bool = False
    choices: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A form of one to five lines."""

    title: Line
    lines: tuple[FormLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Awaits:
    """The next plain text of this person at this place fills `field` of `question`."""

    question: Question
    field: str


@dataclass(frozen=True, slots=True, kw_only=True)
class File:
    """A file that goes with an answer; alt: a picture in words."""

    name: str
    data: bytes
    alt: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """A message for the community's room, pinned, with buttons for everyone; made only once."""

    room_id: int
    lines: tuple[Line, ...]
    offers: tuple[Offer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """outcome: answer | clarify | refer | refuse. Lines in the order a person reads them.

    instead: what the message under which it was asked says from now on; pictures: what its words
    say, to be seen.
    """

    outcome: str
    intent: str
    amounts: tuple[Amount, ...] = ()
    do: tuple[Line, ...] = ()
    expect: tuple[Line, ...] = ()
    why: tuple[Line, ...] = ()
    check: tuple[Line, ...] = ()
    cautions: tuple[Line, ...] = ()
    offers: tuple[Offer, ...] = ()
    changes: tuple[Change, ...] = ()
    awaits: Awaits | None = None
    files: tuple[File, ...] = ()
    post: Post | None = None
    instead: tuple[Line, ...] = ()
    days: tuple[Dated, ...] = ()
    pictures: tuple[Picture, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FormLineCard:
    """One line of a form as text; choices: the values of a menu and their labels."""

    field: str
    label: str
    hint: str = ""
    value: str = ""
    required: bool = False
    long: bool = False
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FormCard:
    """A form as text for the screen."""

    title: str
    lines: tuple[FormLineCard, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """An answer as text for the screen: the action, then the small print, then buttons.

    drawings: by the name of their file, still to be drawn.
    """

    text: str
    small: str = ""
    buttons: tuple[str, ...] = ()
    offers: tuple[Offer, ...] = ()
    files: tuple[File, ...] = ()
    drawings: tuple[tuple[str, Drawing], ...] = ()
