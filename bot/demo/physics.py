"""What happens in a tank from hour to hour: water and salts by mass balance, pH, temperature.

This is the town's truth, by which forecasts will be judged, so it shares no arithmetic with them.
EC counts as proportional to the salts dissolved (good to about 5 %, value from memory); `salts` is
their amount in mS/cm x L.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

RAIN_EC: Final = 0.03  # [mS/cm], near a coast; value from memory
FRESH_PH: Final = 6.0  # of newly mixed solution
STALE_PH: Final = 7.3  # where the alkalinity of the tap takes an uncorrected tank
TAP_C: Final = 15.0
DREGS: Final = 0.04  # of the tank: below the pump's inlet, out of every root's reach
_PH_PER_HOUR: Final = 0.0022
_WARMS_PER_HOUR: Final = 0.08
_NEVER_BELOW_C: Final = 3.0  # ground and pump keep a tank on a mild coast from freezing


@dataclass(frozen=True, slots=True, kw_only=True)
class Hour:
    """What one hour asks of a tank: litres, C, and salts taken per salts in the water drunk."""

    thirst_l: float
    evaporation_l: float
    air_c: float
    rain_l: float = 0.0
    leak_l: float = 0.0
    uptake: float = 0.92


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """A tank's solution: litres, salts in mS/cm x L, pH, C."""

    level_l: float
    salts: float
    ph: float = FRESH_PH
    water_c: float = TAP_C

    @property
    def ec(self) -> float:
        """[mS/cm]"""
        return self.salts / self.level_l if self.level_l > 0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """What really moved in one hour, [L], and the salts with it, [mS/cm x L]."""

    drunk_l: float
    evaporated_l: float
    leaked_l: float
    rained_l: float
    spilled_l: float
    salts_taken: float
    salts_lost: float
    salts_rained: float


def flow(water: Water, hour: Hour, tank_l: float) -> Flow:
    """What moves in an hour: plants first, then the air, a leak, rain; the surplus spills."""
    left_l = max(0.0, water.level_l - DREGS * tank_l)
    drunk_l = min(hour.thirst_l, left_l)
    evaporated_l = min(hour.evaporation_l, left_l - drunk_l)
    leaked_l = min(hour.leak_l, left_l - drunk_l - evaporated_l)
    stays_l = water.level_l - drunk_l - evaporated_l - leaked_l
    salts_taken = min(water.salts, drunk_l * water.ec * hour.uptake)
    salts_leaked = min(water.salts - salts_taken, leaked_l * water.ec)
    spilled_l = max(0.0, stays_l + hour.rain_l - tank_l)
    salts_rained = hour.rain_l * RAIN_EC
    mixed = water.salts - salts_taken - salts_leaked + salts_rained
    salts_spilled = mixed * spilled_l / (stays_l + hour.rain_l) if spilled_l else 0.0
    return Flow(
        drunk_l=drunk_l,
        evaporated_l=evaporated_l,
        leaked_l=leaked_l,
        rained_l=hour.rain_l,
        spilled_l=spilled_l,
        salts_taken=salts_taken,
        salts_lost=salts_leaked + salts_spilled,
        salts_rained=salts_rained,
    )


def after(water: Water, hour: Hour, moved: Flow) -> Water:
    """The tank an hour later."""
    gone_l = moved.drunk_l + moved.evaporated_l + moved.leaked_l + moved.spilled_l
    return Water(
        level_l=water.level_l - gone_l + moved.rained_l,
        salts=water.salts - moved.salts_taken - moved.salts_lost + moved.salts_rained,
        ph=water.ph + (STALE_PH - water.ph) * _PH_PER_HOUR,
        water_c=water.water_c + (max(_NEVER_BELOW_C, hour.air_c) - water.water_c) * _WARMS_PER_HOUR,
    )


def poured(water: Water, *, litres: float, water_ec: float, salts: float) -> Water:
    """After someone adds `litres` of water of `water_ec` and feed worth `salts`."""
    level_l = water.level_l + litres
    old, new = water.level_l / level_l, litres / level_l
    return Water(
        level_l=level_l,
        salts=water.salts + litres * water_ec + salts,
        ph=water.ph * old + (FRESH_PH + 0.3) * new,
        water_c=water.water_c * old + TAP_C * new,
    )


def corrected(water: Water, ph: float) -> Water:
    """After a pH correction; the drops add no water to speak of."""
    return Water(level_l=water.level_l, salts=water.salts, ph=ph, water_c=water.water_c)
