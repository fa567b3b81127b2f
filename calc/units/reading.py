"""One option's text -> one volume, EC, strength, label rate; and a scanned quantity likewise.

Numbers that depend on the person (which gallon, how big a jug, which ppm scale) take their
`Measures`; where those do not know, the error names the readings instead of guessing.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc.errors import Ambiguous, Unreadable, within
from calc.units.factors import DROPS_PER_ML, FINGER_CM, METRIC_SPOON_ML, to_si
from calc.units.numerals import tokens
from calc.units.scanning import Item, Quantity, Word, quantity, scan

FILLER = frozenset(
    "a an the of at about around roughly approx approximately ish is it its it's now just maybe ~ "
    "like only only's say , .".split()
)
SMALLEST_VOLUME_L = 0.0001
LARGEST_VOLUME_L = 10_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """What a person's own words stand for; None = never asked."""

    gallon: str | None = None
    jug_l: float | None = None
    finger_cm: float = FINGER_CM
    drops_per_ml: float = DROPS_PER_ML
    tds_scale: int | None = None
    metric_spoons: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Volume:
    """A volume [L], > 0, and the unit it was typed in."""

    litres: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Conductivity:
    """A meter reading: EC [mS/cm at 25 C] once its scale is known, else the bare number."""

    ec_ms_per_cm: float
    typed: float
    unit: str
    scale: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """A label rate: `per_l` [mL/L] when liquid, [g/L] when `dry`."""

    per_l: float
    dry: bool
    unit: str


def only(text: str, wanted: str) -> Quantity:
    """The single quantity that makes up `text`.

    Raises
    ------
    Unreadable
        It is something else, or more than one; says what was `wanted`.
    Ambiguous
        "1,500" is a question, unlike "1.2.3", which is no number at all.
    """
    cut = tokens(text)
    found: Quantity | None = None
    at = 0
    while at < len(cut):
        try:
            read = quantity(cut, at)
        except Unreadable:
            raise Unreadable(text=text[:60], wanted=wanted) from None
        if read is None:
            if cut[at].text not in FILLER:
                raise Unreadable(text=text[:60], wanted=wanted)
            at += 1
            continue
        if found is not None:
            raise Unreadable(text=text[:60], wanted=wanted)
        found, at = read
    if found is None:
        raise Unreadable(text=text[:60], wanted=wanted)
    return found


def volume(found: Quantity, *, measures: Measures, text: str = "") -> Volume:
    """A scanned quantity as a volume; "16 g" is gallons where only a volume makes sense.

    Raises
    ------
    Ambiguous
        A gallon or a jug this person never said the size of.
    OutOfRange
        Not above 0, or above 10,000 L.
    """
    unit = {"g": "gal", "oz": "fl_oz"}.get(found.unit, found.unit)
    litres = _litres(found.number, unit, measures, text)
    within(name="volume", value=litres, low=SMALLEST_VOLUME_L, high=LARGEST_VOLUME_L, unit="L")
    return Volume(litres=litres, unit=_settled(unit, measures))


def _litres(number: float, unit: str, measures: Measures, text: str) -> float:
    if unit in ("gal", "pt", "qt"):
        if measures.gallon is None:
            raise Ambiguous(text=text or f"{number:g} {unit}", about="gallon", choices=("us", "uk"))
        gallons = {"gal": number, "qt": number / 4, "pt": number / 8}[unit]
        return to_si(gallons, f"{measures.gallon}_gal")
    if unit == "fl_oz" and measures.gallon == "uk":
        unit = "uk_fl_oz"
    if unit == "jug":
        if measures.jug_l is None:
            raise Ambiguous(text=text or f"{number:g} jugs", about="jug", choices=())
        return number * measures.jug_l
    if unit == "drop":
        return number / measures.drops_per_ml / 1000
    if measures.metric_spoons and unit in METRIC_SPOON_ML:
        return number * METRIC_SPOON_ML[unit] / 1000
    return to_si(number, unit)


def _settled(unit: str, measures: Measures) -> str:
    return f"{measures.gallon}_gal" if unit == "gal" else unit


def read_volume(text: str, *, measures: Measures) -> Volume:
    """ "16 gal", "1,5 l", "twenty-two gallon", "3 jugs", "half a gallon".

    Raises
    ------
    Unreadable, Ambiguous, OutOfRange
    """
    found = only(text, "volume")
    if found.kind not in ("volume", "mass") or found.unit in ("kg", "mg", "lb"):
        raise Unreadable(text=text[:60], wanted="volume")
    return volume(found, measures=measures, text=text)


def read_depth_cm(text: str, *, measures: Measures) -> float:
    """ "14 in", "38 cm", "3 fingers" [cm], 0 to 500."""
    found = only(text, "depth")
    if found.kind != "length":
        raise Unreadable(text=text[:60], wanted="depth")
    depth = depth_cm(found, measures=measures)
    return within(name="depth", value=depth, low=0.1, high=500, unit="cm")


def depth_cm(found: Quantity, *, measures: Measures) -> float:
    """A scanned length [cm]."""
    if found.unit == "finger":
        return found.number * measures.finger_cm
    return to_si(found.number, found.unit)


