"""Counting by tables over spots without geometry: each sum is worked by hand beside its case."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from checker.algebra import nodes as n
from checker.algebra.counting import Counted, count
from checker.algebra.tables import CountRow, CountTable, Spot, Trim, WidthOf
from checker.core.units import LENGTH, Amount
from tests.algebra.scope import Scope

if TYPE_CHECKING:
    from collections.abc import Sequence

NOTHING, HALF, ALL = (n.Fixed(Amount(value)) for value in (0.0, 0.5, 1.0))
TWO_METRES = n.Fixed(Amount(2.0, LENGTH))
SLAB, DECK = n.Is("material", ("slab",)), n.Is("material", ("deck",))
LOT = Scope()


def row(where: n.Condition = SLAB, weight: n.Number = ALL, **more: Any) -> CountRow:
    return CountRow(where=where, weight=weight, otherwise=ALL, **more)


def table(*rows: CountRow, otherwise: n.Number | None = NOTHING, **more: Any) -> CountTable:
    return CountTable(name="t", title="t", rows=rows, otherwise=otherwise, **more)


def surface(name: str, material: str = "slab", **more: object) -> Scope:
    return Scope({"material": material, **more}, surface_id=name)


def ends(counted: Counted) -> tuple[float, float]:
    return counted.total.low_si, counted.total.high_si


def by_surface(counted: Counted) -> list[tuple[str, float, float]]:
    return [(item.of, item.counted.low_si, item.counted.high_si) for item in counted.contributions]


def test_small_items_are_left_out_each_by_itself() -> None:
    """5 m2 and 10 m2 are no more than 10 m2 each and are left out; 4 + 7 m2 of one are 11 m2."""
    small, just, large = surface("small"), surface("just"), surface("large")
    spots = [
        Spot(5.0, (small,)), Spot(10.0, (just,)), Spot(4.0, (large,)), Spot(7.0, (large,)),
    ]  # fmt: skip
    counted = count(table(row(each_over_m2=10.0)), spots, LOT)
    assert ends(counted) == (11.0, 11.0)
    assert by_surface(counted) == [("small", 0, 0), ("just", 0, 0), ("large", 11, 11)]
    assert [item.row for item in counted.contributions] == ["; small item", "; small item", ""]


def test_what_has_no_area_weighs_nothing() -> None:
    counted = count(
        table(row()), [Spot(0.0, (surface("line"),)), Spot(3.0, (surface("slab"),))], LOT
    )
    weights = [(item.weight.low_si, item.weight.high_si) for item in counted.contributions]
    assert weights == [(0.0, 0.0), (1.0, 1.0)]


def test_the_parts_of_a_small_item_under_another_row_are_another_matter() -> None:
    """The slab's 6 m2 are small; what the other row takes of it, 20 m2 under a deck, is not."""
    slab, deck = surface("slab"), surface("deck", "deck")
    rows = table(row(each_over_m2=10.0), row(DECK, HALF), levels="top")
    counted = count(rows, [Spot(6.0, (slab,)), Spot(20.0, (slab, deck))], LOT)
    # 0 of the slab, half of 20 of the deck.
    assert ends(counted) == (10.0, 10.0)


@pytest.mark.parametrize(
    ("levels", "expected"),
    [
        ("heaviest", (8.0, 8.0)),  # the slab below the deck counts whole
        ("top", (4.0, 4.0)),  # half of the deck
        ("ground", (8.0, 8.0)),
        ("sum", (12.0, 12.0)),  # 8 of the slab and 4 of the deck
    ],
)
def test_which_surface_over_a_spot_counts(levels: str, expected: tuple[float, float]) -> None:
    rows = table(row(), row(DECK, HALF), levels=levels)
    spot = Spot(8.0, (surface("slab"), surface("deck", "deck")))
    assert ends(count(rows, [spot], LOT)) == expected


def test_what_no_row_fits_counts_as_the_table_says_or_may_be_anything() -> None:
    gravel = [Spot(8.0, (surface("path", "gravel"),))]
    assert ends(count(table(row(), otherwise=HALF), gravel, LOT)) == (4.0, 4.0)
    silent = count(table(row(), otherwise=None), gravel, LOT)
    assert ends(silent) == (0.0, 8.0)
    assert [missing.of for missing in silent.total.missing] == ["path"]
    assert silent.contributions[0].row == "no row of the table fits"


def test_a_need_that_fails_or_is_not_known_weighs_conservatively() -> None:
    """Half of 10 m2 where the gap is a quarter inch, all of it where not, either where unknown."""
    wide = n.Compare(n.Named("gap"), "at least", n.Fixed(Amount(0.00635, LENGTH)))
    rows = table(row(DECK, HALF, needs=(wide,)))
    spots = [
        Spot(10.0, (surface("open", "deck", gap="1/4 in"),)),
        Spot(10.0, (surface("tight", "deck", gap="1/8 in"),)),
        Spot(10.0, (surface("unknown", "deck"),)),
    ]
    counted = count(rows, spots, LOT)
    assert by_surface(counted) == [("open", 5, 5), ("tight", 10, 10), ("unknown", 5, 10)]
    assert ends(counted) == (20.0, 25.0)


