"""The parts of a feed as a syringe or spoon can pour them, the label's ratio kept."""

from __future__ import annotations

from collections.abc import Callable

from bot.records.answer import Pour, Pours
from bot.records.facts import Member
from bot.render.numbers import BY_ONE, kitchen, number, pourable
from bot.words import sentence
from calc.units import DROPS_PER_ML, spoons

_EQUAL = 1e-6
EACH_PART = "each part"


def rounded(parts: tuple[Pour, ...]) -> list[float]:
    """The amounts to say: the largest part is made pourable, the others keep the ratio to it."""
    largest = max((p.amount for p in parts), default=0.0)
    if largest <= 0:
        return [0.0 for _ in parts]
    if all(abs(p.amount - largest) <= _EQUAL * largest for p in parts):
        return [pourable(p.amount) or p.amount for p in parts]
    scale = (pourable(largest) or largest) / largest
    return [_to_a_mark(p.amount * scale) for p in parts]


def _to_a_mark(amount: float) -> float:
    """The nearest mark of a syringe or beaker, finer where a whole one would bend the ratio."""
    step = 0.01 if amount < 1 else 0.1 if amount < 5 else 0.5 if amount < 10 else 1.0
    return round(amount / step) * step


def said(pours: Pours, member: Member, name: Callable[[str], str]) -> str:
    """Steps with the pump running between, or plain amounts."""
    amounts = [p.amount for p in pours.parts] if pours.exact else rounded(pours.parts)
    equal = len({round(a, 3) for a in amounts}) == 1 and len({p.dry for p in pours.parts}) == 1
    if len(pours.parts) == 1 and pours.parts[0].name == EACH_PART:
        amount = _amount(amounts[0], pours.parts[0], member, kitchen_too=True)
        between = "pours.each_part" if pours.minutes else "pours.each_part_stirred"
        return sentence(between).format(amount=amount, minutes=number(pours.minutes))
    if pours.steps:
        return _steps(pours, amounts, equal, member, name)
    if equal and len(amounts) > 1:
        amount = _amount(amounts[0], pours.parts[0], member, kitchen_too=pours.spoons)
        return sentence("pours.each").format(amount=amount)
    return ", ".join(
        sentence("pours.plain").format(
            name=name(p.name), amount=_amount(a, p, member, kitchen_too=False)
        )
        for p, a in zip(pours.parts, amounts, strict=True)
    )


def _steps(
    pours: Pours, amounts: list[float], equal: bool, member: Member, name: Callable[[str], str]
) -> str:
    minutes = number(pours.minutes)
    run = ("pours.run", "pours.last_run") if pours.minutes else ("pours.stir", "pours.stir")
    steps = []
    for at, (part, amount) in enumerate(zip(pours.parts, amounts, strict=True)):
        spooned = at == 0 or not equal
        text = sentence("pours.one" if at == 0 else "pours.then").format(
            name=name(part.name), amount=_amount(amount, part, member, kitchen_too=spooned)
        )
        steps += [text, sentence(run[at > 0]).format(minutes=minutes)]
    return ", ".join(steps)


def _amount(shown: float, part: Pour, member: Member, *, kitchen_too: bool) -> str:
    unit = "g" if part.dry else "mL"
    text = (
        f"{number(shown / 1000)} L"
        if shown >= 2000 and not part.dry
        else (f"{number(shown)} {unit}")
    )
    if part.dry or not kitchen_too:
        return text
    drops = member.drops_per_ml or DROPS_PER_ML
    # Spoons measure the number shown, unless that was rounded by more than a spoon can show.
    measured = shown if shown <= BY_ONE else part.amount
    measure = spoons(volume_ml=measured, metric=member.units != "us", drops_per_ml=drops)
    return f"{text} ({kitchen(measure)})" if measure else text
