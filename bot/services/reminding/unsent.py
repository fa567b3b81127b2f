"""What could not be sent: each with the reason, to be sent again or let go."""

from __future__ import annotations

from collections.abc import Sequence

from bot.errors import Refusal
from bot.records.answer import Answer, Line, Offer, line
from bot.records.book import Book
from bot.records.changes import Change, LeaveOut, Resend
from bot.records.questions import Reminders
from bot.records.reminders import NOTE, Unsent
from bot.services.reminding.spoken import moment_line

_PAGE = 8


def unsent(question: Reminders, book: Book) -> Answer:
    """One's own, for a coach everybody's; or what was chosen for some of them.

    Raises
    ------
    Refusal
        They were settled meanwhile.
    """
    there = book.reminding.unsent
    if question.again or question.leave:
        return _settled(question, there)
    page = int(question.page) - 1 if question.page and question.page.isdecimal() else 0
    page = max(0, min(page, (len(there) - 1) // _PAGE))
    shown = list(enumerate(there, 1))[page * _PAGE : (page + 1) * _PAGE]
    if not shown:
        return Answer(outcome="answer", intent="reminder", do=(line("unsent.none"),))
    more = len(there) > (page + 1) * _PAGE
    return Answer(
        outcome="answer",
        intent="reminder",
        do=(
            line("unsent.head", count=len(there)),
            *(_row(number, one, book) for number, one in shown),
        ),
        check=_doubtful(there),
        offers=(
            *(_send(line("button.send_number", number=n), [one]) for n, one in shown),
            *((_more(page + 2),) if more else ()),
            *((_send(line("button.send_all"), there),) if len(there) > 1 else ()),
            Offer(label=line("button.leave_out"),
                  question=Reminders(where="unsent", leave=_numbers(there))),
        ),
    )  # fmt: skip


def _settled(question: Reminders, there: Sequence[Unsent]) -> Answer:
    chosen = (question.again or question.leave or "").split(",")
    ids = tuple(one.debt_id for one in there if str(one.debt_id) in chosen)
    if not ids:
        raise Refusal("bad.debt_gone", outcome="refuse")
    change: Change = Resend(debt_ids=ids) if question.again else LeaveOut(debt_ids=ids)
    said = line("unsent.sending" if question.again else "unsent.left", count=len(ids))
    return Answer(outcome="answer", intent="reminder", do=(said,), changes=(change,))


def _row(number: int, one: Unsent, book: Book) -> Line:
    return line("unsent.row", number=number, what=(_what(one),), at=(moment_line(one.due, book),),
                why=(line(f"unsent.why_{one.reason}"),))  # fmt: skip


def _what(one: Unsent) -> Line:
    """Of somebody else's only the kind: what they wrote is theirs."""
    if one.room:
        return line("unsent.room", text=one.text)
    if one.mine:
        own = line("button.tower", name=one.text)
        return own if one.what == NOTE else line(f"fact.{one.what}")
    kind = line("unsent.note" if one.what == NOTE else f"fact.{one.what}")
    return line("unsent.of", name=one.name, what=(kind,))


def _doubtful(there: Sequence[Unsent]) -> tuple[Line, ...]:
    doubtful = any(one.reason in ("unclear", "restored") for one in there)
    return (line("unsent.look_first"),) if doubtful else ()


def _send(label: Line, which: Sequence[Unsent]) -> Offer:
    return Offer(label=label, question=Reminders(where="unsent", again=_numbers(which)))


def _more(page: int) -> Offer:
    return Offer(label=line("button.more"), question=Reminders(where="unsent", page=str(page)))


def _numbers(which: Sequence[Unsent]) -> str:
    return ",".join(str(one.debt_id) for one in which)
