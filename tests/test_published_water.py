"""Published and hand-worked cases of drainage, each given and compared in the units of its source.

The cases are in `published/water-cases.yaml`, their statements and slips beside them. The
calculations in `water/published_*.py` turn the inputs of a case into SI, ask the package, and turn
back; where a source used a rounded constant, the setting that stands for it is named there. The
test ids tell which cases are from memory.
"""

from __future__ import annotations

from typing import Any

import pytest

import tests.water.published_hydraulics
import tests.water.published_runoff
import tests.water.published_storage  # noqa: F401 - each registers its calculations
from tests.water.published import CALCS, CASES, Case


def case_id(case: Case) -> str:
    return "::".join([case["id"], *(["from memory"] if "memory" in case["evidence"] else [])])


def compare(name: str, found: Any, wanted: Any, case: Case) -> None:
    if isinstance(wanted, list):
        assert len(found) == len(wanted), name
        for i, (one, other) in enumerate(zip(found, wanted, strict=True)):
            compare(f"{name}[{i}]", one, other, case)
    elif isinstance(wanted, bool | str):
        assert found == wanted, name
    elif "rtol" in case:
        assert found == pytest.approx(wanted, rel=case["rtol"]), name
    else:
        assert abs(found - wanted) <= case["tol"] + 1e-12 * abs(wanted), (name, found, wanted)


@pytest.mark.parametrize("case", CASES, ids=case_id)
def test_case(case: Case) -> None:
    found = CALCS[case["calc"]](case["inputs"])
    for name, expected in case["expected"].items():
        compare(name, found[name], expected["value"], expected)


def test_every_case_has_its_own_id_and_says_where_it_is_from() -> None:
    assert len({case["id"] for case in CASES}) == len(CASES)
    words = {"read", "read in part", "from memory", "worked by hand", "library"}
    for case in CASES:
        assert case["source"]
        assert case["evidence"] in words
        if case["evidence"] == "read in part" or case.get("source_slip"):
            assert case.get("note") or case["basis"], case["id"]


def test_no_calculation_is_left_unused() -> None:
    assert set(CALCS) == {case["calc"] for case in CASES}
