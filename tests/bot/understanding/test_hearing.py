"""Sentences as members type them, and the question a slash command would have made of them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.records.book import Open
from bot.records.facts import Feed, Part
from bot.records.questions import (
    Away,
    Check,
    Convert,
    Dose,
    DoseAll,
    Forget,
    Heat,
    Help,
    Log,
    NotMine,
    Outage,
    Ph,
    Plan,
    PortPlant,
    Question,
    Remind,
    Schedule,
    Start,
    Stock,
    TopUp,
    Undo,
)  # fmt: skip
from bot.services import answer
from bot.understanding import hear
from bot.words import sentence
from tests.bot.books import KITCHEN, PORCH, book
from tests.bot.logs import NOW

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
    ("two fingers under half on the porch", TopUp(tower="porch", level="2 fingers under half")),
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
        TopUp(tower="kitchen", level="full", ec="cf 27", target="CF 17", swap="yes"),
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
            Convert(amount="2 ml per litre", to="ml", tank="20 litres"),
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
    ],
)
def test_danger_outranks_arithmetic(text: str, about: str) -> None:
    question = hear(text, book())
    assert question == NotMine(about=about)
    assert answer(question, book()).amounts == ()


UNSURE = [
    "full, meter 1.4, already gave 30 ml of each",
    "mixed 100 ml A 100 ml B into 8 gallons, meant to do half",
    "three quarters, 200 ml of A left in the bottle",
    "my 5 year old poured 200 ml of A in",
    "half, 1.9, and I already put 44 ml of a in. how much b",
    "poured A 60 B 60 but the tank is only half full",
    "put in A 60 and B 60 twice by mistake",
    "half, ec 1 9",
    "it was half yesterday, its a quarter now",
    "half the plants died, tank 3/4 full",
    "between half and 3/4",
    "half full but i only have 5 gallons of water, ec 1.9",
    "half full, 5 gallons at hand",
    "only fill it to 3/4, its at half",
    "half. label says 5 ml per gallon",
    "label says 2 tsp per gallon A and 1 tsp per gallon B, 16 gal",
    "i added 4 gal water and it was at 2.0 before",
    "double strength first fill",
]


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("kitchen isnt full, about 3/4", TopUp(tower="kitchen", level="3/4")),
        ("not the kitchen, porch is half", TopUp(tower="porch", level="half")),
        ("kitchen half, porch 3/4", DoseAll(missing="kitchen: half; porch: 3/4")),
        ("porch is half kitchen is a third", DoseAll(missing="porch: half; kitchen: a third")),
        ("when should i harvest the lettuce", Plan(crop="lettuce")),
    ],
)
def test_what_is_denied_or_told_of_each_is_heard_so(text: str, question: Question) -> None:
    assert hear(text, book(KITCHEN, PORCH)) == question


@pytest.mark.parametrize("text", ["porch is half kitchen is a third", "kitchen half, porch 3/4"])
def test_a_tower_that_is_not_theirs_makes_no_dose(text: str) -> None:
    assert not answer(hear(text, book(KITCHEN)), book(KITCHEN)).amounts


@pytest.mark.parametrize("text", UNSURE)
def test_half_a_sentence_makes_no_dose(text: str) -> None:
    """What a number or a turning word would change is asked about, with what was read."""
    question = hear(text, book(KITCHEN, PORCH))
    found = answer(question, book(KITCHEN, PORCH))
    assert found.outcome != "answer"
    assert not [a for a in found.amounts if a.unit in ("mL", "g")]
    assert sum(sentence(one.word).count("?") for one in found.do) <= 1


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("oops put in 128 ml A and no B", Dose(poured="A 128 ml, B 0")),
        ("the 16 gal one is down 4 gal", TopUp(level="down 4 gal", tank="16 gal")),
        ("pump off for 5 min, tank is half, ec 1.9", TopUp(level="half", ec="1.9")),
        ("just under a quarter ec 2", TopUp(level="a quarter", ec="2")),
        ("quarter of the way down", TopUp(level="quarter of the way down")),
        ("down to 4 gal ec 2", TopUp(level="4 gal", ec="2")),
        ("half, using RO water, ec 1.8", TopUp(level="half", ec="1.8", tap="0")),
        ("1900 uS half", TopUp(level="half", ec="1900 uS")),
        ("the kitchen one is at half", TopUp(tower="kitchen", level="half")),
    ],
)
def test_every_number_finds_its_place(text: str, question: Question) -> None:
    assert hear(text, book(KITCHEN)) == question


def test_a_bare_level_answers_the_bots_own_question() -> None:
    for text in ("half", "8 gal", "empty", "2 fingers down"):
        assert hear(text, book()) == TopUp(level=text)
    assert hear("qarter full", book()) == TopUp(level="quarter full")  # a slip is mended
    for text in ("almost full", "i will add 5 gallons"):
        assert answer(hear(text, book()), book()).outcome != "answer"


def test_parts_are_read_whichever_side_the_number_stands() -> None:
    parts = tuple(
        Part(name=n, ml_per_l=r) for n, r in (("Red", 1.0), ("Blue", 2.0), ("Green", 0.5))
    )
    facts = replace(book(), feeds=(Feed(name="three", parts=parts),))
    first = hear("red 60 blue 60 green 30", facts)
    behind = hear("60 red 60 blue 30 green", facts)
    assert first == behind == Dose(poured="Red 60, Blue 60, Green 30")


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


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("my tds pen says 900, ok?", Check(ec="900 ppm")),
        ("pen says 875", Check(ec="875")),
        ("is ec 2.4 ok?", Check(ec="2.4")),
        ("ph is 7.2, what now?", Ph(ph="7.2")),
        ("ec 1.9 ph 6,2 ok", Check(ec="1.9", ph="6,2")),
        ("kitchen meter reads cf 27, too high?", Check(tower="kitchen", ec="cf 27")),
        ("water is 83F, ok?", Heat(temp="83F")),
        ("half full, meter says 1.9, ok?", None),
        ("ec 1.9 and ph 6 what do i add", None),
        ("timer 15 on 30 off ok?", None),
    ],
)
def test_a_reading_alone_is_judged(text: str, question: Check | None) -> None:
    heard = hear(text, book(KITCHEN))
    if question is None:
        assert not isinstance(heard, Check)
    else:
        assert heard == question


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("undo", Undo()),
        ("Undo that!", Undo()),
        ("added 6 gal and 48 ml each", Log(added="6 gal", poured="48 ml each")),
        ("topped up 23 l, 46 ml of each", Log(added="23 l", poured="46 ml each")),
        ("start", Start()),
        ("forget me", Forget()),
        ("what's due this week?", Schedule()),
        ("how much A and B when I fill it?", Dose()),
    ],
)
def test_the_record_is_spoken_to(text: str, question: Question) -> None:
    assert hear(text, book(KITCHEN)) == question


@pytest.mark.parametrize(
    "text", ["should i add 6 gal and 48 ml each?", "did i add 48 ml each", "i added 6 gal"]
)
def test_a_question_is_no_log(text: str) -> None:
    assert not isinstance(hear(text, book(KITCHEN)), Log)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("added 48 ml each", Log(poured="48 ml each")),
        (
            "put 30 of each in the kitchen an hr ago",
            Log(tower="kitchen", poured="30 each", at="1 hour ago"),
        ),
        ("kitchen ec 1.8 ph 6.1", Log(tower="kitchen", ec="1.8", ph="6.1")),
        ("changed the kitchen tank today", Log(tower="kitchen", change="yes")),
    ],
)
def test_what_is_told_and_not_asked_is_logged(text: str, told: Log) -> None:
    assert hear(text, book(KITCHEN)) == told


@pytest.mark.parametrize(
    ("asked", "field", "text", "answered"),
    [
        (Stock(item="Zed"), "left", "900 ml", Stock(item="Zed", left="900 ml")),
        (Ph(drops="2"), "level", "half", Ph(drops="2", level="half")),
        (Heat(temp="84F"), "level", "8 gal", Heat(temp="84F", level="8 gal")),
        (Away(), "days", "9 days", Away(days="9 days")),
        (Away(days="9"), "use", "1.2 gal a day", Away(days="9", use="1.2 gal a day")),
        (PortPlant(crop="basil"), "ports", "L2P2", PortPlant(crop="basil", ports="L2P2")),
    ],
)
def test_what_was_asked_is_what_is_answered(
    asked: Question, field: str, text: str, answered: Question
) -> None:
    """An amount told to the bot's own question is never a feed dose."""
    opened = Open(question=asked, field=field, at=NOW)
    assert hear(text, replace(book(KITCHEN), opened=(opened,))) == answered


