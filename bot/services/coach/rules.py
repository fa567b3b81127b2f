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
from bot.records.facts import PolicyValue
from bot.records.questions import Policy, Setup
from bot.services.asking import Ask, clarify
from bot.services.facts import measures
from bot.words import sentence
from calc.errors import Unreadable
from calc.units import Quantity, Word, read_number, read_rate, read_temperature_c, scan

_PAGE = 8
_CLOSE = 80.0
# Rules of one thing, from low to high.
_CHAINS = (
    ("ph_red_low", "ph_low", "ph_high", "ph_red_high"),
    ("ec_red_low", "ec_ok_low", "ec_ok_high", "ec_red_high"),
    ("water_cold_c", "water_warm_c", "water_hot_c"),
    ("transplant_from_days", "transplant_to_days"),
    ("lettuce_dli_low", "lettuce_dli_high"),
    ("pump_line_fraction", "refill_mark_fraction"),
)
# The hours in each word for a time. A month is none: it has no one length.
_HOURS: Final = {
    word: hours
    for words, hours in (
        ("s sec second seconds", 1 / 3600),
        ("min mins minute minutes", 1 / 60),
        ("h hr hrs hour hours", 1.0),
        ("d day days", 24.0),
        ("week weeks", 168.0),
    )
    for word in words.split()
}
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
    key = _key(question.rule, question.value)
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


def _key(typed: str, value: str | None) -> str:
    """The rule a person means, by its key or by the name that is shown.

    Raises
    ------
    Refusal
        None is near enough, or two are equally near: a wrong rule set is worse than asking.
    """
    wanted = " ".join(typed.casefold().replace("_", " ").split())
    named = {sentence(f"rule.{key}").casefold(): key for key in policy_keys()}
    named |= {key.replace("_", " "): key for key in policy_keys()}
    if wanted in named:
        return named[wanted]
    near = process.extract(wanted, list(named), scorer=fuzz.WRatio, limit=4, score_cutoff=_CLOSE)
    keys = list(dict.fromkeys(named[name] for name, _, _ in near))
    if len(keys) == 1:
        return keys[0]
    shown = tuple(line(f"rule.{key}") for key in keys[:3])
    if shown:
        offers = [
            Offer(label=line(f"rule.{key}"), question=Policy(rule=key, value=value))
            for key in keys[:3]
        ]
        asked = line("policy.which", text=typed[:40], rules=shown)
        raise Ask(clarify("policy", asked, offers=offers))
    raise Refusal("no.rule", text=typed[:40])


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
    value = None if typed.strip().casefold() in _UNSET else _value(key, typed, row, book)
    today = book.local(book.now)
    kept = {k: v for k, v in book.policy.items() if k != key}
    if value is not None:  # one taken back is as shipped, and nobody's setting
        kept[key] = PolicyValue(value=value, set_on=today, by=book.member.name)
    before, after = rule_line(key, book), replace(book, policy=kept)
    return Answer(
        outcome="answer",
        intent="policy",
        do=(line("policy.changed", rule=(rule_line(key, after),)),),
        expect=(line("policy.was", rule=(before,)),),
        offers=()
        if book.community.rules_seen
        else (Offer(label=line("button.back_to_setup"), question=Setup(step="4")),),
        changes=(SetPolicy(key=key, value=value, set_on=today),),
    )


def _value(key: str, typed: str, row: PolicyKey, book: Book) -> float:
    """A rule's value, in the units that a coach would say it in.

    Raises
    ------
    CalcError, Refusal
    """
    value = _read(typed, row, book)
    if not row.low <= value <= row.high:
        raise _out_of_range(key, value, row)
    _in_order(key, value, book)
    return value


def _read(typed: str, row: PolicyKey, book: Book) -> float:
    if row.unit == "C":
        return read_temperature_c(typed, fahrenheit=book.member.units == "us")
    if row.unit == "mL/L":
        return read_rate(typed, measures=measures(book)).per_l
    items = [i for i in scan(typed) if isinstance(i, Quantity)]
    if len(items) == 1 and items[0].unit == "percent" and row.unit != "%":
        return items[0].number
    bare = typed.replace("%", " ") if row.unit == "%" else typed
    value = read_number(
        bare, wanted="rule", low=-1e6, high=1e6, unit=row.unit, also=_HOURS
    ) * _times(typed, row)
    if row.unit.startswith(("x ", "of the")) and value > max(row.high, 5) and value <= 500:
        value /= 100  # "60" of a label can only be per cent
    return value


def _times(typed: str, row: PolicyKey) -> float:
    """How many of the rule's own unit of time one of the typed is: 24 for days where it has hours.

    Raises
    ------
    Unreadable
        A time where the rule has none, or a month.
    """
    said = [i.text for i in scan(typed) if isinstance(i, Word)]
    said = [word for word in said if word in _HOURS or word in ("month", "months")]
    if not said:
        return 1.0
    own = row.unit.partition(" ")[0]
    if own not in _HOURS or said[0] not in _HOURS:
        raise Unreadable(text=typed[:60], wanted="rule")
    return _HOURS[said[0]] / _HOURS[own]


def _out_of_range(key: str, value: float, row: PolicyKey) -> Ask:
    return Ask(
        clarify(
            "policy",
            line(
                "policy.range",
                rule=(line(f"rule.{key}"),),
                value=(_said(value, row),),
                low=(_said(row.low, row),),
                high=(_said(row.high, row),),
            ),
        )
    )


def _in_order(key: str, value: float, book: Book) -> None:
    """Limits that speak of one thing stay in their order, or a reading fits nowhere.

    Raises
    ------
    Ask
    """
    for chain in _CHAINS:
        if key not in chain:
            continue
        values = [value if k == key else book.number(k) for k in chain]
        if values != sorted(values):
            at = chain.index(key)
            other = chain[at - 1] if at and values[at - 1] > value else chain[at + 1]
            asked = line(
                "policy.order", rule=(line(f"rule.{key}"),), other=(rule_line(other, book),)
            )
            raise Ask(clarify("policy", asked))
