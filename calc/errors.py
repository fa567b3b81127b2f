"""What the numbers refuse.

CalcError
├── Unreadable     a text is not a quantity of the kind asked for
├── Ambiguous      a text has two honest readings, each given
├── OutOfRange     a number outside what the formula or the trade allows
└── Impossible     numbers that contradict each other

Each carries its facts as fields; the sentence a person sees is made elsewhere.
"""

from __future__ import annotations


class CalcError(Exception):
    """A number that cannot be worked with."""


class Unreadable(CalcError):
    """`text` was typed where a `wanted` (such as "volume") was needed."""

    def __init__(self, *, text: str, wanted: str) -> None:
        super().__init__(f"{text!r} is no {wanted}")
        self.text = text
        self.wanted = wanted


class Ambiguous(CalcError):
    """`text` can be read in several ways; `choices` names each reading.

    `about` says which question settles it: "gallon", "jug", "tds_scale", "depth", "thousands".
    """

    def __init__(self, *, text: str, about: str, choices: tuple[str, ...]) -> None:
        super().__init__(f"{text!r} is ambiguous ({about}): {', '.join(choices)}")
        self.text = text
        self.about = about
        self.choices = choices


class OutOfRange(CalcError):
    """The quantity `name` has `value`, outside `low` to `high` in `unit`."""

    def __init__(self, *, name: str, value: float, low: float, high: float, unit: str) -> None:
        super().__init__(f"{name} = {value:g} {unit} is outside {low:g} to {high:g} {unit}")
        self.name = name
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit


class Impossible(CalcError):
    """The numbers contradict each other; `reason` names how."""

    def __init__(self, *, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


def within(*, name: str, value: float, low: float, high: float, unit: str) -> float:
    """`value` itself when `low` <= value <= `high`, else OutOfRange (NaN is never within)."""
    if not low <= value <= high:
        raise OutOfRange(name=name, value=value, low=low, high=high, unit=unit)
    return value
