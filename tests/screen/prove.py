"""Holds 5,000 lots to a check of each, all rule sets in turn: `python -m tests.screen.prove`.

Every lot is judged under 10 rule sets, which take turns, so that each is tried on 500 lots or more.
Numbers after it: the lots, the rule sets of each lot, and the town to begin with, so that a long
run may be done in slices. What follows are rule sets to choose from, all of them without any.
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.screen.holding import PLACES, differences

LOTS_A_TOWN = 25
GIVEN = (5000, 10, 1000)

if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:] if text.isdigit()]
    lots, sets, begin = (*numbers, *GIVEN[len(numbers) :])
    places = [text for text in sys.argv[1:] if not text.isdigit()] or PLACES
    told: list[str] = []
    counts: Counter[str] = Counter()
    tried: Counter[str] = Counter()
    for town in range(max(lots // LOTS_A_TOWN, 1)):
        seed = begin + town
        for turn in range(min(sets, len(places))):
            place = places[((begin + town) * sets + turn) % len(places)]
            found, own = differences(seed, place, LOTS_A_TOWN, swept=bool(seed % 2))
            told += found
            counts += own
            tried[place] += LOTS_A_TOWN
            print("\n".join(found), end="\n" if found else "", flush=True)  # noqa: T201
        print(f"{(town + 1) * LOTS_A_TOWN} lots", end="\r", file=sys.stderr)  # noqa: T201
    print(f"{len(told)} differences in {sum(counts.values()):,} verdicts")  # noqa: T201
    checks, least = sum(tried.values()), min(tried.values())
    print(f"{checks:,} checks of a lot under {len(tried)} rule sets, of each {least} or more")  # noqa: T201
    for status, count in counts.most_common():
        print(f"  {status}: {count:,}")  # noqa: T201
    sys.exit(bool(told))
