"""House rules: read by all, set by the coach, each with its source and its history."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from rapidfuzz import fuzz, process

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Measure, Offer, line
from bot.records.book import Book, PolicyKey, policy_keys
from bot.records.changes import SetPolicy
from bot.records.questions import Policy, Setup
from calc.units import Quantity, read_number, scan

_PAGE = 8
_CLOSE = 80.0
_UNSET = ("off", "none", "unset", "no", "default")


def must_coach(book: Book, *, anywhere: bool = False) -> None:
    """Refuse whom the community does not name as coach; and, but `anywhere`, a private place.

    Raises
    ------
    Refusal
    """
    if not book.in_guild and not anywhere:
        raise Refusal("no.coach_in_room", outcome="refuse")
    if not book.member.coach:
        raise Refusal("no.coach_only", outcome="refuse")


def policy(question: Policy, book: Book) -> Answer:
    """One house rule, shown or set; without a name a page of them all.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    if question.value is not None or question.rule is None:
        must_coach(book)
    if question.rule is None:
        return _pages(question, book)
    key = _key(question.rule)
    if question.value is None:
        offer = Offer(label=line("button.set_rule"), question=Policy(rule=key), form="rule")
        return Answer(
            outcome="answer",
            intent="policy",
            do=(rule_line(key, book),),
            check=(line("policy.source", source=policy_keys()[key].source),),
            offers=(offer,) if book.member.coach else (),
        )
    return _set(key, question.value, book)


def _key(typed: str) -> str:
    """The rule a person means: its key or its words."""
    wanted = typed.casefold().strip().replace(" ", "_")
    if wanted in policy_keys():
        return wanted
    found = process.extractOne(wanted, list(policy_keys()), scorer=fuzz.WRatio, score_cutoff=_CLOSE)
    if found is None:
        raise Refusal("no.rule", text=typed[:40])
    return found[0]


def rule_line(key: str, book: Book) -> Line:
    """A house rule with its value and whose it is."""
    rule = book.rule(key)
    value = line("policy.unset") if rule.value is None else _said(rule.value, policy_keys()[key])
    name = (line(f"rule.{key}"),)
    if rule.set_on is None:
        return line("policy.shipped", rule=name, value=(value,))
    by = rule.by or book.coach or ""
    word = "policy.set" if by else "policy.set_unnamed"
    return line(word, rule=name, value=(value,), coach=by, date=rule.set_on)


# How a unit of policy.toml is said: its beginning, the sentence, and how the number is shown.
_SAID: Final = (
    ("x label", "policy.plain", "share"),
    ("x target", "policy.target", "number"),
    ("x normal", "policy.times", "number"),
    ("of the", "policy.plain", "percent"),
    ("C", "policy.plain", "temperature"),
    ("d", "policy.days", "number"),
    ("h", "policy.plain", "hours"),
    ("min", "policy.plain", "minutes"),
    ("mL/L", "policy.plain", "rate_ml"),
    ("tanks", "policy.tanks", "number"),
    ("%", "policy.percent", "number"),
)


def _said(value: float, row: PolicyKey) -> Line:
    """A rule's value as a person says it."""
    word, of = next(
        ((word, of) for unit, word, of in _SAID if row.unit.startswith(unit)),
        ("policy.plain", "number"),
    )
    return line(word, value=Measure(value, of))


def _pages(question: Policy, book: Book) -> Answer:
    keys = list(policy_keys())
    pages = math.ceil(len(keys) / _PAGE)
    page = int(read_number(question.page or "1", wanted="page", low=1, high=pages, unit=""))
    shown = keys[(page - 1) * _PAGE : page * _PAGE]
    offers = []
    if page < pages:
        offers.append(Offer(label=line("button.more"), question=Policy(page=str(page + 1))))
    if page > 1:
        offers.append(Offer(label=line("button.back"), question=Policy(page=str(page - 1))))
    return Answer(
        outcome="answer",
        intent="policy",
        do=(line("policy.head", page=page, pages=pages), *(rule_line(k, book) for k in shown)),
        check=(line("policy.how"),),
        offers=tuple(offers),
    )


def _set(key: str, typed: str, book: Book) -> Answer:
    row = policy_keys()[key]
    value = None if typed.strip().casefold() in _UNSET else _value(key, typed, row)
    today = book.local(book.now)
    before = rule_line(key, book)
    changed = replace(book.rule(key), value=value if value is not None else row.default,
                      set_on=today, by=book.member.name)  # fmt: skip
    after = replace(book, policy={**book.policy, key: changed})
    return Answer(
        outcome="answer",
        intent="policy",
        do=(line("policy.changed", rule=(rule_line(key, after),)),),
        expect=(line("policy.was", rule=(before,)),),
        offers=()
        if book.community.rules_seen
        else (Offer(label=line("button.back_to_setup"), question=Setup(step="4")),),
        changes=(SetPolicy(key=key, value=changed.value, set_on=today),),
    )


def _value(key: str, typed: str, row: PolicyKey) -> float:
    """A rule's value; a share may be said in per cent."""
    items = [i for i in scan(typed) if isinstance(i, Quantity)]
    if len(items) == 1 and items[0].unit == "percent" and row.unit != "%":
        value = items[0].number
    else:
        bare = typed.replace("%", " ") if row.unit == "%" else typed
        value = read_number(bare, wanted="rule", low=-1e6, high=1e6, unit=row.unit)
        if row.unit.startswith(("x ", "of the")) and value > max(row.high, 5) and value <= 500:
            value /= 100  # "60" of a label can only be per cent
    if not row.low <= value <= row.high:
        raise Refusal(
            "no.rule_range",
            rule=key.replace("_", " "),
            value=f"{value:g}",
            low=f"{row.low:g}",
            high=f"{row.high:g}",
            unit=row.unit,
        )
    return value
