"""The community's feeds as their labels say, and a member's own bottle."""

from __future__ import annotations

from dataclasses import replace

from bot.records.answer import Answer, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.changes import SetFeed
from bot.records.facts import Feed, Part
from bot.records.questions import FeedSet
from bot.services.asking import Ask, clarify
from bot.services.coach.labels import read_feed
from bot.services.coach.rules import must_coach
from bot.services.pouring import rates_of
from calc.dose import mixed_ec
from calc.units import read_number


def feed(question: FeedSet, book: Book) -> Answer:
    """The community's feeds as their labels say; with a label, one set anew.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    sets = question.name or question.parts or question.gain
    if sets and question.own is None:
        must_coach(book)
    if question.parts is None and question.gain is None and question.name is None:
        return _feeds(book)
    known = next((f for f in book.feeds if f.name.casefold() == (question.name or "").casefold()
                  and f.own == bool(question.own)), None)  # fmt: skip
    ours = [f for f in book.feeds if not f.own]
    if known is None and question.name is None and not question.own and len(ours) == 1:
        known = ours[0]
    if question.parts is None:
        if known is None or question.gain is None:
            raise Ask(_feed_form(question))
        told = replace(known, ec_gain_ms_per_cm=read_number(
            question.gain, wanted="EC gain", low=0.05, high=10, unit="mS/cm"))  # fmt: skip
    else:
        name = question.name or (book.feeds[0].name if len(book.feeds) == 1 else "two-part")
        told = read_feed(name, question.parts, question.gain, book)
    told = replace(
        told, own=bool(question.own), set_on=book.local(book.now), parts=_labelled(told, known)
    )
    return Answer(
        outcome="answer",
        intent="feed",
        do=(line("feed.saved", name=told.name, rates=rates_of(told)),),
        expect=_makes(told, book),
        changes=(SetFeed(feed=told),),
    )


def _labelled(told: Feed, known: Feed | None) -> tuple[Part, ...]:
    """Parts told anew keep what was told of their labels."""
    labels = {part.name: part for part in known.parts} if known else {}
    return tuple(
        replace(part, label=labels[part.name].label, kg_per_l=labels[part.name].kg_per_l)
        if part.name in labels
        else part
        for part in told.parts
    )


def _feed_form(question: FeedSet) -> Answer:
    offer = Offer(label=line("button.write_down"), question=question, form="feed")
    return clarify("feed", line("feed.ask"), offers=[offer])


def _feeds(book: Book) -> Answer:
    if not book.feeds:
        raise Ask(_feed_form(FeedSet()))
    rows = tuple(
        line("feed.own" if one.own else "feed.row", name=one.name, rates=rates_of(one))
        for one in book.feeds
    )
    offers: tuple[Offer, ...] = ()
    if book.member.coach and book.in_guild:
        offers = (Offer(label=line("button.add_feed"), question=FeedSet(), form="feed"),)
    return Answer(outcome="answer", intent="feed", do=rows, expect=(), offers=offers)


def _makes(told: Feed, book: Book) -> tuple[Line, ...]:
    """What full label rate reads, and what meets the target."""
    gain, tap, target = told.ec_gain_ms_per_cm, book.number("tap_ec"), book.number("target_ec")
    if gain is None:
        return (line("feed.no_gain"),)
    makes = mixed_ec(water_ec_ms_per_cm=tap, gain_ms_per_cm=gain, strength_fraction=1.0)
    share = (target - tap) / gain
    if not 0.01 <= share <= 2:
        return (line("feed.makes", makes=Measure(makes, "ec_about")),)
    return (
        line("feed.makes", makes=Measure(makes, "ec_about")),
        line("feed.meets", target=Measure(target, "ec"), share=Measure(share, "share")),
    )
