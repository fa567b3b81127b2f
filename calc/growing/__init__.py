"""From seed to plate: germination, how much to sow, ports, warmth summed, who can share a tank."""

from calc.growing.ports import (
    port_days_d,
    ports_for_cutting_n,
    ports_for_heads_n,
    sowing_interval_d,
    spacing_cm,
)
from calc.growing.seeds import between_columns, seeds_to_sow_n
from calc.growing.sharing import Shared, shared_range
from calc.growing.warmth import days_for_degree_days, degree_days

__all__ = [
    "Shared",
    "between_columns",
    "days_for_degree_days",
    "degree_days",
    "port_days_d",
    "ports_for_cutting_n",
    "ports_for_heads_n",
    "seeds_to_sow_n",
    "shared_range",
    "sowing_interval_d",
    "spacing_cm",
]