def test_another_question_is_not_taken_for_the_answer() -> None:
    opened = Open(question=Stock(item="Zed"), field="left", at=NOW)
    assert hear("undo", replace(book(KITCHEN), opened=(opened,))) == Undo()


@pytest.mark.parametrize(
    ("text", "heat"),
    [
        ("power is out and the roots are dry", None),
        ("tank at half and the pump broke", None),
        ("half a tank, roots drying out, what do i add", None),
        ("power out, 95f out, roots are hanging dry!!", "95f"),
        ("no electricity since an hour, tower is in the living room", "indoor"),
    ],
)
def test_dry_roots_get_their_steps_whatever_else_is_asked(text: str, heat: str | None) -> None:
    assert hear(text, book()) == Outage(heat=heat)


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("hlaf full ec 1.9", TopUp(level="half full", ec="1.9")),
        ("three qaurters full ec 1.9", TopUp(level="three quarters full", ec="1.9")),
        (
            "tank is half full, EC is 180... no, I misread it, 1.80",
            TopUp(level="half full", ec="1.80"),
        ),
        ("ec one point nine its down a third", TopUp(level="down a third", ec="1.9")),
        ("4½ inches down, ec 1.4", TopUp(level="4 1/2 inches down", ec="1.4")),
    ],
)
def test_slips_words_and_numbers_taken_back(text: str, question: TopUp) -> None:
    assert hear(text, book()) == question


