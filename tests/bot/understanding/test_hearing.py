"""Sentences as members type them, and the question a slash command would have made of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records.questions import Dose, Help, NotMine, Question, TopUp
from bot.services import answer
from bot.understanding import hear
from tests.bot.books import KITCHEN, PORCH, book

TOPUPS = [
    ("tank's at half, meter says 1.9. what do i add", TopUp(level="half", ec="1.9")),
    (
        "half full, ec 2.1, want 1.6, tap is .3",
        TopUp(level="half full", ec="2.1", target="1.6", tap=".3"),
    ),
    ("its down a third no meter", TopUp(level="down a third")),
    (
        "kitchen is 5 inches below the line, pen reads 1.4",
        TopUp(tower="kitchen", level="5 inches below the line", ec="1.4"),
    ),
    ("two fingers under half on the porch", TopUp(tower="porch", level="two fingers under half")),
    ("just poured in 3 gallons plain water, full now", TopUp(level="full", added="3 gallons")),
    ("ec is 2.8 and its full, too strong", TopUp(level="full", ec="2.8", swap="yes")),
    ("16 gal tank, three quarters", TopUp(level="three quarters", tank="16 gal")),
    ("topping up the porch", TopUp(tower="porch")),
    (
        "kitchen, a finger above a quarter, 2.1, tap",
        TopUp(tower="kitchen", level="a finger above a quarter", ec="2.1"),
    ),
    (
        "full kitchen at 2.8, target 1.7, tap 0.4",
        TopUp(tower="kitchen", level="full", ec="2.8", target="1.7", tap="0.4"),
    ),
    ("kitchen's down 4 gal, 2.1 ec", TopUp(tower="kitchen", level="down 4 gal", ec="2.1")),
    ("fill up the kitchen, its at 6 gal", TopUp(tower="kitchen", level="6 gal")),
    (
        "cf 27 kitchen n its full, should be 17",
        TopUp(tower="kitchen", level="full", ec="cf 27", target="17 cf"),
    ),
    ("cf 21, 40% left", TopUp(level="40% left", ec="cf 21")),
]


@pytest.mark.parametrize(("text", "question"), TOPUPS, ids=[t for t, _ in TOPUPS])
def test_hears_a_topup(text: str, question: TopUp) -> None:
    assert hear(text, book(KITCHEN, PORCH)) == question


@pytest.mark.parametrize(
    ("text", "question"),
    [
        (
            "kitchen, 16 gal, full label rate",
            Dose(tower="kitchen", water="16 gal", strength="full"),
        ),
        ("porch: A 140, B 78 in 10 gal", Dose(tower="porch", poured="A 140, B 78", water="10 gal")),
        ("first fill of the porch", Dose(tower="porch")),
        (
            "filling 10 gal of fresh solution at half strength",
            Dose(water="10 gal", strength="half"),
        ),
        (
            "label says 2 ml per litre, i have 20 litres",
            Dose(rate="2 ml per litre", water="20 litres"),
        ),
        ("feed for seedlings in a 3 l tray", Dose(water="3 l", stage="seedling")),
        (
            "oops, 140 of A but only 78 of B in the kitchen",
            Dose(tower="kitchen", poured="A 140, B 78"),
        ),
    ],
)
def test_hears_a_dose(text: str, question: Dose) -> None:
    assert hear(text, book(KITCHEN, PORCH)) == question


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("can i mix A and B in one bottle", "contact"),
        ("is it ok to pour both undiluted parts together", "contact"),
        ("half full, can I premix both for next time, 2 ml per litre", "contact"),
        ("how much bleach and vinegar", "bleach_mix"),
        ("tank's at half, how much bleach do i add", "chemicals"),
        ("how much sulfuric acid for ph", "acid"),
        ("spray neem on aphids?", "pests"),
        ("is the lettuce safe to eat", "eat"),
        ("the plug sparks when wet", "electric"),
        ("power is out and the roots are dry", "dry_roots"),
        ("tank at half and the pump broke", "dry_roots"),
        ("half a tank, roots drying out, what do i add", "dry_roots"),
    ],
)
def test_danger_outranks_arithmetic(text: str, about: str) -> None:
    question = hear(text, book())
    assert question == NotMine(about=about)
    assert answer(question, book()).amounts == ()


@pytest.mark.parametrize(
    "text",
    [
        "half, how much bl\u200beach and vinegar",
        "half, how much b l e a c h and vinegar",
        "half, ｂｌｅａｃｈ and vinegar",
        "half, blеасh and vinegar",
        "half, ec 1.9. what do i add" + " x" * 1500 + " bleach and vinegar",
    ],
)
def test_a_disguise_does_not_hide_danger(text: str) -> None:
    assert hear(text, book()) == NotMine(about="bleach_mix")


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("what's the weather on saturday", "off_topic"),
        ("write my essay", "off_topic"),
        ("asdf 88", "off_topic"),
        ("when should i harvest the lettuce", "not_yet"),
        ("ph is 7.4", "not_yet"),
        ("lost 7 gallons overnight", "not_yet"),
    ],
)
def test_what_is_not_mine_is_said_so(text: str, about: str) -> None:
    assert hear(text, book()) == NotMine(about=about)


def test_help_is_a_word() -> None:
    assert hear("Help!", book()) == Help()


@given(st.text(max_size=300))
def test_any_text_gets_an_answer(text: str) -> None:
    question: Question = hear(text, book(KITCHEN, PORCH))
    assert answer(question, book(KITCHEN, PORCH)).do


@given(
    st.lists(
        st.sampled_from(
            "half full 2.1 ec tap .3 16 gal want kitchen porch poured A B 120 of premix bleach how "
            "much fingers below the line down a third 950 ppm 500".split()
        ),
        max_size=15,
    )
)
def test_any_heap_of_trade_words_gets_an_answer(words: list[str]) -> None:
    text = " ".join(words)
    assert answer(hear(text, book(KITCHEN, PORCH)), book(KITCHEN, PORCH)).do