def read_conductivity(text: str, *, measures: Measures) -> Conductivity:
    """ "1.9", "1900 uS", "19 cf", "950 ppm", "950 ppm 500".

    Raises
    ------
    Unreadable
    Ambiguous
        ppm (or a bare number of 100 and more) on a scale nobody named.
    """
    words = [w for w in text.split() if w.lower().strip(":=") not in ("ec", "reads", "meter")]
    lowered = " ".join(words)
    items: list[Item] = [i for i in scan(lowered) if not (isinstance(i, Word) and i.text in FILLER)]
    if len(items) == 2 and isinstance(items[0], Word) and isinstance(items[1], Quantity):
        unit = items[0].text  # "cf 19", "ppm 950": the unit first
        if unit in ("cf", "ppm", "tds") and items[1].kind == "number":
            found = Quantity(
                kind="ec",
                number=items[1].number,
                unit="cf" if unit == "cf" else "ppm",
                start=0,
                end=len(text),
            )
            return conductivity(found, measures=measures, text=text)
    if lowered.lower().endswith(" us"):
        lowered += "/cm"
    return conductivity(only(lowered, "meter reading"), measures=measures, text=text)


def conductivity(found: Quantity, *, measures: Measures, text: str = "") -> Conductivity:
    """A scanned number as a meter reading, EC [mS/cm at 25 C].

    Notes
    -----
    1 mS/cm = 1000 uS/cm = 100 mS/m, CF = 10 EC, ppm = 500, 640 or 700 per mS/cm by the meter's
    maker (definitions). A bare number below 100 is taken as mS/cm and left to the range check.
    """
    typed = text or f"{found.number:g}"
    if found.kind not in ("ec", "number", "fraction") or found.unit == "percent":
        raise Unreadable(text=typed[:60], wanted="meter reading")
    unit = found.unit or ("ppm" if found.number >= 100 else "ms")
    if unit == "ppm":
        scale = found.scale or measures.tds_scale
        within(name="meter reading", value=found.number, low=0, high=3500, unit="ppm")
        if scale is None:
            raise Ambiguous(text=f"{found.number:g}", about="tds_scale", choices=("500", "700"))
        return Conductivity(
            ec_ms_per_cm=found.number / scale, typed=found.number, unit="ppm", scale=scale
        )
    divisor = {"ms": 1.0, "ms_m": 100.0, "us": 1000.0, "cf": 10.0}[unit]
    return Conductivity(ec_ms_per_cm=found.number / divisor, typed=found.number, unit=unit)


_STRENGTHS = {"full": 1.0, "label": 1.0, "normal": 1.0, "whole": 1.0}


def read_strength(text: str) -> float:
    """Share of the label rate: "half", "60 %", "full", "quarter strength", "0.5", 0.01 to 2."""
    kept = [
        word
        for word in scan(text)
        if not (
            isinstance(word, Word)
            and word.text in FILLER | {"strength", "rate", "label", "dose", "feed"}
        )
    ]
    if len(kept) <= 1 and (not kept or isinstance(kept[0], Word)):
        for token in tokens(text):
            if token.text in _STRENGTHS:
                return _STRENGTHS[token.text]
        raise Unreadable(text=text[:60], wanted="strength")
    first = kept[0]
    if len(kept) != 1 or not isinstance(first, Quantity):
        raise Unreadable(text=text[:60], wanted="strength")
    if first.kind not in ("fraction", "number"):
        raise Unreadable(text=text[:60], wanted="strength")
    # "60" alone can only be per cent: no feed is poured at sixty times its label.
    share = first.number / 100 if first.kind == "number" and first.number > 2 else first.number
    return within(name="strength", value=share, low=0.01, high=2.0, unit="x label")


def read_rate(text: str, *, measures: Measures) -> Rate:
    """ "2 ml per litre", "8 mL of each per gal", "0.6 g/l", "1 tsp per gallon"."""
    found = only(text, "label rate")
    if found.kind != "rate":
        raise Unreadable(text=text[:60], wanted="label rate")
    return rate(found, measures=measures, text=text)


def rate(found: Quantity, *, measures: Measures, text: str = "") -> Rate:
    """A scanned rate in mL/L or g/L."""
    above, _, below = found.unit.partition("/")
    per = _litres(1.0, below, measures, text)
    dry = above in ("g", "mg", "kg", "oz", "lb")
    amount = (
        to_si(found.number, above) if dry else _litres(found.number, above, measures, text) * 1000
    )
    value = within(
        name="label rate", value=amount / per, low=0.01, high=50, unit="g/L" if dry else "mL/L"
    )
    return Rate(per_l=value, dry=dry, unit=found.unit)


def read_amounts(text: str, *, measures: Measures) -> dict[str, float]:
    """ "A 140, B 78 ml" -> {"a": 140.0, "b": 78.0} [mL or g as the feed has it].

    Raises
    ------
    Unreadable
        When a part has no amount, or nothing pairs up.
    """
    out: dict[str, float] = {}
    name: list[str] = []
    for item in scan(text):
        if isinstance(item, Word):
            if item.text in (FILLER - {"a"}) | {"and", "+", ";", ":", "=", "part", "ml"}:
                continue
            name.append(item.text)
            continue
        if not name or item.kind not in ("volume", "mass", "number"):
            raise Unreadable(text=text[:60], wanted="amounts by part")
        if " ".join(name) in out:
            raise Unreadable(text=text[:60], wanted="amounts by part")
        out[" ".join(name)] = _part_amount(item, measures)
        name = []
    if name or not out:
        raise Unreadable(text=text[:60], wanted="amounts by part")
    return out


def _part_amount(item: Quantity, measures: Measures) -> float:
    value = item.number
    if item.kind == "volume":
        value = _litres(item.number, item.unit, measures, "") * 1000
    elif item.unit == "oz":  # of a bottle: a fluid ounce
        value = _litres(item.number, "fl_oz", measures, "") * 1000
    elif item.kind == "mass":
        value = to_si(item.number, item.unit)
    return within(name="amount", value=value, low=0, high=20_000, unit="mL")
