"""Headings and the small words around a number."""

from typing import Final

SENTENCES: Final = {
    "screen.press_again": "That took me long. Press it once more.",
    "screen.why": "Why: {text}",
    "screen.check": "Check: {text}",
    "screen.caution": "Mind: {text}",
    "share.full": "full label rate",
    "share.half": "half label rate",
    "share.quarter": "quarter label rate",
    "share.three_quarters": "three quarters of label",
    "share.other": "{percent} % of label",
    "fraction.half": "half",
    "fraction.third": "a third",
    "fraction.two_thirds": "two thirds",
    "fraction.quarter": "a quarter",
    "fraction.three_quarters": "three quarters",
    "fraction.full": "full",
    "fraction.empty": "empty",
}
