"""What a person's records owe them: when to be told of what, and when that is no more so.

Due times are at the person's own hours, the evening before where that is still ahead. Keys name the
fact, so that the same fact owes one reminder however often it is worked out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta

from bot.clock import instant
from bot.records.book import Book
from bot.records.facts import Entry, Tower
from bot.records.reminders import Owed
from bot.services.calendar import move_in_window
from bot.services.log.use import change_due, pump_line_l, reaches, refill_mark_l, use_of
from bot.services.newcomer.steps import steps

_BEFORE_DRY = timedelta(hours=10)
_MORNINGS = 3
_LONG_DRY = timedelta(days=4)
_DAY = timedelta(days=1)
_CALIBRATE_D = 30  # monthly: common practice, no source
_FIRST_ASK_D, _SECOND_ASK_D, _TOO_OLD_D = 10, 17, 60  # from memory, no source; the coach decides
_FIRST_READING_D = 3  # after the plants moved in; a guess
_WIDE, _FRESH = timedelta(days=2), timedelta(days=3)
_FULL = 0.995
_THREE_QUARTERS = 0.7
_SATURDAY = 5


def owed(book: Book, hours: Mapping[str, str]) -> tuple[Owed, ...]:
    """Every reminder that the records ask for now.

    hours: the person's own hour for a kind of fact, else their evening.
    """
    found: list[Owed] = []
    for tower in book.towers:
        if tower.stage in ("coming", "empty"):
            found += step_owed(tower, book, hours)
            continue
        found += (water := _water(tower, book, hours))
        found += _look(tower, water, book, hours)
        found += _change(tower, book, hours)
        found += _stage(tower, book, hours)
    if book.member.has_ec_meter and any(t.stage in (None, "growing") for t in book.towers):
        found += _calibrate(book, hours)
    return tuple(found)


def _hour(what: str, book: Book, hours: Mapping[str, str]) -> time:
    return time.fromisoformat(hours.get(what) or book.member.evening)


def _at(day: date, hour: time, book: Book) -> datetime:
    return instant(datetime.combine(day, hour), book.member.time_zone)


def _next_hour(book: Book, *, after: datetime | None = None) -> datetime:
    """The person's next morning or evening."""
    begin = max(book.now, after or book.now)
    day = book.local(begin)
    hours = sorted({time.fromisoformat(t) for t in (book.member.morning, book.member.evening)})
    slots = (_at(day + timedelta(days=n), hour, book) for n in range(3) for hour in hours)
    return next(at for at in slots if at > begin)


def _evening_before(day: date, what: str, book: Book, hours: Mapping[str, str]) -> datetime:
    """The evening before a day; once that is over, the person's next hour."""
    at = _at(day - timedelta(days=1), _hour(what, book, hours), book)
    return at if at > book.now else _next_hour(book)


def last_fill(tower: Tower, book: Book) -> Entry | None:
    """What the tank's cycle began with: the last water that went in."""
    lines = book.entries(tower.name)
    fills = [e for e in lines if e.water_added_l or e.kind == "change"]
    return fills[-1] if fills else (lines[0] if lines else None)


def _water(tower: Tower, book: Book, hours: Mapping[str, str]) -> list[Owed]:
    """The refill the evening before, and a plain alarm while the pump line is still ahead."""
    use, fill = use_of(tower, book), last_fill(tower, book)
    if use is None or fill is None:
        return []
    likely, _, _ = reaches(use, refill_mark_l(tower, book))
    dry, dry_early, _ = reaches(use, pump_line_l(tower, book))
    began = fill.id if fill.water_added_l or fill.kind == "change" else 0
    key = f"{tower.id}:{began}"
    refill = _evening_before(book.local(likely), "refill", book, hours)
    planned = refill == _at(book.local(likely) - _DAY, _hour("refill", book, hours), book)
    one = Owed(what="refill", key=f"refill:{key}", due=refill, again=True, planned=planned)
    if book.now - dry > _LONG_DRY:
        return [one]  # silent for long, at a first look: one word is enough
    alarm = _last_hour_before(dry_early - _BEFORE_DRY, book)
    warn = Owed(what="pump_line", key=f"pump_line:{key}", due=alarm, again=True,
                planned=alarm <= dry_early)  # fmt: skip
    mornings = _still_dry(tower, key, max(book.local(dry), book.local(alarm) + _DAY), book)
    # Where both would come together, the alarm says all that the refill would.
    return [warn, *mornings] if alarm <= refill else [one, warn, *mornings]


def last_read(tower: Tower, book: Book) -> Entry | None:
    """The newest level."""
    return next((e for e in reversed(book.entries(tower.name)) if e.level_l is not None), None)


