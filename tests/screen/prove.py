"""Holds 5,000 lots under every rule set to a check of each: `python -m tests.screen.prove`.

A number after it is that of the lots of each rule set; a second one is the town to begin with, so
that a long run may be done in slices; what follows are the rule sets, all of them without any.
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.screen.holding import PLACES, differences

if __name__ == "__main__":
    lots = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    begin = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    told: list[str] = []
    counts: Counter[str] = Counter()
    for seed in range(begin, begin + max(lots // 25, 1)):
        for place in sys.argv[3:] or PLACES:
            found, own = differences(seed, place, 25, swept=bool(seed % 2))
            told += found
            counts += own
    print(f"{len(told)} differences in {sum(counts.values()):,} verdicts")  # noqa: T201
    for status, count in counts.most_common():
        print(f"  {status}: {count:,}")  # noqa: T201
    print("\n".join(told[:40]))  # noqa: T201
    sys.exit(bool(told))
