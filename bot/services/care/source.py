"""The water poured in: its class in words, what to use, and what changes because of it."""

from __future__ import annotations

from datetime import date
from typing import Final

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromRecord,
    FromText,
    Line,
    Measure,
    Offer,
    line,
)
from bot.records.book import Book
from bot.records.changes import EditTower
from bot.records.facts import WATERS, Tower
from bot.records.questions import Source
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import computed
from calc.bands import exceeds
from calc.errors import Ambiguous
from calc.source import (
    ALKALINITY_HIGH_MG_PER_L,
    GUIDE_MG_PER_L,
    hardness_class,
    over_guide,
    softener_sodium_mg_per_l,
)
from calc.units import from_si, read_hardness, read_number

_SALTS: Final = ("sodium", "calcium", "chloride", "sulphate")
_TREATED: Final = ("chlorine", "chloramine")
_MOST_GRAINS: Final = 117  # 2,000 mg/L: beyond any water
_BARE: Final = ("ro", "rain")  # next to no salts in it


def source(question: Source, book: Book) -> Answer:
    """What this water is good for.

    Raises
    ------
    Ask, CalcError
    """
    tower = tower_or_none(question, book)
    if question.save is not None:
        return _saved(question, chosen_tower(question, book), book)
    told = question.water if question.water in WATERS else None
    kind = told or (tower.water if tower else None)
    same = tower if tower is not None and told in (None, tower.water) else None
    hardness = _read(question.hardness, "hardness", book)
    hardness = hardness or _known("hardness", same.hardness_mg_per_l if same else None, same)
    alkalinity = _read(question.alkalinity, "alkalinity", book)
    alkalinity = alkalinity or _known(
        "alkalinity", same.alkalinity_mg_per_l if same else None, same
    )
    salts = {name: _salt(question, name) for name in _SALTS}
    given = any(value is not None for value in (*salts.values(), hardness, alkalinity))
    left = _read(question.left, "hardness", book)
    if hardness is not None and left is not None and left.value < hardness.value:
        taken = hardness.value - left.value
        hardness = Fact("hardness taken out", taken, computed(hardness, left))
    if kind is None and not given and question.treated not in _TREATED:
        raise Ask(_which(question))
    over = _over(salts)
    bad = over if over and over[0].word != "source.within" else ()
    do = (*bad, *(() if bad and kind in ("tap", "ro") else _use(kind, hardness)),
          *_class(kind, hardness))  # fmt: skip
    more = (*_treated(question.treated), *(() if bad else over))
    return Answer(
        outcome="answer",
        intent="source_water",
        amounts=_amounts(kind, hardness),
        do=do or more,
        expect=(*_alkaline(alkalinity, book), *_softened(kind, hardness), *(more if do else ())),
        check=(line("source.sheet"),) if any(salts.values()) or alkalinity is not None else (),
        offers=_keep(question, tower),
    )


def _read(text: str | None, name: str, book: Book) -> Fact | None:
    """As typed. A bare number can only be mg/L where no grains are spoken of, or beyond them."""
    if not text:
        return None
    try:
        return Fact(name, read_hardness(text, name=name), FromText())
    except Ambiguous as error:
        number = float(error.text.replace(",", ""))
        if book.member.units == "us" and number <= _MOST_GRAINS:
            raise
        return Fact(name, read_hardness(f"{error.text} mg/L", name=name), FromText())


def _known(name: str, value: float | None, tower: Tower | None) -> Fact | None:
    return None if value is None or tower is None else Fact(name, value, FromRecord(tower.set_on))


def _salt(question: Source, name: str) -> float | None:
    text = getattr(question, name)
    if not text:
        return None
    plain = text.casefold().replace("mg/l", "").replace("ppm", "")
    return read_number(plain, wanted=name, low=0, high=10_000, unit="mg/L")


def _which(question: Source) -> Answer:
    offers = [
        Offer(
            label=line(f"choice.water_{kind}"),
            question=Source(tower=question.tower, water=kind),
        )
        for kind in WATERS
    ]
    return clarify("source_water", line("source.which"), offers=offers)


def _use(kind: str | None, hardness: Fact | None) -> tuple[Line, ...]:
    if kind is None or (kind == "tap" and hardness is not None):
        return ()
    return (line(f"source.{kind}"),)


def _class(kind: str | None, hardness: Fact | None) -> tuple[Line, ...]:
    if hardness is None or kind == "softened":
        return ()
    found = hardness_class(hardness_mg_per_l_caco3=hardness.value)
    grains = from_si(hardness.value, "grain_per_us_gal")
    return (
        line(
            f"source.class_{found}",
            hardness=Measure(hardness.value, "number"),
            grains=Measure(grains, "ph"),
        ),
    )


