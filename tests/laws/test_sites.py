"""Whole sites: more rain, a smaller pipe or less room never betters what a rule measures."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import pytest

from checker.core.units import Amount
from tests.water.test_sites import site

Change = tuple[str, str]

ROOMS: Final = ("pipe_room", "drain_room", "floor_room", "coping_room_one_blocked")
HARMS: Final = (
    "design_overflow",
    "water_astray",
    "water_astray_one_blocked",
    "stores_emptying_time",
)
RAINS: Final[tuple[tuple[Change, ...], ...]] = tuple(
    (("design: {return_period: 10", f"design: {{return_period: {years}"),) for years in (2, 10, 100)
)
PIPES: Final[tuple[tuple[Change, ...], ...]] = tuple(
    (("diameter: 4 in", f"diameter: {inches} in"),) for inches in (6, 4, 2)
)
BEDS: Final[tuple[tuple[Change, ...], ...]] = tuple(
    (("porosity: 40 %", f"porosity: {share} %"),) for share in (45, 25, 10)
)
LITTLE: Final = 0.004
"""Two runs take their own steps, and water is known to half a per cent of what comes."""


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("two-drains", RAINS),
        ("bed-with-drain", RAINS),
        ("two-ponds", RAINS),
        ("dry-well", RAINS),
        ("two-drains", PIPES),
        ("one-low-place", PIPES),
        ("bed-with-drain", BEDS),
        ("dry-well", BEDS),
    ],
)
def test_what_is_worse_is_never_judged_better(
    name: str, changes: tuple[tuple[Change, ...], ...]
) -> None:
    found = []
    for change in changes:
        survey = site(name, *change)
        amounts = {key: survey.measured(key) for key in (*ROOMS, *HARMS)}
        found.append(
            {key: amount.value_si for key, amount in amounts.items() if isinstance(amount, Amount)}
        )
    assert all(len(values) == len(ROOMS) + len(HARMS) for values in found)
    for less, more in pairwise(found):
        for key in ROOMS:
            assert more[key] <= less[key] + LITTLE * max(1.0, abs(less[key])), key
        for key in HARMS:
            if key == "stores_emptying_time" and changes is BEDS:
                continue  # Less water in it is gone earlier.
            assert more[key] >= less[key] - LITTLE * max(1.0, abs(less[key])), key
