"""The water poured in: its class in words, what to use, and what changes because of it."""

from __future__ import annotations

from typing import Final

from bot.records.answer import Amount, Answer, Fact, FromText, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.changes import EditTower
from bot.records.facts import WATERS, Tower
from bot.records.questions import Source
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower, tower_or_none
from bot.services.facts import computed
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
    hardness = _told(question.hardness, "hardness", tower.hardness_mg_per_l if tower else None)
    alkalinity = _told(
        question.alkalinity, "alkalinity", tower.alkalinity_mg_per_l if tower else None
    )
    salts = {name: _salt(question, name) for name in _SALTS}
    given = any(value is not None for value in (*salts.values(), hardness, alkalinity))
    if kind is None and not given and question.treated not in _TREATED:
        raise Ask(_which(question))
    do = (*_use(kind, hardness), *_class(kind, hardness))
    more = (*_treated(question.treated), *_over(salts))
    return Answer(
        outcome="answer",
        intent="source_water",
        amounts=_amounts(kind, hardness),
        do=do or more,
        expect=(*_alkaline(alkalinity, book), *_softened(kind, hardness), *(more if do else ())),
        check=(line("source.sheet"),) if any(salts.values()) or alkalinity is not None else (),
        offers=_keep(question, tower),
    )


def _told(text: str | None, name: str, known: float | None) -> float | None:
    return read_hardness(text, name=name) if text else known


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


def _use(kind: str | None, hardness: float | None) -> tuple[Line, ...]:
    if kind is None or (kind == "tap" and hardness is not None):
        return ()
    return (line(f"source.{kind}"),)


def _class(kind: str | None, hardness: float | None) -> tuple[Line, ...]:
    if hardness is None or kind == "softened":
        return ()
    found = hardness_class(hardness_mg_per_l_caco3=hardness)
    grains = from_si(hardness, "grain_per_us_gal")
    return (
        line(
            f"source.class_{found}",
            hardness=Measure(hardness, "number"),
            grains=Measure(grains, "ph"),
        ),
    )


def _softened(kind: str | None, hardness: float | None) -> tuple[Line, ...]:
    """What the softener puts in for the hardness that it takes out."""
    if kind != "softened" or hardness is None:
        return ()
    sodium = softener_sodium_mg_per_l(hardness_mg_per_l_caco3=hardness)
    over = sodium > GUIDE_MG_PER_L["sodium"]
    return (
        line(
            "source.sodium_over" if over else "source.sodium",
            grains=Measure(from_si(hardness, "grain_per_us_gal"), "ph"),
            sodium=Measure(round(sodium), "number"),
            limit=Measure(GUIDE_MG_PER_L["sodium"], "number"),
        ),
    )


def _alkaline(alkalinity: float | None, book: Book) -> tuple[Line, ...]:
    """Alkalinity, not hardness, drives pH; what to do about it is the coach's to say."""
    if alkalinity is None:
        return ()
    shown = Measure(alkalinity, "number")
    high = alkalinity > ALKALINITY_HIGH_MG_PER_L
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


def _amounts(kind: str | None, hardness: float | None) -> tuple[Amount, ...]:
    if hardness is None:
        return ()
    fact = Fact("hardness", hardness, FromText())
    grains = from_si(hardness, "grain_per_us_gal")
    found = [
        Amount(name="gpg", value=grains, unit="gpg", origin=computed(fact)),
    ]
    if kind == "softened":
        sodium = softener_sodium_mg_per_l(hardness_mg_per_l_caco3=hardness)
        found.append(Amount(name="sodium_added", value=sodium, unit="mg/L", origin=computed(fact)))
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
    facts: list[tuple[str, str | float | None]] = []
    if question.water in WATERS:
        facts.append(("water", question.water))
    if question.hardness:
        facts.append(("hardness_mg_per_l", read_hardness(question.hardness)))
    if question.alkalinity:
        alkalinity = read_hardness(question.alkalinity, name="alkalinity")
        facts.append(("alkalinity_mg_per_l", alkalinity))
    said = [line("source.saved", tower=tower.name)]
    if question.water in _BARE:
        facts.append(("water_ec", 0.0))
        said.append(line("source.saved_bare"))
    return Answer(
        outcome="answer",
        intent="source_water",
        do=tuple(said),
        changes=(EditTower(tower_id=tower.id, name=tower.name, facts=tuple(facts)),),
    )
