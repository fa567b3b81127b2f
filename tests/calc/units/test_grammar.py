"""What people type, beside what it means; and what is refused, with the reason."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import Ambiguous, CalcError, OutOfRange, Unreadable
from calc.units import (
    Level,
    Measures,
    Quantity,
    find_level,
    from_si,
    read_amounts,
    read_conductivity,
    read_depth_cm,
    read_level,
    read_rate,
    read_strength,
    read_volume,
    scan,
    to_si,
)

US = Measures(gallon="us", jug_l=5.0)
GAL = 3.785411784  # US gallon [L], exact by definition (231 cubic inches)
UK_GAL = 4.54609  # UK gallon [L], exact by definition


@pytest.mark.parametrize(
    ("typed", "litres"),
    [
        ("16 gal", 16 * GAL),
        ("16gal", 16 * GAL),
        ("16 g", 16 * GAL),
        ("16 US gallons", 16 * GAL),
        ("10 imperial gallons", 10 * UK_GAL),
        ("10 uk gal", 10 * UK_GAL),
        ("twenty-two gallon", 22 * GAL),
        ("twenty two gallons", 22 * GAL),
        ("one hundred and fifty litres", 150.0),
        ("two thousand five hundred ml", 2.5),
        ("one thousand two hundred ml", 1.2),
        ("1,5 l", 1.5),
        ("1.5 L", 1.5),
        (".5 l", 0.5),
        ("1/2 gal", GAL / 2),
        ("1 1/2 gal", 1.5 * GAL),
        ("1½ gal", 1.5 * GAL),
        ("half a gallon", GAL / 2),
        ("one and a half gallons", 1.5 * GAL),
        ("a gallon", GAL),
        ("one point nine litres", 1.9),
        ("3 jugs", 15.0),
        ("a couple of jugs", 10.0),
        ("750 ml", 0.75),
        ("2 quarts", 2 * GAL / 4),
        ("about 10 l", 10.0),
        ("0,500 l", 0.5),
    ],
)
def test_reads_a_volume(typed: str, litres: float) -> None:
    assert read_volume(typed, measures=US).litres == pytest.approx(litres)


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "lots",
        "nan gal",
        "inf l",
        "-inf l",
        "1e309 l",
        "9**9**9 l",
        "1_000 l",
        "٣ l",
        "5 C",
        "1.2.3 l",
        "10-15 gal",
        "3 kg",
        "1" * 400 + " l",
        "16",
        "__import__('os') l",
    ],
)
def test_refuses_what_is_no_volume(typed: str) -> None:
    with pytest.raises(Unreadable):
        read_volume(typed, measures=US)


@pytest.mark.parametrize("typed", ["-5 l", "0 gal", "99999 l", "-0 l"])
def test_refuses_an_impossible_volume(typed: str) -> None:
    with pytest.raises(OutOfRange, match="volume"):
        read_volume(typed, measures=US)


def test_asks_which_gallon_and_how_big_a_jug() -> None:
    with pytest.raises(Ambiguous, match="gallon"):
        read_volume("10 gal", measures=Measures())
    with pytest.raises(Ambiguous, match="jug"):
        read_volume("2 jugs", measures=Measures())


def test_asks_whether_a_comma_parts_thousands() -> None:
    with pytest.raises(Ambiguous, match="thousands") as caught:
        read_volume("1,500 ml", measures=US)
    assert caught.value.choices == ("1500", "1.500")


LEFT, GONE = False, True


@pytest.mark.parametrize(
    ("typed", "of", "value", "missing"),
    [
        ("half", "fraction", 1 / 2, LEFT),
        ("1/2", "fraction", 1 / 2, LEFT),
        ("½", "fraction", 1 / 2, LEFT),
        ("50%", "fraction", 1 / 2, LEFT),
        ("0.5", "fraction", 1 / 2, LEFT),
        ("half full", "fraction", 1 / 2, LEFT),
        ("a third", "fraction", 1 / 3, LEFT),
        ("at a third", "fraction", 1 / 3, LEFT),
        ("two thirds left", "fraction", 2 / 3, LEFT),
        ("three quarters", "fraction", 3 / 4, LEFT),
        ("three-quarters", "fraction", 3 / 4, LEFT),
        ("full", "fraction", 1.0, LEFT),
        ("empty", "fraction", 0.0, LEFT),
        ("down a quarter", "fraction", 1 / 4, GONE),
        ("a quarter down", "fraction", 1 / 4, GONE),
        ("a third missing", "fraction", 1 / 3, GONE),
        ("down by a third", "fraction", 1 / 3, GONE),
        ("4 gal", "volume", 4 * GAL, LEFT),
        ("4 gal left", "volume", 4 * GAL, LEFT),
        ("4 gal low", "volume", 4 * GAL, GONE),
        ("missing 3 jugs", "volume", 15.0, GONE),
        ("3 jugs", "volume", 15.0, LEFT),
        ("5 in below full", "depth", 5 * 2.54, GONE),
        ('5" below the line', "depth", 5 * 2.54, GONE),
        ("12 cm down", "depth", 12.0, GONE),
        ("7 in deep", "depth", 7 * 2.54, LEFT),
        ("7 inches from the bottom", "depth", 7 * 2.54, LEFT),
        ("2 fingers", "depth", 2 * 1.9, GONE),
        ("2 fingers below full", "depth", 2 * 1.9, GONE),
    ],
)
def test_reads_a_level(typed: str, of: str, value: float, missing: bool) -> None:
    level = read_level(typed, measures=US)
    assert (level.of, level.missing) == (of, missing)
    assert level.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("typed", "fraction", "offset_cm"),
    [
        ("two fingers below half", 1 / 2, -2 * 1.9),
        ("a finger above a quarter", 1 / 4, 1.9),
        ("about a finger above a quarter", 1 / 4, 1.9),
        ("1 inch below half", 1 / 2, -2.54),
    ],
)
def test_reads_a_level_beside_a_mark(typed: str, fraction: float, offset_cm: float) -> None:
    level = read_level(typed, measures=US)
    assert (level.of, level.value) == ("fraction", pytest.approx(fraction))
    assert level.offset_cm == pytest.approx(offset_cm)
    assert level.guessed


def test_a_fraction_is_a_guess_and_a_ruler_is_not() -> None:
    assert read_level("half", measures=US).guessed
    assert not read_level("5 in below full", measures=US).guessed


def test_a_bare_depth_has_two_readings() -> None:
    with pytest.raises(Ambiguous, match="depth"):
        read_level("5 in", measures=US)


@pytest.mark.parametrize(
    "typed", ["", "wet", "9**9**9 l", "1e309 l", "half strength", "5 C", "???"]
)
def test_refuses_what_is_no_level(typed: str) -> None:
    with pytest.raises(Unreadable):
        read_level(typed, measures=US)


def test_refuses_more_than_all_of_a_tank() -> None:
    with pytest.raises(OutOfRange, match="level"):
        read_level("110 %", measures=US)


@pytest.mark.parametrize(
    ("sentence", "words"),
    [
        ("tank's at half, no meter. what do i add", "half"),
        (
            "water is 5 inches down from the full line on the 16 gal",
            "5 inches down from the full line",
        ),
        ("level is about two fingers below half, meter says 1.9", "two fingers below half"),
        ("half full 16g, ec 1.9", "half full"),
        ("we are down a third", "down a third"),
        ("its at about 6 gal now", "6 gal"),
        ("kitchen is down 4 gal, 2.1 ec", "down 4 gal"),
    ],
)
def test_finds_the_level_in_a_sentence(sentence: str, words: str) -> None:
    level = find_level(sentence, measures=US)
    assert isinstance(level, Level)
    assert sentence[level.start : level.end] == words
    again = read_level(words, measures=US)
    assert (again.of, again.missing, again.value) == (level.of, level.missing, level.value)


@pytest.mark.parametrize(
    ("typed", "ec"),
    [
        ("1.9", 1.9),
        ("1,9", 1.9),
        ("ec 1.9", 1.9),
        ("1.9 mS", 1.9),
        ("1.9 mS/cm", 1.9),
        ("1.9 dS/m", 1.9),
        ("1900 uS/cm", 1.9),
        ("1900 us", 1.9),
        ("19 CF", 1.9),
        ("cf 19", 1.9),
        ("950 ppm 500", 1.9),
        ("950 ppm (500 scale)", 1.9),
        ("1330 ppm on the 700 scale", 1.9),
        ("one point nine", 1.9),
    ],
)
def test_reads_a_meter(typed: str, ec: float) -> None:
    assert read_conductivity(typed, measures=US).ec_ms_per_cm == pytest.approx(ec)


def test_never_guesses_a_ppm_scale() -> None:
    for typed in ("875", "875 ppm", "pen says 875"):
        with pytest.raises(CalcError):
            read_conductivity(typed, measures=US)
    known = Measures(tds_scale=700)
    assert read_conductivity("875 ppm", measures=known).ec_ms_per_cm == pytest.approx(1.25)


@pytest.mark.parametrize(
    ("typed", "per_l", "dry"),
    [
        ("2 ml per litre", 2.0, False),
        ("2ml/l", 2.0, False),
        ("8 mL of each per gal", 8 / GAL, False),
        ("8 ml a gallon", 8 / GAL, False),
        ("0.6 g/l", 0.6, True),
        ("1 tsp per gallon", 4.92892159375 / GAL, False),
    ],
)
def test_reads_a_label_rate(typed: str, per_l: float, dry: bool) -> None:
    rate = read_rate(typed, measures=US)
    assert (rate.per_l, rate.dry) == (pytest.approx(per_l), dry)


@pytest.mark.parametrize(
    ("typed", "share"),
    [
        ("half", 0.5),
        ("half strength", 0.5),
        ("full", 1.0),
        ("full label rate", 1.0),
        ("60 %", 0.6),
        ("60", 0.6),
        ("0.75", 0.75),
        ("three quarters", 0.75),
        ("quarter strength", 0.25),
    ],
)
def test_reads_a_strength(typed: str, share: float) -> None:
    assert read_strength(typed) == pytest.approx(share)


@pytest.mark.parametrize("typed", ["strong", "", "3 gal", "half and half"])
def test_refuses_what_is_no_strength(typed: str) -> None:
    with pytest.raises(Unreadable, match="strength"):
        read_strength(typed)


def test_reads_amounts_by_part() -> None:
    assert read_amounts("A 140, B 78", measures=US) == {"a": 140.0, "b": 78.0}
    spoons = read_amounts("Red 2 tsp and Blue 10 ml", measures=US)
    assert spoons == {"red": pytest.approx(9.858, abs=0.001), "blue": 10.0}
    for typed in ("140", "A B", "140 and 78"):
        with pytest.raises(Unreadable):
            read_amounts(typed, measures=US)


def test_reads_a_depth() -> None:
    assert read_depth_cm("14 in", measures=US) == pytest.approx(35.56)
    with pytest.raises(Unreadable, match="depth"):
        read_depth_cm("14 gal", measures=US)


@pytest.mark.parametrize(
    ("unit", "general"),
    [
        ("us_gal", "US_liquid_gallon"),
        ("uk_gal", "imperial_gallon"),
        ("qt", "US_liquid_quart"),
        ("fl_oz", "US_fluid_ounce"),
        ("cup", "cup"),
        ("tbsp", "tablespoon"),
        ("tsp", "teaspoon"),
    ],
)
def test_every_volume_agrees_with_pint(unit: str, general: str) -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    wanted = registry.Quantity(3.7, general).to("liter").magnitude
    assert to_si(3.7, unit) == pytest.approx(wanted, rel=1e-12)
    assert from_si(wanted, unit) == pytest.approx(3.7, rel=1e-12)


@given(st.floats(0.01, 9000), st.sampled_from(["l", "ml", "cl", "us gal", "uk gal", "tsp", "cups"]))
def test_a_printed_number_reads_back(number: float, unit: str) -> None:
    typed = f"{number:.4f} {unit}"
    found = scan(typed)[0]
    assert isinstance(found, Quantity)
    assert found.kind == "volume"
    assert found.number == pytest.approx(float(f"{number:.4f}"))


@given(st.text(max_size=200))
def test_no_text_breaks_the_grammar(text: str) -> None:
    scan(text)
    for read in (read_volume, read_level, read_conductivity, read_rate, read_depth_cm):
        try:
            read(text, measures=US)
        except CalcError:
            continue


QUIRKS = (
    "9 1/2 half a - . , gal per below full fingers of in ppm 500 % and twenty hundred / ec ° ½ e **"
).split()


@given(st.lists(st.sampled_from(QUIRKS), max_size=40), st.sampled_from([" ", ""]))
def test_no_heap_of_its_own_words_breaks_the_grammar(words: list[str], glue: str) -> None:
    text = glue.join(words)
    try:
        find_level(text, measures=US)
        read_level(text, measures=US)
    except CalcError:
        pass