def _look(tower: Tower, water: Sequence[Owed], book: Book, hours: Mapping[str, str]) -> list[Owed]:
    """One reading asked for where the level is not known any more, once after each reading.

    That is after the house's days, or sooner where the refill may fall on very different days;
    not where the top-up itself comes first.
    """
    last, today = last_read(tower, book), book.local(book.now)
    since = book.local(last.at) if last else (tower.moved_in_on or tower.set_on)
    if since is None:
        return []
    wait = book.number("unread_days") if last else _FIRST_READING_D
    day = since + timedelta(days=wait)
    use = use_of(tower, book)
    if use is not None and last is not None:
        likely, early, _ = reaches(use, refill_mark_l(tower, book))
        if likely - early >= _WIDE:
            day = min(day, max(book.local(early), since + _FRESH))
    if (today - day).days > _TOO_OLD_D:
        return []
    at = _at(day, _hour("look", book, hours), book)
    due = at if at > book.now else _next_hour(book)
    if any(one.due <= due for one in water):
        return []
    return [Owed(what="look", key=f"look:{tower.id}:{last.id if last else 0}", due=due)]


def _still_dry(tower: Tower, key: str, first: date, book: Book) -> list[Owed]:
    """Three mornings from the day that is likely, until somebody has looked: a dry tank kills in
    hours."""
    morning = time.fromisoformat(book.member.morning)
    found = []
    for number in range(_MORNINGS):
        at = _at(first + number * _DAY, morning, book)
        if at > book.now:
            again = f"pump_line:{key}:{number + 1}"
            found.append(Owed(what="pump_line", key=again, due=at, again=True, planned=True))
    return found


def _last_hour_before(at: datetime, book: Book) -> datetime:
    """The last morning or evening before a moment; the next one where that is over."""
    day = book.local(at)
    hours = sorted({time.fromisoformat(t) for t in (book.member.morning, book.member.evening)})
    slots = [_at(day - timedelta(days=n), hour, book) for n in (1, 0) for hour in hours]
    ahead = [slot for slot in slots if book.now < slot <= at]
    return ahead[-1] if ahead else _next_hour(book)


def _change(tower: Tower, book: Book, hours: Mapping[str, str]) -> list[Owed]:
    found = change_due(tower, book)
    if found is None:
        return []
    due = _evening_before(found.on, "change", book, hours)
    began = found.since.id if found.since.kind == "change" else 0
    return [Owed(what="change", key=f"change:{tower.id}:{began}", due=due, again=True)]


def _stage(tower: Tower, book: Book, hours: Mapping[str, str]) -> list[Owed]:
    """Asked 10 days after moving in, and a week later: never changed silently."""
    moved, strength = tower.moved_in_on, tower.strength
    if moved is None or strength is None or strength >= _FULL:
        return []
    ask_on = moved + timedelta(days=_FIRST_ASK_D if strength < _THREE_QUARTERS else _SECOND_ASK_D)
    if (book.local(book.now) - ask_on).days > _TOO_OLD_D:
        return []
    at = _at(ask_on, _hour("stage", book, hours), book)
    key = f"stage:{tower.id}:{moved.isoformat()}:{round(strength * 100)}"
    return [Owed(what="stage", key=key, due=at if at > book.now else _next_hour(book))]


def step_owed(tower: Tower, book: Book, hours: Mapping[str, str]) -> list[Owed]:
    """A newcomer's steps, each the evening before its day: so they come one at a time."""
    found = []
    for step in steps(tower, book):
        due = _evening_before(step.on, "step", book, hours)
        # "Are they in?" is asked once for a sowing, on whatever day that is.
        since = tower.sown_on if step.name == "moved" else step.on
        found.append(Owed(what="step", key=f"step:{tower.id}:{step.name}:{since}", due=due))
    if tower.sown_on is not None and all(":moved:" not in one.key for one in found):
        _, last = move_in_window(tower.sown_on, book)
        at = _at(last, _hour("step", book, hours), book)
        found.append(Owed(what="step", key=f"step:{tower.id}:moved:{tower.sown_on}", due=at))
    return found


def _calibrate(book: Book, hours: Mapping[str, str]) -> list[Owed]:
    """A month after the last time; who never told of one is asked twice a year, on a Saturday."""
    last = book.member.calibrated_on
    today = book.local(book.now)
    if last is not None:
        at = _at(last + timedelta(days=_CALIBRATE_D), _hour("calibrate", book, hours), book)
        due = at if at > book.now else _next_hour(book)
        return [Owed(what="calibrate", key=f"calibrate:{last.isoformat()}", due=due)]
    saturday = today + timedelta(days=(_SATURDAY - today.weekday()) % 7)
    at = _at(saturday, _hour("calibrate", book, hours), book)
    if at <= book.now:
        at = _at(saturday + timedelta(days=7), _hour("calibrate", book, hours), book)
    half = 1 if today.month <= 6 else 2
    return [Owed(what="calibrate", key=f"calibrate:{today.year}-{half}", due=at)]
