"""What acid does to the alkalinity of a water.

For checks and for words ("hard water: expect it to climb back"). People correct pH by the jug test
alone: nothing here is a dose.

water     constants, dissolved carbon, protons that an acid gives
closed    right after the acid
open_air  hours later, in an open tower
working   constants at a temperature and strength, for these three
"""