@pytest.mark.parametrize(
    ("area_m2", "more", "expected"),
    [
        (30.0, {"exempt_first_m2": 20.0}, 10.0),
        (15.0, {"exempt_first_m2": 20.0}, 0.0),
        (30.0, {"exempt_up_to": n.Fixed(Amount(30.0))}, 0.0),
        (31.0, {"exempt_up_to": n.Fixed(Amount(30.0))}, 1.0),
        (31.0, {"exempt_up_to": n.Fixed(Amount(30.0)), "beyond": "all"}, 31.0),
    ],
)
def test_what_is_free_of_a_row(area_m2: float, more: dict[str, Any], expected: float) -> None:
    counted = count(table(row(**more)), [Spot(area_m2, (surface("slab"),))], LOT)
    assert ends(counted) == (expected, expected)


class Cutting:
    """Cuts a spot as it is told to, and keeps what it was asked."""

    def __init__(self, *parts: tuple[float, set[int]]) -> None:
        self.parts = [(area_m2, frozenset(lost)) for area_m2, lost in parts]
        self.asked: list[list[Trim]] = []

    def __call__(self, trims: Sequence[Trim]) -> list[tuple[float, frozenset[int]]]:
        self.asked.append(list(trims))
        return self.parts


def test_a_strip_along_the_outline_does_not_count() -> None:
    """Of 20 m2 of roof 6 m2 lie in its outer two metres: 14 m2 count, by the table's first row."""
    cut = Cutting((14.0, set()), (6.0, {0}))
    spot = Spot(20.0, (surface("roof"),), split=cut)
    counted = count(table(row(drop_outer=TWO_METRES)), [spot], LOT)
    assert ends(counted) == (14.0, 14.0)
    (trims,) = cut.asked
    assert [(trim.layer, trim.strip, trim.width_m) for trim in trims] == [(0, "outer", 2.0)]
    assert trims[0].of.spots == (spot,)


def test_under_a_strip_that_does_not_count_the_surface_below_does() -> None:
    """A deck of weight one half over a slab of one quarter: 14 x 0.5 + 6 x 0.25 = 8.5 m2."""
    quarter = n.Fixed(Amount(0.25))
    cut = Cutting((14.0, set()), (6.0, {1}))
    spot = Spot(20.0, (surface("slab"), surface("deck", "deck")), split=cut)
    rows = table(row(SLAB, quarter), row(DECK, HALF, drop_inner=TWO_METRES))
    assert ends(count(rows, [spot], LOT)) == (8.5, 8.5)
    assert [(trim.layer, trim.strip) for trim in cut.asked[0]] == [(1, "inner")]


def test_a_strip_of_unknown_width_leaves_a_range() -> None:
    """Between nothing and all of 20 m2: the widest strip leaves the least."""

    def cut(trims: Sequence[Trim]) -> list[tuple[float, frozenset[int]]]:
        return [(20.0, frozenset({0} if trims else set()))]

    width = n.Named("width")
    spot = Spot(20.0, (surface("roof", width=("0 ft", "6 ft")),), split=cut)
    counted = count(table(row(drop_outer=width)), [spot], LOT)
    assert ends(counted) == (0.0, 20.0)
    assert counted.contributions[0].area_m2 == 20.0
    assert [missing.name for missing in counted.total.missing] == ["width"]


@pytest.mark.parametrize(
    ("width_of", "joined"),
    [("piece", [2, 2]), ("surface", [1, 1]), ("part", [2, 2])],
)
def test_land_is_narrow_together_or_by_itself(width_of: WidthOf, joined: list[int]) -> None:
    """Two beds that adjoin: one piece of land, unless each surface is looked at by itself."""
    cuts = [Cutting((9.0, set())), Cutting((4.0, {0}))]
    spots = [
        Spot(area_m2, (surface(name),), split=cut)
        for area_m2, name, cut in zip((9.0, 4.0), "ab", cuts, strict=True)
    ]
    rows = table(row(least_width=TWO_METRES, width_of=width_of))
    assert ends(count(rows, spots, LOT)) == (9.0, 9.0)
    assert [len(cut.asked[0][0].of.spots) for cut in cuts] == joined


@pytest.mark.parametrize(("width_of", "joined"), [("piece", 2), ("part", 1)])
def test_the_width_of_a_part_ends_with_the_region(width_of: WidthOf, joined: int) -> None:
    cut = Cutting((9.0, set()))
    inside = Spot(9.0, (surface("a"),), split=cut)
    beyond = Spot(4.0, (surface("b"),), split=Cutting((4.0, set())))
    rows = table(row(least_width=TWO_METRES, width_of=width_of))
    counted = count(rows, [inside], LOT, lambda: [inside, beyond])
    assert ends(counted) == (9.0, 9.0)
    assert len(cut.asked[0][0].of.spots) == joined


def test_what_counts_nothing_has_no_strips() -> None:
    cut = Cutting((20.0, set()))
    spot = Spot(20.0, (surface("roof"),), split=cut)
    assert ends(count(table(row(weight=NOTHING, drop_outer=TWO_METRES)), [spot], LOT)) == (0.0, 0.0)
    assert cut.asked == []
