"""Four questions to a first tower: size, place, feed, meter. The rest is guessed, and said so.

Every button carries all that was answered so far, so nothing is lost when the chat is closed; a
typed answer is taken for fifteen minutes, and after that offered again.
"""

from __future__ import annotations

from dataclasses import replace

from bot.errors import Refusal
from bot.records.answer import Answer, Awaits, Line, Measure, Offer, line
from bot.records.book import Book
from bot.records.changes import AddTower, Change, SetFeed, SetMember
from bot.records.facts import Feed, Tower
from bot.records.questions import (
    Check,
    Door,
    Dose,
    Lamp,
    Said,
    Schedule,
    Start,
    Timer,
    TopUp,
    TowerEdit,
    TowerShow,
    unpacked,
    with_fields,
)
from bot.services.asking import clarify
from bot.services.coach.labels import read_feed
from bot.services.facts import measures, typed_volume
from bot.services.log.use import pump_line_l, refill_mark_l
from bot.services.newcomer.doors import three_doors
from bot.services.pouring import rates_of
from calc.errors import within
from calc.units import read_volume

_PLACES = {"outdoor": "outdoor", "indoor": "indoor", "window": "indoor"}
_NAMES = {"outdoor": "balcony", "indoor": "indoor", "window": "window"}
_METERS = ("ec", "ppm", "none")
_NOT_SURE = ("not sure", "notsure", "no idea", "dont know", "don't know", "?", "unsure")
_MOST_FEEDS = 3
# Questions that a tower not yet stored can answer.
_AT_ONCE = (TopUp, Dose, Check, Timer, Lamp, Schedule, TowerShow)
_RIGHT = Offer(label=line("button.right"), question=Said(word="start.right"))
_SMALLEST_L, _LARGEST_L = 1.0, 10_000.0


def start(question: Start, book: Book) -> Answer:
    """The next of the four questions, or the tower saved.

    Raises
    ------
    Ask, CalcError, Refusal
    """
    if not book.in_guild and book.member.id == 0:
        raise Refusal("no.no_home", outcome="refuse")  # before four answers are lost
    if (left := _left_half_way(question, book)) is not None:
        return left
    if question.tank is None and book.towers and not question.again and not question.then:
        return _have_one(question, book)
    if question.tank is None:
        return _ask_tank(question)
    if question.tank.strip().casefold().strip(".!") in _NOT_SURE:
        return _jug_it(question)
    litres = read_volume(question.tank, measures=measures(book)).litres
    within(name="tank", value=litres, low=_SMALLEST_L, high=_LARGEST_L, unit="L")
    if question.place not in _PLACES:
        return _ask_place(question, litres)
    if question.feed is None:
        return _ask_feed(question, book)
    feed = _feed(question, book)
    if question.meter not in _METERS:
        return _ask_meter(question)
    return _saved(question, litres, feed, book)


def _left_half_way(question: Start, book: Book) -> Answer | None:
    """A set-up begun and not ended: go on, or start again."""
    if question.tank or question.again:
        return None
    drafts = [o.question for o in book.opened if isinstance(o.question, Start) and o.question.tank]
    if not drafts:
        return None
    draft = drafts[-1]
    kept = {"then": question.then} if question.then else {}
    offers = [
        Offer(label=line("button.go_on"), question=with_fields(draft, kept)),
        Offer(label=line("button.start_again"), question=replace(question, again="yes")),
    ]
    return clarify("newcomer", line("start.half_way", tank=draft.tank or ""), offers=offers)


def _have_one(question: Start, book: Book) -> Answer:
    """Somebody with a tower goes on with it, or sets up another."""
    young = [t for t in book.towers if t.stage != "growing"][:_MOST_FEEDS]
    offers = [
        Offer(
            label=line("button.go_on_with", tower=tower.name),
            question=Door(tower=tower.name, stage="where"),
        )
        for tower in young
    ]
    another = replace(question, again="yes")
    offers.append(Offer(label=line("button.another_tower"), question=another))
    names = tuple(line("button.tower", name=t.name) for t in book.towers)
    return clarify("newcomer", line("start.have_one", towers=names), offers=offers)


def _waits(found: Answer, question: Start, field: str) -> Answer:
    return replace(found, awaits=Awaits(question=question, field=field))


def _ask_tank(question: Start) -> Answer:
    offers = [
        Offer(label=line("button.type_size"), question=question, form="tank"),
        Offer(label=line("button.not_sure"), question=replace(question, tank="not sure")),
    ]
    word = "start.tank_then" if question.then else "start.tank"
    return _waits(clarify("newcomer", line(word), offers=offers), question, "tank")


def _jug_it(question: Start) -> Answer:
    """No amount before a size: how to find it, and the place in the set-up kept."""
    again = replace(question, tank=None)
    offers = [Offer(label=line("button.type_size"), question=again, form="tank")]
    found = Answer(
        outcome="clarify",
        intent="newcomer",
        do=(line("start.jug_it"),),
        offers=tuple(offers),
    )
    return _waits(found, again, "tank")


def _ask_place(question: Start, litres: float) -> Answer:
    offers = [
        Offer(label=line(f"button.{place}"), question=replace(question, place=place))
        for place in ("outdoor", "indoor", "window")
    ]
    asked = line("start.place", tank=Measure(litres, "water"), other=Measure(litres, "water_other"))
    return _waits(clarify("newcomer", asked, offers=offers), question, "place")


