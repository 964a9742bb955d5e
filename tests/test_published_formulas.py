"""Hand-worked cases of single formulas, and the proof that every formula has a case that pins it.

A formula that answers one per cent more must fail a case of `published/`, or the case is none.
"""

from __future__ import annotations

import importlib
import inspect
import re
import sys
from collections import defaultdict
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any, Final

import pytest

from checker.core.formula import FORMULAS
from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.core.units import read_amount
from checker.files.source import read_document
from tests import test_published_section, test_published_water
from tests.test_conformance import every_formula
from tests.water.published import CASES as WATER_CASES

Case = dict[str, Any]
FOLDER: Final = Path(__file__).parent / "published"
CASES: Final[list[Case]] = read_document(FOLDER / "formula-cases.yaml").data["cases"]
MORE: Final = 0.01
"""By how much a formula is wrong on purpose."""


def found_at(dotted: str) -> Any:
    module, _, name = dotted.rpartition(".")
    return getattr(importlib.import_module(f"checker.{module}"), name)


def worked(value: Any) -> Any:
    """A value of a case: amounts in SI, lists as tuples, records made."""
    if isinstance(value, dict):
        fields = {name: worked(item) for name, item in value.items() if name != "record"}
        return found_at(value["record"])(**fields)
    if isinstance(value, list):
        return tuple(worked(item) for item in value)
    if isinstance(value, str) and re.match(r"-?[\d.]", value):
        return read_amount(value).value_si
    return value


def answer(case: Case) -> Any:
    given = {name: worked(value) for name, value in case["given"].items()}
    found = found_at(case["formula"])(**given)
    match case.get("take"):
        case None:
            return found
        case int(index):
            return found[index]
        case name:
            return getattr(found, name)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["formula"])
def test_case(case: Case) -> None:
    assert answer(case) == pytest.approx(worked(case["gives"]), rel=case.get("within", 1e-4))


def test_every_case_shows_its_arithmetic() -> None:
    assert [case["formula"] for case in CASES if not case["by_hand"]] == []


def every_case() -> list[Callable[[], None]]:
    groups: list[tuple[Callable[[Case], None], list[Case]]] = [
        (test_case, CASES),
        (test_published_water.test_case, WATER_CASES),
        (test_published_section.test_case, test_published_section.CASES),
    ]
    return [partial(run, case) for run, cases in groups for case in cases]


@cache
def reached() -> dict[str, list[Callable[[], None]]]:
    """Which cases call which formula, learnt by running each of them once."""
    names = {inspect.unwrap(FORMULAS[name].function).__code__: name for name in every_formula()}
    found: dict[str, list[Callable[[], None]]] = defaultdict(list)
    for case in every_case():
        seen: set[str] = set()

        def watch(frame: Any, event: str, _: Any, seen: set[str] = seen) -> None:
            if event == "call" and frame.f_code in names:
                seen.add(names[frame.f_code])

        before = sys.getprofile()
        sys.setprofile(watch)
        try:
            case()
        finally:
            sys.setprofile(before)
        for name in seen:
            found[name].append(case)
    return found


def grown(value: Any) -> Any:
    """An answer with every number in it larger."""
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int):
        return value + 1
    if isinstance(value, float):
        return value * (1 + MORE)
    if hasattr(value, "_make"):
        return value._make(map(grown, value))
    if isinstance(value, tuple | list):
        return type(value)(map(grown, value))
    if isinstance(value, Record):
        return type(value)(
            **{name: grown(getattr(value, name)) for name in value.__struct_fields__}
        )
    return value


@pytest.mark.parametrize("name", every_formula())
def test_a_formula_that_is_one_per_cent_off_fails_a_case(name: str) -> None:
    cases = reached()[name]
    checked = FORMULAS[name].function
    closure = dict(zip(checked.__code__.co_freevars, checked.__closure__ or (), strict=True))
    plain = closure["function"].cell_contents
    closure["function"].cell_contents = lambda *args, **kwargs: grown(plain(*args, **kwargs))
    noticed = False
    try:
        for case in cases:
            try:
                case()
            except (AssertionError, CheckerError):
                noticed = True
                break
    finally:
        closure["function"].cell_contents = plain
    assert noticed, "add a case to tests/published/formula-cases.yaml, worked by hand"
