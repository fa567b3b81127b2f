"""How fast a tank empties and when it reaches a mark.

plain    the plain rate of the last readings
thirst   what a bed of plants drinks on an ordinal day of its life
watching what is believed of a tank after each reading (needs numpy, loaded when first used)
ahead    from there, the days until a mark, with an interval
"""

from calc.refill.plain import daily_use_l, days_to_mark, water_to_line_l

__all__ = ["daily_use_l", "days_to_mark", "water_to_line_l"]