def _ask_feed(question: Start, book: Book) -> Answer:
    known = [feed for feed in book.feeds if not feed.own][:_MOST_FEEDS]
    offers = [
        Offer(
            label=line("button.feed", name=feed.name, rates=rates_of(feed)),
            question=replace(question, feed=feed.name),
        )
        for feed in known
    ]
    offers.append(Offer(label=line("button.another_bottle"), question=question, form="bottle"))
    return _waits(clarify("newcomer", line("start.feed"), offers=offers), question, "feed")


def _feed(question: Start, book: Book) -> Feed:
    """The coach's feed by its name, or a bottle of one's own by its label."""
    named = (question.feed or "").casefold().strip()
    known = next((feed for feed in book.feeds if feed.name.casefold() == named), None)
    if known is not None and question.rate is None:
        return known
    if question.rate is None:
        raise Refusal("start.bottle_rate", name=question.feed or "")
    own = read_feed(question.feed or "", question.rate, question.gain, book)
    return replace(own, own=True)


def _ask_meter(question: Start) -> Answer:
    offers = [
        Offer(label=line(f"button.meter_{meter}"), question=replace(question, meter=meter))
        for meter in _METERS
    ]
    return _waits(clarify("newcomer", line("start.meter"), offers=offers), question, "meter")


def _saved(question: Start, litres: float, feed: Feed, book: Book) -> Answer:
    """The tower with its guesses; then the question that was asked before, or the three doors."""
    tower = Tower(
        name=_free(_NAMES[question.place or ""], book),
        tank_l=litres,
        place=_PLACES[question.place or ""],
        feed=feed.name,
        set_on=book.local(book.now),
    )
    changes: list[Change] = [AddTower(tower=tower)]
    changes.append(SetMember(setting="has_ec_meter", value=question.meter != "none"))
    if feed.own:
        changes.insert(0, SetFeed(feed=feed))
    found = Answer(
        outcome="answer",
        intent="newcomer",
        do=(_saved_line(question, tower, feed),),
        expect=_guesses(tower, book),
        cautions=(line("tower.weight", weight=Measure(litres, "weight")),),
        offers=(_RIGHT, _change(tower, book), *three_doors(tower)),
        changes=tuple(changes),
    )
    return _with_then(found, question, tower, feed, book) if question.then else found


def _free(name: str, book: Book) -> str:
    taken = {tower.name.casefold() for tower in (*book.towers, *book.packed)}
    numbers = (name if n == 1 else f"{name} {n}" for n in range(1, len(taken) + 2))
    return next(one for one in numbers if one not in taken)


def _saved_line(question: Start, tower: Tower, feed: Feed) -> Line:
    return line(
        "start.saved",
        name=tower.name,
        tank=Measure(tower.tank_l, "water"),
        place=(line(f"place.{question.place}"),),
        feed=feed.name,
        meter=(line(f"meter.{question.meter}"),),
    )


def _guesses(tower: Tower, book: Book) -> tuple[Line, ...]:
    tap = book.rule("tap_ec")
    ec = Measure(book.number("tap_ec"), "ec")
    said = (
        line("start.tap_coach", tap=ec, coach=tap.by or book.coach or "", date=tap.set_on)
        if tap.set_on is not None and (tap.by or book.coach)
        else line("start.tap_guess", tap=ec)
    )
    guesses = line(
        "start.guesses",
        refill=Measure(refill_mark_l(tower, book), "water"),
        pump=Measure(pump_line_l(tower, book), "water"),
        tap=(said,),
    )
    return guesses, line("start.where")


def _change(tower: Tower, book: Book) -> Offer:
    """The guesses in a form, as they stand."""
    guessed = TowerEdit(
        tower=tower.name,
        name=tower.name,
        tank=typed_volume(tower.tank_l, book),
        refill=typed_volume(refill_mark_l(tower, book), book),
        pump_line=typed_volume(pump_line_l(tower, book), book),
        tap=f"{book.number('tap_ec'):g}",
    )
    return Offer(label=line("button.change"), question=guessed, form="guesses")


def _with_then(found: Answer, question: Start, tower: Tower, feed: Feed, book: Book) -> Answer:
    """The question that began the set-up, answered now, below what was saved."""
    from bot.services.answering import answer  # the one path of answers; it leads here and back

    asked = unpacked(question.then or "")
    if not isinstance(asked, _AT_ONCE):
        again = line("start.ask_again")
        return replace(found, check=(*found.check, again))
    feeds = book.feeds if feed in book.feeds else (*book.feeds, feed)
    then = answer(
        asked,
        replace(book, towers=(*book.towers, tower), feeds=feeds, opened=()),
    )
    settled = then.outcome == "answer"  # else it has a question of its own, and one is enough
    return replace(
        then,
        do=(*found.do, *then.do),
        check=(*then.check, *found.expect[:1], *([line("start.where")] if settled else [])),
        cautions=(*then.cautions, *found.cautions),
        offers=(*then.offers, _change(tower, book), *(three_doors(tower) if settled else ())),
        changes=(*found.changes, *then.changes),
    )