def _softened(kind: str | None, hardness: Fact | None) -> tuple[Line, ...]:
    """What the softener puts in for the hardness that it takes out."""
    if kind != "softened" or hardness is None:
        return ()
    sodium = softener_sodium_mg_per_l(hardness_mg_per_l_caco3=hardness.value)
    over = exceeds(value_any=sodium, limit_any=GUIDE_MG_PER_L["sodium"])
    return (
        line(
            "source.sodium_over" if over else "source.sodium",
            grains=Measure(from_si(hardness.value, "grain_per_us_gal"), "ph"),
            sodium=Measure(round(sodium), "number"),
            limit=Measure(GUIDE_MG_PER_L["sodium"], "number"),
        ),
    )


def _alkaline(alkalinity: Fact | None, book: Book) -> tuple[Line, ...]:
    """Alkalinity, not hardness, drives pH; what to do about it is the coach's to say."""
    if alkalinity is None:
        return ()
    shown = Measure(alkalinity.value, "number")
    high = exceeds(value_any=alkalinity.value, limit_any=ALKALINITY_HIGH_MG_PER_L)
    said = [line("source.alkaline_high" if high else "source.alkaline_fine", alkalinity=shown)]
    if high and book.member.coach:
        said.append(line("source.alkaline_coach"))
    return tuple(said)


def _treated(treated: str | None) -> tuple[Line, ...]:
    return (line(f"source.{treated}"),) if treated in _TREATED else ()


def _over(salts: dict[str, float | None]) -> tuple[Line, ...]:
    told = {f"{name}_mg_per_l": value or 0.0 for name, value in salts.items()}
    over = over_guide(**told)
    lines = [
        line(
            f"source.over_{name}",
            value=Measure(salts[name] or 0.0, "number"),
            limit=Measure(GUIDE_MG_PER_L[name], "number"),
        )
        for name in over
    ]
    if not lines and any(value is not None for value in salts.values()):
        return (line("source.within"),)
    return tuple(lines)


def _amounts(kind: str | None, hardness: Fact | None) -> tuple[Amount, ...]:
    if hardness is None:
        return ()
    grains = from_si(hardness.value, "grain_per_us_gal")
    found = [
        Amount(name="gpg", value=grains, unit="gpg", origin=computed(hardness)),
        Amount(name="hardness", value=hardness.value, unit="mg/L", origin=hardness.origin),
    ]
    if kind == "softened":
        sodium = softener_sodium_mg_per_l(hardness_mg_per_l_caco3=hardness.value)
        found.append(
            Amount(name="sodium_added", value=sodium, unit="mg/L", origin=computed(hardness))
        )
    return tuple(found)


def _keep(question: Source, tower: Tower | None) -> tuple[Offer, ...]:
    if (
        tower is None
        or not tower.id
        or not (question.water or question.hardness or question.alkalinity)
    ):
        return ()
    told = Source(
        tower=tower.name,
        water=question.water,
        hardness=question.hardness,
        alkalinity=question.alkalinity,
        save="yes",
    )
    return (Offer(label=line("button.save_for", tower=tower.name), question=told),)


def _saved(question: Source, tower: Tower, book: Book) -> Answer:
    """Kept with the tower; water with next to nothing in it has an EC of 0."""
    facts: list[tuple[str, str | float | date | None]] = []
    if question.water in WATERS:
        facts.append(("water", question.water))
    if (hardness := _read(question.hardness, "hardness", book)) is not None:
        facts.append(("hardness_mg_per_l", hardness.value))
    said = [line("source.saved", tower=tower.name)]
    if question.water in _BARE:
        facts.append(("water_ec", 0.0))
        said.append(line("source.saved_bare"))
    elif question.water and tower.water in _BARE:
        facts.append(("water_ec", None))  # the 0 was that water's, not this one's
        said.append(line("source.saved_not_bare", tap=Measure(book.number("tap_ec"), "ec")))
    if question.water and question.water != tower.water and not question.hardness:
        facts += [("hardness_mg_per_l", None), ("alkalinity_mg_per_l", None)]
    if (alkalinity := _read(question.alkalinity, "alkalinity", book)) is not None:
        facts.append(("alkalinity_mg_per_l", alkalinity.value))
    return Answer(
        outcome="answer",
        intent="source_water",
        do=tuple(said),
        changes=(EditTower(tower_id=tower.id, name=tower.name, facts=tuple(facts)),),
    )
