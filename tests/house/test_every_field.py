"""Whatever is typed into any option or form: a sentence, one question at most, nothing half."""

from __future__ import annotations

import itertools
from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.records import questions
from bot.records.book import Book
from bot.records.people import Place
from bot.records.questions import Question, from_json, to_json
from bot.render import card, form_card, plain
from bot.services import answer, form
from bot.services.forms import form_names
from tests.bot.books import IFE, KITCHEN, LIBRARY, PORCH, TAMSIN, book, no_towers
from tests.bot.logs import entry, logged

# Filled by commands and buttons with what they know, never by a person's typing.
NOT_TYPED = {
    ("setup", "step"), ("setup", "coach"), ("setup", "former"), ("setup", "rate"),
    ("tower_share", "person"), ("tower_join", "invitation"), ("start", "then"),
    ("door", "stage"), ("said", "word"), ("not_mine", "about"), ("noted", "entry"),
    ("teach", "entry"), ("home", "community"), ("log", "before"), ("log", "replaces"),
    ("undo", "entry"), ("reminded", "debts"), ("reminded", "act"), ("reminded", "about"),
    ("reminded", "hour"), ("remind", "sure"), ("settings", "calibrated"),
    ("outage", "step"), ("ph", "added"), ("clean", "done"), ("source", "save"), ("stock", "undo"),
    ("import", "file"), ("unsure", "read"), ("unsure", "rest"),
}  # fmt: skip
NEEDED = {
    "tower_add": {"name": "shed", "tank": "40 l"}, "tower_edit": {"tower": "kitchen"},
    "tower_share": {"person": "9 Perrin"}, "tower_join": {"invitation": "3", "accept": "yes"},
    "door": {"stage": "coming"}, "noted": {"entry": "1"}, "home": {"community": "1"},
    "import": {"file": "x.json", "text": "{}"}, "said": {"word": "start.right"},
    "reminded": {"debts": "1", "act": "hour"},
    "unsure": {"read": "", "rest": "x"}, "not_mine": {"about": "off_topic"},
}  # fmt: skip
NASTY = (
    "nan", "-nan", "inf", "1e309", "1e-400", "-3", "-0", "0", "1_000", "1,000", "1.2.3", "9**9**9",
    "٣", "３ gal", "½", "1/0", "a\u202eb", "@everyone", "<@&1>", "'; DROP TABLE tower; --", "%s{0}",
    "?" * 50, "x" * 200, "😀" * 40, "\u0000", "\ud800", "30 February", "in 10**9 days", "half",
    "3 gal", "2 jugs", "1.9", "950 ppm", "A 10, B 10", "8 ml of each per gal", "yes", "1e5 l", "#1",
    "999999999999999999999999", "12 12 12", "not sure", "off", "60 %", "21-8", "new york",
)  # fmt: skip
WENNA = replace(TAMSIN, role="coach")
ROOM = Place(room_id=7, room="towers", community="Saltmarsh", members=3, manages=True)


def books() -> list[Book]:
    lines = logged(entry(1, days=2, level_l=40.0, ec=1.6), entry(2, hours=1, level_l=38.0))
    return [
        replace(lines, place=ROOM),
        replace(book(KITCHEN, PORCH, LIBRARY, member=IFE), place=ROOM),
        replace(no_towers(), place=ROOM),
        replace(book(member=WENNA), place=ROOM),
        replace(book(), private=False),
    ]


BOOKS = books()
FIELDS = [
    (kind, field.name)
    for kind, cls in questions._KINDS.items()
    for field in fields(cls)
    if (kind, field.name) not in NOT_TYPED
]


def with_text(kind: str, field: str, text: str) -> Question:
    return from_json({"kind": kind, **NEEDED.get(kind, {}), field: text})


def is_a_sentence(question: Question, at: Book) -> None:
    found = answer(question, at)
    said = plain(found, at)
    assert said.strip()
    assert said.count("?") <= 1, said
    assert "Traceback" not in said and ("None" not in said or "None" in str(to_json(question)))
    if found.outcome == "clarify" and not isinstance(question, questions.Setup):
        # A set-up's step is stored before the next is asked; else a clarifying answer writes only
        # a tower's stage at its door, or the first coach's role.
        assert all(type(c).__name__ in ("EditTower", "SetRole") for c in found.changes)
    for amount in found.amounts:
        assert abs(amount.value) < 1e6
    shown = card(found, at)
    assert len(shown.buttons) <= 25
    for offer in found.offers:
        assert from_json(to_json(offer.question)) == offer.question
        if offer.form:
            form_card(form(offer.form, offer.question))


@pytest.mark.parametrize(("kind", "field"), FIELDS, ids=[f"{k}-{f}" for k, f in FIELDS])
def test_anything_typed_gets_a_sentence(kind: str, field: str) -> None:
    for text, at in itertools.product(NASTY, BOOKS):
        is_a_sentence(with_text(kind, field, text), at)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(FIELDS), st.text(max_size=60), st.sampled_from(range(len(BOOKS))))
def test_any_text_at_all_gets_a_sentence(where: tuple[str, str], text: str, at: int) -> None:
    is_a_sentence(with_text(*where, text), BOOKS[at])


@pytest.mark.parametrize("name", sorted(form_names()))
def test_every_form_fits_the_platform(name: str) -> None:
    shown = form_card(form(name, questions.Help()))
    assert 1 <= len(shown.title) <= 45
    assert 1 <= len(shown.lines) <= 5
    for one in shown.lines:
        assert 1 <= len(one.label) <= 45
        assert 1 <= len(one.hint) <= 100
        assert len(one.field) <= 100
