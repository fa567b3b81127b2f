"""Is this reading all right? Bands, drift, and how often to read."""

from __future__ import annotations

from datetime import timedelta

from bot.records.answer import (
    Amount,
    Answer,
    Fact,
    FromRecord,
    FromText,
    Line,
    Measure,
    Offer,
    Weekday,
    line,
)
from bot.records.book import Book
from bot.records.facts import Entry, Tower
from bot.records.questions import Check, Log, TopUp
from bot.services.asking import Ask, clarify
from bot.services.choosing import chosen_tower
from bot.services.facts import computed, ec_fact, measures, towers_tap, towers_target
from bot.services.levels import told_level
from bot.services.log.entries import fed, when
from bot.services.log.leaks import sudden
from bot.services.log.use import pump_line_l
from calc.bands import ec_trend, flag, unit_slip
from calc.errors import within
from calc.units import read_conductivity, read_ph, read_temperature_c

_BELOW_TAP_MS = 0.05  # a pen's own step
_JUST_NOW = timedelta(hours=1)
_PEN_GOOD_D = 45  # half as long again as the month between calibrations; common practice
_FELL = 0.10  # of the tank: less is within what an eye can read


def check(question: Check, book: Book) -> Answer:
    """Each reading against its band, the drift since the last, and what to do.

    Raises
    ------
    Ask, CalcError
    """
    tower = chosen_tower(question, book)
    if not (question.ec or question.ph or question.temp or question.level):
        offer = Offer(label=line("button.write_down"), question=question, form="check")
        raise Ask(clarify("ec_ok", line("check_ask.what", tower=tower.name), offers=[offer]))
    ec = None if question.ec is None else ec_fact("ec", question.ec, book, question)
    if ec is not None:
        _same_unit(ec.value, tower, book)
    entry = Entry(
        tower=tower.name,
        at=book.now,
        kind="ec",
        ec=None if ec is None else ec.value,
        ph=None if question.ph is None else _ph(question.ph),
        water_c=None
        if question.temp is None
        else read_temperature_c(question.temp, fahrenheit=book.member.units == "us"),
        level_l=_level(question, tower, book),
    )
    verdicts = (*_level_said(tower, entry, book), *_verdicts(tower, entry, book))
    verdicts = verdicts or (line("reading.level_ok"),)
    return Answer(
        outcome="answer",
        intent="ec_ok",
        amounts=_amounts(ec, tower, book),
        do=verdicts,
        expect=_drift(tower, entry, book),
        check=(
            *_scale(question, book),
            *_pen(question, book),
            line("reading.how_often"),
            *_whose(tower, book),
        ),
        offers=_offers(question, tower, entry, book),
    )


def _same_unit(ec: float, tower: Tower, book: Book) -> None:
    """Ten times the last reading, or a tenth of it: another unit, most likely.

    Raises
    ------
    Ask
    """
    last = [e.ec for e in book.entries(tower.name) if e.ec]
    if last and unit_slip(new_ms_per_cm=ec, last_ms_per_cm=last[-1]):
        asked = line("ask.unit_slip", ec=Measure(ec, "ec"), last=Measure(last[-1], "ec"))
        raise Ask(clarify("bad_input", asked))


def _pen(question: Check, book: Book) -> tuple[Line, ...]:
    """A pen that was not calibrated for long shows what it likes."""
    last = book.member.calibrated_on
    if last is None or not (question.ec or question.ph):
        return ()
    days = (book.local(book.now) - last).days
    return (line("reading.pen_old", day=last, days=days),) if days > _PEN_GOOD_D else ()


def _scale(question: Check, book: Book) -> tuple[Line, ...]:
    """A reading in ppm, with the scale that it was read on."""
    if question.ec is None:
        return ()
    told = read_conductivity(question.ec, measures=measures(book))
    if told.scale is None:
        return ()
    number = Measure(told.typed, "number")
    return (
        line("reading.scale", ppm=number, scale=told.scale, ec=Measure(told.ec_ms_per_cm, "ec")),
    )


def _ph(text: str) -> float:
    return within(name="pH", value=read_ph(text), low=3, high=10, unit="")


def _level(question: Check, tower: Tower, book: Book) -> float | None:
    if question.level is None:
        return None
    tank = Fact("tank", tower.tank_l, FromRecord(tower.set_on))
    return told_level(question, tank, tower, book).litres.value


def ec_flag(ec: float, tower: Tower, book: Book) -> str:
    """Where an EC stands against the tower's target; "below_tap" when it cannot be."""
    if ec < towers_tap(tower, book).value - _BELOW_TAP_MS:
        return "below_tap"
    target = towers_target(tower, book).value
    return flag(
        value_any=ec,
        red_low_any=book.number("ec_red_low") * target,
        yellow_low_any=book.number("ec_ok_low") * target,
        yellow_high_any=book.number("ec_ok_high") * target,
        red_high_any=book.number("ec_red_high") * target,
    )


def _ph_flag(ph: float, book: Book) -> str:
    low, high = book.number("ph_low"), book.number("ph_high")
    return flag(
        value_any=ph,
        red_low_any=min(book.number("ph_red_low"), low),
        yellow_low_any=low,
        yellow_high_any=high,
        red_high_any=max(book.number("ph_red_high"), high),
    )


