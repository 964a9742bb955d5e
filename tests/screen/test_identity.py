"""A screening says of each lot what a check of it alone says, under every rule set that ships."""

from __future__ import annotations

import pytest

from tests.screen.holding import PLACES, differences

# `python -m tests.screen.prove 5000` goes the whole way.
SEEDS = (3, 4)


@pytest.mark.parametrize("place", PLACES)
def test_every_lot_is_judged_as_by_itself(place: str) -> None:
    for seed in SEEDS:
        told, _ = differences(seed, place, 4, swept=bool(seed % 2))
        assert told == []


def test_the_comparison_can_fail_and_sees_every_status() -> None:
    """Over some rule sets every status occurs, so that the sample is no run of one verdict."""
    seen = set()
    for place in ("reed-mere", "hollin-mere", "mill-weir", "sallow-cove", "weston-florida"):
        for seed in range(6):
            seen |= set(differences(seed, place, 4, swept=False)[1])
    assert {"passes", "fails", "cannot tell", "unanswered", "does not apply"} <= seen
