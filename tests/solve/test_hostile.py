"""Goals and cost tables as anybody may write them: an answer or a clear message, never a crash."""

from __future__ import annotations

import copy
from contextlib import suppress
from pathlib import Path
from random import Random
from typing import Any, Final

import pytest

from checker.core.problems import BadInput, CheckerError
from checker.files.source import Document, read_text
from checker.findings.checked import judged
from checker.papers.change import text_of
from checker.site.read import site_of
from checker.solve.costs import read_costs
from checker.solve.search import least_change
from tests.solve.made import SITE_HEAD, cover_rules

VALUES: Final[tuple[Any, ...]] = (
    None, True, -1, 0, 1e308, "", "x", "5 sq ft", "5 ft", "0 in", "1e9 ft", "1e-9 in", "99.9 %",
    "patio", "lawn", [], {}, ["patio"], ["5 ft", "1 ft"], {"patio": {}}, {"lawn": {"run_on": 2}},
    "yes", "whole", "bays", "least area", "counted", "\u00e9", "a" * 200, ["house", "patio"],
)  # fmt: skip

GOAL: Final[dict[str, Any]] = {
    "find": "least cost",
    "rules": ["cover-limit"],
    "reserve": "5 sq ft",
    "conditions": "accepted",
    "may_be_removed": ["patio"],
    "as_built": {"permeable-paving": {"run_on": 1, "gap": "1/4 in"}},
    "to_be_on_file": ["letter"],
    "savings": "shown",
    "module": "6 in",
    "least_width": "3 ft",
    "surfaces": {"patio": {"change": "bays", "along": "lawn", "bay": ["10 ft", "10 ft"]}},
}
SURFACES: Final = """\
surfaces:
  - {id: house, material: roof, fixed: yes, shape: {rectangle: {corner: [5, 5], size: [50, 30]}}}
  - id: patio
    material: concrete-slab
    shape: {rectangle: {corner: [5, 50], size: [50, 20]}}
    may_become: [permeable-paving, lawn]
"""


def paths(data: Any, above: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    items = data.items() if isinstance(data, dict) else enumerate(data)
    found: list[tuple[Any, ...]] = []
    for key, value in items:
        found.append((*above, key))
        if isinstance(value, dict | list):
            found += paths(value, (*above, key))
    return found


def mutated(data: Any, rng: Random) -> Any:
    found = copy.deepcopy(data)
    path = rng.choice(paths(found))
    holder = found
    for key in path[:-1]:
        holder = holder[key]
    holder[path[-1]] = copy.deepcopy(rng.choice(VALUES))
    return found


def searched(goal: Any) -> None:
    document = read_text(SITE_HEAD + SURFACES, "lot.yaml")
    with_goal = Document(
        document.file, document.data | {"goal": goal}, document.values, document.keys
    )
    site = site_of(with_goal, Path("lot.yaml"))
    assert text_of(least_change(judged(site, cover_rules("2200 sq ft"))))


@pytest.mark.parametrize("seed", range(150))
def test_a_mutated_goal_is_searched_or_refused(seed: int) -> None:
    rng = Random(seed)
    goal = mutated(GOAL, rng)
    if seed % 3 == 0:
        goal = mutated(goal, rng) if isinstance(goal, dict) and goal else goal
    # Anything but a clear refusal fails the test.
    with suppress(CheckerError):
        searched(goal)


def test_the_goal_itself_is_fine() -> None:
    searched(GOAL)


COSTS: Final[dict[str, Any]] = {
    "format": "costs/1",
    "title": "Made up",
    "invented": "yes",
    "costs": [{"material": "lawn", "building": "$2/sq ft", "removal": "$1/m2", "note": "x"}],
}


@pytest.mark.parametrize("seed", range(60))
def test_a_mutated_cost_table_is_read_or_refused(seed: int) -> None:
    document = read_text("a: b", "costs.yaml")
    data = mutated(COSTS, Random(seed))
    with suppress(BadInput):
        read_costs(Document("costs.yaml", data, document.values, document.keys))
