"""Drawings for tests: a kitchen tower in Saltmarsh, a town that does not exist; and hard cases."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from bot.records.drawings import Ahead, Bar, Chart, Drawing, Panel, Ruled, Sheet, Stripe

AS_TYPED = "$x$ a_b \\frac{1}{2} $5 and $6"
FOREIGN = "日本 🌱 a\u200db"
ENDLESS = "Oystercatcher" * 20 + " and the tide goes out again" * 60
DAYS = ("Fri", "Sat", "Sun", "Mon", "Tue", "Wed", "Thu")


def day(number: float) -> datetime:
    return datetime(2026, 11, 20, 8, tzinfo=UTC) + timedelta(days=number)


def names(count: int) -> tuple[tuple[datetime, str], ...]:
    return tuple((day(n + 0.2), f"{DAYS[n % 7]} {20 + n}") for n in range(count))


LEVELS = tuple((day(n), 16 - 1.6 * n) for n in range(5)) + tuple(
    (day(n), 16 - 1.7 * (n - 4)) for n in range(4, 8)
)
AHEAD = tuple(
    Ahead(at=day(7 + n), low=10.9 - 2.1 * n, likely=10.9 - 1.7 * n, high=10.9 - 1.3 * n)
    for n in range(4)
)
TANK = Panel(
    unit="gal",
    path=LEVELS,
    dots=LEVELS[:2] + LEVELS[3:],
    guessed=LEVELS[2:3],
    ahead=AHEAD,
    floor=0.0,
    ruled=(
        Ruled(at=16, label="full line 16"),
        Ruled(at=8, label="refill mark 8"),
        Ruled(at=3, label="pump line 3", alarm=True),
    ),
)
LEVEL = Chart(
    title="Kitchen: tank level",
    panels=(TANK,),
    ticks=names(11),
    now=(day(7), "now"),
    key=(("dot", "read"), ("guessed", "by eye"), ("likely", "likely"), ("between", "4 in 5")),
    foot="At the refill mark about Sat 28 Nov.",
    alt="The tank's level",
)
EC = tuple((day(n), 1.5 + 0.1 * (n % 5)) for n in range(9))
PH = tuple((day(n), 5.7 + 0.1 * n) for n in range(9))
READINGS = Chart(
    title="Kitchen: EC and pH",
    panels=(
        Panel(unit="EC, mS/cm", path=EC, dots=EC, stripe=Stripe(low=1.5, high=1.8, label="target")),
        Panel(unit="pH", path=PH, dots=PH, stripe=Stripe(low=5.8, high=6.3, label="5.8–6.3")),
    ),
    ticks=names(9),
    alt="EC and pH",
)
USE = Chart(
    title="Kitchen: water a day",
    panels=(
        Panel(
            unit="gal a day",
            bars=tuple(
                Bar(begins=day(n), ends=day(n + 1), value=1.4 + n % 3, label=f"{1.4 + n % 3:.1f}",
                    hot=n in (2, 5))
                for n in range(9)
            ),
        ),
    ),
    ticks=tuple((day(n + 0.5), DAYS[n % 7]) for n in range(9)),
    key=(("bar", "a day"), ("hot", "a hot day")),
    alt="Use a day",
)  # fmt: skip
LID = Sheet(
    title="Kitchen: what to add",
    intro="Measure from the full line down to the water, pump off.",
    head=("missing", "water", "A", "B"),
    rows=tuple(
        (f"{n} in", f"{1.14 * n:.4g} gal", f"{9.1 * n:.3g} mL", f"{9.1 * n:.3g} mL")
        for n in range(1, 15)
    ),
    foot=("Never pour two undiluted parts together.",),
    alt="What to add for each inch",
)
HELPER = Sheet(
    title="Kitchen: while Nessa is away",
    intro="Twice in nine days:",
    bottles=(("A", "31 mL"), ("Saltmarsh two-part, part B", "31 mL")),
    steps=("Pump off, wait 5 minutes.", "Pour 3.9 gal of water.", "Pour A, pump on 5 min, then B."),
    days=tuple(
        (f"{DAYS[n % 7]} {20 + n}", "water and feed" if n in (3, 6) else "") for n in range(9)
    ),
    foot=("Pump silent? Call Nessa.",),
    alt="What to do while Nessa is away",
)  # fmt: skip
USUAL: dict[str, Drawing] = {
    "level": LEVEL, "readings": READINGS, "use": USE, "lid": LID, "helper": HELPER,
}  # fmt: skip
HARD: dict[str, Drawing] = {
    "nothing": Sheet(title="", alt=""),
    "no reading": Chart(title="Porch", panels=(Panel(unit="gal"),), ticks=(), alt=""),
    "one dot": Chart(
        title=FOREIGN,
        panels=(Panel(unit="pH", dots=((day(0), 6.1),)),),
        ticks=names(1),
        now=(day(0), "now"),
        alt="",
    ),
    "one ahead": Chart(
        title="Porch", panels=(Panel(unit="gal", ahead=AHEAD[:1]),), ticks=names(3), alt=""
    ),
    "a flat line at zero": Chart(
        title="Porch", panels=(Panel(unit="gal", path=((day(0), 0.0), (day(3), 0.0))),),
        ticks=names(3), alt="",
    ),
    "many dots": Chart(
        title=AS_TYPED,
        panels=(
            Panel(
                unit=AS_TYPED,
                dots=tuple((day(n / 20), 8 + (n % 37) / 10) for n in range(400)),
                ruled=tuple(Ruled(at=15 + n / 4, label=f"{AS_TYPED} {n}") for n in range(3)),
            ),
            Panel(unit="pH", dots=((day(3), 6.0),)),
            Panel(unit="°C"),
        ),
        ticks=names(20),
        now=(day(19.9), "now, in the evening"),
        key=(("path", AS_TYPED), ("hot", ENDLESS)),
        foot=ENDLESS,
        alt="",
    ),
    "forty rows": Sheet(
        title=AS_TYPED, head=LID.head, rows=tuple((f"{n} in", "45.6 gal", "364 mL", "364 mL")
        for n in range(1, 41)), alt="",
    ),
    "uneven rows": Sheet(title="Porch", rows=(("x", ENDLESS), (AS_TYPED,), ()), alt=""),
    "endless": Sheet(
        title=ENDLESS, intro=ENDLESS, bottles=((FOREIGN, ENDLESS), ("C", "3 mL"), (AS_TYPED, "1")),
        steps=(ENDLESS, *["x"] * 12), days=((ENDLESS, ENDLESS), ("Mon", AS_TYPED)),
        head=(AS_TYPED, ENDLESS), rows=((ENDLESS, "1"),), foot=(ENDLESS,), alt="",
    ),
}  # fmt: skip
