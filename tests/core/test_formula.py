"""Formulas keep to the range that their source gives."""

from __future__ import annotations

import numpy as np
import pytest

from checker.core.formula import FORMULAS, OutOfRange, Range, formula


@formula(source="a-manual", section="5.3", valid={"void_fraction": Range(0.30, 0.45)})
def storage_m(stone_depth_m: float, void_fraction: float) -> float:
    return stone_depth_m * void_fraction


# Taken out of the register at once: other tests walk it, in any order.
REGISTERED = FORMULAS.pop(f"{__name__}.storage_m")


def test_inside_the_range_it_answers() -> None:
    assert storage_m(2.0, 0.30) == 0.6
    assert storage_m(2.0, void_fraction=0.45) == 0.9


def test_outside_it_says_where_the_range_comes_from() -> None:
    with pytest.raises(OutOfRange) as raised:
        storage_m(2.0, 0.5)
    assert str(raised.value) == (
        "storage_m: void_fraction = 0.5 is outside 0.3 to 0.45, the range given in a-manual, 5.3"
    )


def test_arrays_are_checked_whole() -> None:
    assert Range(0.0, 1.0).holds(np.array([0.0, 1.0]))
    assert not Range(0.0, 1.0).holds(np.array([0.0, 1.5]))
    assert not Range(0.0, low_open=True).holds(0.0)


def test_nan_is_never_in_range() -> None:
    assert not Range(0.0, 1.0).holds(float("nan"))


def test_a_range_for_no_argument_is_refused() -> None:
    with pytest.raises(TypeError, match="has no argument"):
        formula(source="x", section="y", valid={"depth": Range(0, 1)})(lambda width: width)


def test_it_is_registered() -> None:
    assert REGISTERED.name == "storage_m"
    assert REGISTERED.function is storage_m
