"""Constants of the package's own data/, each row with its source; read once."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True, slots=True, kw_only=True)
class Ion:
    """charge with its sign [-]; limiting conductivity [S cm2/eq]; atoms by symbol."""

    charge: int
    s_cm2_per_eq: float
    atoms: Mapping[str, int]


Columns = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """What the table knows of a crop; None or () where it knows nothing.

    Working ranges of pH and EC [mS/cm]; days from sowing to moving in, and from there to the first
    harvest; weeks that one plant is cut (0: taken whole); germination [%] and emergence [d] by
    temperature [C]; growing warmth [C]; `memory` names the groups of values from memory.
    """

    id: str
    name: str
    group: str
    season: str
    start_from: tuple[str, ...]
    ph: tuple[float, float]
    ec: tuple[float, float]
    seedling_d: tuple[float, float]
    port_d: tuple[float, float]
    pick_weeks: tuple[float, float]
    plants_per_plug: int
    ports: int
    place: str
    fit: str
    germination_percent: Columns
    emergence_d: Columns
    air_c: tuple[float, float] | None
    dli: tuple[float, float] | None
    source_of_germination: str
    memory: frozenset[str]

    @property
    def called(self) -> str:
        """As people say it: "butterhead lettuce", "tomato"."""
        bare = self.name.split("(")[0].split("/")[0].strip()
        kind, _, sort = bare.partition(", ")
        said = f"{sort} {kind}" if sort else bare
        return said[:1].lower() + said[1:].lower()

    @property
    def from_seed(self) -> bool:
        return "seed" in self.start_from

    @property
    def whole(self) -> bool:
        """Taken in one cut."""
        return self.pick_weeks[0] == 0


def _rows(name: str) -> list[dict[str, str]]:
    text = (files("calc") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def atomic_masses() -> dict[str, float]:
    """Symbol -> standard atomic weight [g/mol]."""
    return {row["symbol"]: float(row["g_per_mol"]) for row in _rows("elements.csv")}


@cache
def compounds() -> dict[str, dict[str, int]]:
    """Formula -> {symbol: atoms}."""
    return {row["formula"]: _atoms(row["atoms"]) for row in _rows("compounds.csv")}


@cache
def ions() -> dict[str, Ion]:
    """Symbol -> what it carries."""
    return {
        row["ion"]: Ion(
            charge=int(row["charge"]),
            s_cm2_per_eq=float(row["s_cm2_per_eq"]),
            atoms=_atoms(row["atoms"]),
        )
        for row in _rows("ions.csv")
    }


@cache
def lights() -> dict[str, float]:
    """Kind of light -> lux for each unit of PPFD [lx per umol/m2/s]."""
    return {row["light"]: float(row["lx_per_umol"]) for row in _rows("lights.csv")}


@cache
def crops() -> dict[str, Crop]:
    """Crop id -> what the table knows of it."""
    return {row["crop_id"]: _crop(row) for row in _rows("crops.csv")}


def _atoms(text: str) -> dict[str, int]:
    return {symbol: int(count) for symbol, count in (pair.split(":") for pair in text.split())}


def _crop(row: dict[str, str]) -> Crop:
    return Crop(
        id=row["crop_id"],
        name=row["name"],
        group=row["group"],
        season=row["season"],
        start_from=tuple(row["start_from"].split(";")),
        ph=_pair(row, "ph_use"),
        ec=_pair(row, "ec_use", "_mS_cm"),
        seedling_d=_pair(row, "seedling_days"),
        port_d=_pair(row, "port_days"),
        pick_weeks=_pair(row, "pick_weeks"),
        plants_per_plug=int(row["plants_per_plug"]),
        ports=int(row["ports_used"]),
        place=row["place"],
        fit=row["tower_fit"],
        germination_percent=_columns(row["germ_percent_at_degC"]),
        emergence_d=_columns(row["emergence_days_at_degC"]),
        air_c=_pair(row, "air_opt", "_degC") if row["air_opt_low_degC"] else None,
        dli=_pair(row, "dli", "_mol_m2_d") if row["dli_low_mol_m2_d"] else None,
        source_of_germination=row["germ_percent_src"],
        memory=frozenset(
            key.removesuffix("_flag")
            for key, value in row.items()
            if key.endswith("_flag") and value == "MEMORY"
        ),
    )


def _pair(row: dict[str, str], key: str, unit: str = "") -> tuple[float, float]:
    return float(row[f"{key}_low{unit}"]), float(row[f"{key}_high{unit}"])


def _columns(text: str) -> Columns:
    if not text:
        return ()
    return tuple(
        (float(at), float(value)) for at, value in (pair.split(":") for pair in text.split(";"))
    )
