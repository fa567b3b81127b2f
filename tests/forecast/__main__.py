"""python -m tests.forecast [--towers 200] [--first 0]: the table."""

from __future__ import annotations

import argparse

from tests.forecast.judging import PARTS, figures, judge
from tests.forecast.towers import stands


def main() -> None:
    parser = argparse.ArgumentParser(prog="tests.forecast")
    parser.add_argument("--towers", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    chosen = parser.parse_args()
    found = judge(stands(chosen.towers, chosen.first))
    print("part             count   mean  median   90 %  to best   covered  width  pinball")
    for name, belongs in PARTS.items():
        some = [case for case in found.cases if belongs(case)]
        if not some:
            continue
        one = figures(some)
        print(
            f"{name:16} {one.count:5}  {one.mean:5.2f}  {one.median:6.2f}  {one.ninety:5.2f}"
            f"  {one.ratio:7.3f}  {one.covered:8.3f}  {one.width:5.2f}  {one.pinball:7.3f}"
        )
    print(f"leaks told {found.found} of {found.leaks}, false {found.false_a_year:.2f} a tower-year")
    print(f"{found.ms:.2f} ms a forecast")


main()
