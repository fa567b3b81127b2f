"""Every amount that a sentence brings says where it is from, down to what nobody computed."""

from __future__ import annotations

import pytest

from bot.clock import SystemClock
from bot.records.answer import (
    Computed,
    FromPolicy,
    FromRecord,
    FromTable,
    FromText,
    Learned,
    Origin,
)
from bot.services import answer
from bot.services.exchange import BadRecords, book
from bot.understanding import hear
from tests.sentences.judging import Row, rows

_LEAVES = (FromText, FromRecord, FromPolicy, FromTable, Learned)
_DEEPEST = 12


def unexplained(origin: Origin, depth: int = 0) -> str | None:
    """What in an origin does not lead back to a text, a record, a rule, a table or readings."""
    if isinstance(origin, _LEAVES):
        return None
    if not isinstance(origin, Computed) or depth > _DEEPEST:
        return repr(origin)
    if not origin.inputs:
        return "computed from nothing"
    return next(
        (f"{fact.name}: {why}" for fact in origin.inputs
         if (why := unexplained(fact.origin, depth + 1)) is not None),
        None,
    )  # fmt: skip


@pytest.mark.parametrize("name", ["open", "read", "untouched"])
def test_every_amount_leads_back_to_what_was_told_kept_or_tabled(name: str) -> None:
    found = [(row["id"], one, why) for row in rows(name) for one, why in _amounts(row)]
    assert found, "no sentence brought an amount"
    assert [(key, one, why) for key, one, why in found if why is not None] == []


def _amounts(row: Row) -> list[tuple[str, str | None]]:
    try:
        facts = book(row["records"], now=SystemClock().now())
    except BadRecords:
        return []
    given = answer(hear(row["text"], facts), facts)
    return [
        *((a.name, unexplained(a.origin)) for a in given.amounts),
        *((d.name, unexplained(d.origin)) for d in given.days),
    ]
