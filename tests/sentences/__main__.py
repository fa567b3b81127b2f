"""`python -m tests.sentences [open|read|untouched ...]`: a line an intent, then the sums.

`learn` instead: the examples into what the bot knows of them.
"""

from __future__ import annotations

import sys
import time
from collections import Counter

from tests.sentences.judging import replies, rows, verdict, with_slips
from tests.sentences.learning import TARGET, written


def main(names: list[str]) -> None:
    """Counts right, wrong and dangerous, as typed and with a slip in every twentieth letter."""
    if names == ["learn"]:
        TARGET.write_text(written(), encoding="utf-8")
        return
    for name in names or ["open", "read", "untouched"]:
        asked = rows(name)
        for label, lines in (("as typed", asked), ("with slips", [with_slips(r) for r in asked])):
            begun = time.perf_counter()
            found = [(r, verdict(r, a)) for r, a in zip(lines, replies(lines), strict=True)]
            seconds = time.perf_counter() - begun
            total = Counter(v for _, v in found)
            share = total["right"] / len(found)
            print(f"{name}, {label}: {total['right']}/{len(found)} = {share:.3f}; "
                  f"wrong {total['wrong']}, dangerous {total['dangerous']}; "
                  f"{len(found) / seconds:.0f}/s with the answers")  # fmt: skip
            if label == "as typed":
                wrong = Counter(r["intent"] for r, v in found if v != "right")
                print("  " + ", ".join(f"{i} {n}" for i, n in wrong.most_common()))


if __name__ == "__main__":
    main(sys.argv[1:])
