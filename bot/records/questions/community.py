"""What a coach sets and teaches."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """The coach's set-up: the step, and what was chosen in it."""

    step: str | None = None
    zone: str | None = None
    units: str | None = None
    name: str | None = None
    parts: str | None = None
    gain: str | None = None
    tap: str | None = None
    target: str | None = None
    rate: str | None = None
    rules: str | None = None
    room: str | None = None
    quiet: str | None = None
    welcome: str | None = None
    coach: str | None = None
    former: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedSet:
    """The community's feed as its label says (coach), or a member's own bottle (`own`)."""

    name: str | None = None
    parts: str | None = None
    gain: str | None = None
    own: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """A house rule read, or (coach) set; no key: all of them, a page at a time."""

    rule: str | None = None
    value: str | None = None
    page: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Teach:
    """The coach's own answer to a question that comes again and again.

    of: the numbers of the waiting questions that it answers; here: said under a reply of ours,
    which it corrects.
    """

    about: str | None = None
    text: str | None = None
    entry: str | None = None
    of: str | None = None
    here: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """What members asked and nobody has answered yet (coach). aside: numbers to put aside."""

    aside: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """A question that a coach's note answers."""

    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What is in the tank, by the labels (coach): a part's label told, or read for a feed."""

    feed: str | None = None
    part: str | None = None
    label: str | None = None
    weight: str | None = None
    strength: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Quiet:
    """Members of whom nothing was heard for some days (coach). about: "log", "change" or "dry".

    since: a day instead; who: one member by name.
    """

    days: str | None = None
    about: str | None = None
    since: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """Heat, wind or frost told to the room, and to each member with a tower outdoors their own
    numbers in private (coach). about: which; temp: the air's; until: the last day; sure: looked at.
    """

    about: str | None = None
    temp: str | None = None
    until: str | None = None
    sure: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Elsewhere:
    """A moment told in one time zone, on the clock of another; no zone: one's own."""

    at: str | None = None
    zone: str | None = None
    there: str | None = None
