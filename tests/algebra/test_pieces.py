"""What a number is made of piece by piece, and which of it a change can move."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from checker.algebra import nodes as n
from checker.algebra.constrain_numbers import NumberRows
from checker.algebra.constrain_pieces import Segment
from checker.algebra.linear import Linear
from checker.core.units import Amount


@pytest.mark.parametrize(
    ("low", "high", "is_reached"),
    [(9, 12, True), (10 + 1e-9, 12, True), (10.5, 12, False), (-3, -1e-10, True), (-3, -1, False)],
)
def test_a_piece_is_reached_up_to_its_ends_and_no_further(
    low: float, high: float, *, is_reached: bool
) -> None:
    assert Segment(0.0, 10.0, Linear()).reaches(low, high) is is_reached


@pytest.mark.parametrize(
    ("limit", "varies"),
    [(None, False), (n.Fixed(Amount(3.0)), False), (n.Named("deck"), True)],
)
def test_the_limit_of_a_rule_varies_with_what_it_is_made_of(
    limit: n.Number | None, *, varies: bool
) -> None:
    terms: Any = SimpleNamespace(
        limit=lambda _rule: limit,
        definition=lambda _name: None,
        varies=lambda named: named.name == "deck",
    )
    rows: Any = None
    lot: Any = None
    assert NumberRows(rows, terms, lot).varies(n.LimitOf("other")) is varies
