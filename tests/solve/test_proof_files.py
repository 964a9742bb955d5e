"""Random lots as people draw them: what is told of a change is what its file says."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.solve.lots import file_lot
from tests.solve.prove_files import prove

SEEDS = range(12)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_told_is_what_is_written(seed: int, tmp_path: Path) -> None:
    assert prove(seed, tmp_path, Counter()) == []


def test_the_lots_are_of_every_kind() -> None:
    texts = [file_lot(seed).text for seed in range(300)]
    for what in (
        "holes", "turn: left", "circle", "strip", "parts", "turned", "order:", "was:", "ring",
        "units: m", "units: us survey", "change: whole", "bay:", "may_be_removed", "savings",
        "costs.yaml", "least_width", "as_built", "attributes", "stage: proposed", "panels:",
    ):  # fmt: skip
        assert sum(what in text for text in texts) > 15, what