def _temp_flag(celsius: float, book: Book) -> str:
    cold, warm = book.number("water_cold_c"), book.number("water_warm_c")
    return flag(
        value_any=celsius,
        red_low_any=min(5.0, cold),
        yellow_low_any=cold,
        yellow_high_any=warm,
        red_high_any=max(book.number("water_hot_c"), warm),
    )


def _verdicts(tower: Tower, entry: Entry, book: Book) -> tuple[Line, ...]:
    found: list[Line] = []
    if entry.ec is not None:
        target = towers_target(tower, book).value
        found.append(
            line(
                f"reading.ec_{ec_flag(entry.ec, tower, book)}",
                ec=Measure(entry.ec, "ec"),
                target=Measure(target, "ec"),
                low=Measure(book.number("ec_ok_low") * target, "ec"),
                high=Measure(book.number("ec_ok_high") * target, "ec"),
                tap=Measure(towers_tap(tower, book).value, "ec"),
            )
        )
    if entry.ph is not None:
        found.append(
            line(
                f"reading.ph_{_ph_flag(entry.ph, book)}",
                ph=Measure(entry.ph, "ph"),
                low=Measure(book.number("ph_low"), "ph"),
                high=Measure(book.number("ph_high"), "ph"),
            )
        )
    if entry.water_c is not None:
        found.append(
            line(
                f"reading.temp_{_temp_flag(entry.water_c, book)}",
                temp=Measure(entry.water_c, "temperature"),
                cold=Measure(book.number("water_cold_c"), "temperature"),
                warm=Measure(book.number("water_warm_c"), "temperature"),
            )
        )
    return tuple(found)


def remarks(tower: Tower, entry: Entry, book: Book) -> tuple[Line, ...]:
    """What a logged reading says, only where something is to be done, and the drift."""
    words = _verdicts(tower, entry, book)
    told = tuple(one for one in words if not one.word.endswith("_ok"))
    return (*_level_said(tower, entry, book), *told, *_drift(tower, entry, book))


def _level_said(tower: Tower, entry: Entry, book: Book) -> tuple[Line, ...]:
    """At the pump line, or far below what thirst explains; nothing where all is as it should be."""
    if entry.level_l is None:
        return ()
    mark = pump_line_l(tower, book)
    low = (line("reading.below_line", mark=Measure(mark, "water")),)
    read_now = book.now - entry.at < _JUST_NOW and not entry.water_added_l
    gone = sudden(tower, entry, book) if read_now else ()
    return (*(low if entry.level_l <= mark else ()), *gone)


def _drift(tower: Tower, entry: Entry, book: Book) -> tuple[Line, ...]:
    """What the change since the last reading means; nothing while it means nothing.

    Only between two readings with no dose between and the level down by a tenth of the tank.
    """
    if entry.ec is None or entry.level_l is None:
        return ()
    earlier = [
        e
        for e in book.entries(tower.name)
        if e.ec is not None and e.level_l is not None and e.at < entry.at
    ]
    if not earlier:
        return ()
    last = earlier[-1]
    between = [e for e in book.entries(tower.name) if last.at < e.at <= entry.at]
    dosed = any(fed(e) or e.water_added_l or e.kind == "change" for e in between)
    fell = (last.level_l or 0.0) - entry.level_l >= _FELL * tower.tank_l
    if dosed or not fell or fed(last):
        return ()
    change = entry.ec - (last.ec or 0.0)
    fine = "_fine" if ec_flag(entry.ec, tower, book) == "ok" else ""
    says = ec_trend(change_ms_per_cm=change, band_ms_per_cm=book.number("trend_band"))
    since = line(
        f"reading.drift_{says}{'' if says == 'same' else fine}",
        change=Measure(abs(change), "ec"),
        at=Weekday(when(last.at, book).date()),
    )
    return (since,)


def _whose(tower: Tower, book: Book) -> tuple[Line, ...]:
    if tower.target_ec is not None:
        return ()
    set_on = book.rule("target_ec").set_on
    word = "check.target_coach" if set_on else "check.target_guess"
    return (line(word, target=Measure(towers_target(tower, book).value, "ec")),)


def _amounts(ec: Fact | None, tower: Tower, book: Book) -> tuple[Amount, ...]:
    if ec is None:
        return ()
    target = towers_target(tower, book)
    return (
        Amount(name="ec", value=ec.value, unit="mS/cm", origin=FromText()),
        Amount(
            name="over_target",
            value=ec.value - target.value,
            unit="mS/cm",
            origin=computed(ec, target),
        ),
    )


def _offers(question: Check, tower: Tower, entry: Entry, book: Book) -> tuple[Offer, ...]:
    offers = [
        Offer(
            label=line("button.log_reading"),
            question=Log(
                tower=tower.name,
                level=question.level,
                ec=question.ec,
                ph=question.ph,
                temp=question.temp,
                at=book.now.isoformat(),
            ),
        )
    ]
    if entry.ec is not None and ec_flag(entry.ec, tower, book) not in ("ok", "below_tap"):
        offers.append(
            Offer(
                label=line("button.what_to_add"),
                question=TopUp(tower=tower.name, level=question.level, ec=question.ec),
            )
        )
    return tuple(offers)


def due_to_read(tower: Tower, book: Book) -> timedelta:
    """How long until the next reading is due, from the last one; 0 where there is none."""
    levels = [e.at for e in book.entries(tower.name) if e.level_l is not None or e.ec is not None]
    if not levels:
        return timedelta(0)
    return max(timedelta(0), levels[-1] + timedelta(days=book.number("read_every_days")) - book.now)
