"""What another row of its group beats, held to a plain look at every two rows."""

from __future__ import annotations

import numpy as np
import pytest

from checker.solve.dominance import unbeaten


def looked_at(columns: np.ndarray, group: np.ndarray) -> list[bool]:
    """Every row beside every other one of its group; of equals the first stays."""
    found = []
    for one, own in enumerate(columns):
        others = [k for k in np.flatnonzero(group == group[one]) if k != one]
        beats = [k for k in others if (columns[k] <= own).all()]
        found.append(not any(k < one or (columns[k] < own).any() for k in beats))
    return found


@pytest.mark.parametrize("seed", range(40))
def test_whole_numbers(seed: int) -> None:
    """Few values, so that many rows are equal or beat one another; groups of every size."""
    dice = np.random.default_rng(seed)
    count, kinds = int(dice.integers(1, 200)), int(dice.integers(1, 30))
    columns = dice.integers(-4, 5, (count, int(dice.integers(1, 5)))).astype(float)
    _, group = np.unique(dice.integers(0, kinds, count), return_inverse=True)
    assert unbeaten(columns, group).tolist() == looked_at(columns, group)


@pytest.mark.parametrize("size", [256, 257, 700])
def test_a_group_of_more_rows_than_are_compared_at_once(size: int) -> None:
    dice = np.random.default_rng(size)
    columns = np.stack([dice.integers(0, 90, size), dice.integers(0, 90, size)], axis=1) * 1.0
    group = np.append(np.zeros(size, dtype=int), 1)
    columns = np.concatenate([columns, [[99.0, 99.0]]])
    assert unbeaten(columns, group).tolist() == looked_at(columns, group)


def test_what_differs_by_rounding_alone_is_equal() -> None:
    """A billionth of the largest value of the group and less is no difference."""
    near = np.array([[1.0, 2.0], [1.0 + 1e-13, 2.0], [1.0, 2.0 - 1e-13], [1.0 - 1e-6, 3.0]])
    assert unbeaten(near, np.zeros(4, dtype=int)).tolist() == [True, False, False, True]
