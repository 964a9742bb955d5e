"""Whether rules want more or less of a table: named in a limit, wherever in it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from checker.algebra import nodes as n
from checker.algebra.tables import CountTable
from checker.core.units import Amount
from checker.rulesets.levels import GOOD, Wants

COVER, LOT = n.Named("cover"), n.Named("lot_area")
IN_A = n.Is("zone", ("A",))
MORE_COVER = n.Compare(LOT, "at most", COVER)
"""The lot may be as large as the cover: who asks this wants more of it."""


def wanted(**rules: n.Condition) -> set[int]:
    table = CountTable(name="cover", title="cover", rows=(), otherwise=None)
    found: Any = {
        name: SimpleNamespace(applies=n.always(), require=require, or_else=())
        for name, require in rules.items()
    }
    return Wants(found, {}, {"cover": table}).found["cover"]


@pytest.mark.parametrize("otherwise", [COVER, n.Share(0.5, COVER)])
def test_what_counts_where_no_case_holds_is_looked_at(otherwise: n.Number) -> None:
    choice = n.Choose((n.Case(IN_A, n.Fixed(Amount(1.0))),), otherwise)
    assert wanted(asked=n.Compare(LOT, "at most", choice)) == {GOOD}


@pytest.mark.parametrize(
    "before", [n.AnyOf((IN_A, IN_A)), n.ReadingCondition("clause", (("one", IN_A), ("two", IN_A)))]
)
def test_the_first_comparison_of_another_rule_is_found_behind_what_is_no_comparison(
    before: n.Condition,
) -> None:
    # Who asks for at least the limit of the other rule wants less of the cover, which it wants
    # more of.
    other = n.AnyOf((before, MORE_COVER))
    asked = n.Compare(LOT, "at least", n.LimitOf("other"))
    assert wanted(other=other) == {GOOD}
    assert wanted(other=other, asked=asked) == {GOOD, -GOOD}