def test_what_is_to_be_remembered_stays_as_it_was_typed() -> None:
    asked = hear("remind me friday 6 pm to trim the roots", book())
    assert isinstance(asked, Remind) and asked.about == "trim the roots"


@pytest.mark.parametrize(
    "text",
    [
        "i already added 20 drops today, ph 6.8, jug test 6 drops for 1 liter, half full",
        "lacks a quarter ec 1.9",
        "a quarter away from full, ec 1.9",
        "60% evaporated ec 1.9",
        "no longer half, ec 1.9",
        "less than half full ec 1.9",
        "isn't empty, 3 gal, ec 1.9",
        "half the plants died, ec 1.9",
        "was at half, i added 3 gal, ec now 1.2",
        "half, 1.9 ph",
        "no nutrients, just water, half",
        "seedlings, quarter strength, tank half ec 1.0",
        "my sister's tower at half, ec 1.9",
        "no, the porch one is at half",
        "6 drops of h2so4 in 1 liter, half tank",
        "outlet got splashed, tank half, ec 1.9",
        "poured the rest of a into b, half, ec 1.9",
        "cup with a and b both, half ec 1.9",
    ],
)
def test_what_an_attacker_found_gives_no_amount(text: str) -> None:
    assert answer(hear(text, book(KITCHEN)), book(KITCHEN)).amounts == ()


@pytest.mark.parametrize(
    "text",
    [
        "did i harvest 3 lettuce yesterday?",
        "nobody picked 2 basil",
        "i haven't picked 4 tomatoes yet",
        "i don't have 500 ml of part a left, only 50",
        "what if i only have 200 ml of a left",
        "i have 1 l of a and 500 ml of b left",
        "kale L1P1, basil L2P4",
        "when will the chard in level 2 port 4 be ready to pick",
    ],
)
def test_what_is_only_asked_is_not_written(text: str) -> None:
    assert answer(hear(text, book(KITCHEN)), book(KITCHEN)).changes == ()


def test_a_jug_is_no_level() -> None:
    heard = hear("6 drops in a quart took it to 5.0, tank half", book(KITCHEN))
    assert heard == Ph(drops="6", jug="1 quart", level="half")
