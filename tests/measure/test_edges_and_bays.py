"""Edges that bands follow and bays in rows; every number by hand, lengths in metres."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import shapely

from checker.files.source import read_text
from checker.measure.bands import NoEdge, bays, edges, lawn_edges
from checker.site.read import site_of
from tests.measure.made_lots import OBLONG_M, lot_head

if TYPE_CHECKING:
    from checker.site.model import Site

SIDES = "sides: {front: [1], right: [2], rear: [3], left: [4]}"
TERRACE = """\
  - id: terrace
    material: stone-slab
    stage: proposed
    shape: {rectangle: {corner: [10, 5], size: [8, 6]}}
"""
SITE = lot_head(f"{OBLONG_M}, {SIDES}", "m") + TERRACE
# West of the terrace a house, south of it a drive; north and east of it is lawn.
AROUND = """\
  - id: house
    material: roof
    attributes: {purpose: dwelling}
    shape: {rectangle: {corner: [4, 5], size: [6, 6]}}
  - {id: drive, material: asphalt, shape: {rectangle: {corner: [10, 0], size: [8, 5]}}}
"""
DRAIN = """\
  - {id: drain, material: channel-drain, shape: {rectangle: {corner: [18, 5], size: [0.2, 6]}}}
"""
BED = """\
  - {id: bed, material: planting-bed, shape: {rectangle: {corner: [10, 11], size: [8, 4]}}}
"""


def site(more: str = "") -> Site:
    return site_of(read_text(SITE + more, "site.yaml"), Path("site.yaml"))


def ends(line: object) -> set[tuple[float, float]]:
    coords = list(line.coords)  # type: ignore[attr-defined]
    return {(round(x, 6), round(y, 6)) for x, y in (coords[0], coords[-1])}


SOUTH, EAST = {(10.0, 5.0), (18.0, 5.0)}, {(18.0, 5.0), (18.0, 11.0)}
NORTH, WEST = {(10.0, 11.0), (18.0, 11.0)}, {(10.0, 5.0), (10.0, 11.0)}


def edges_of(along: str, more: str = AROUND) -> list[set[tuple[float, float]]]:
    drawn = site(more)
    return [ends(line) for line in edges(drawn, drawn.surface("terrace"), along)]


def test_edges_beside_open_ground_come_longest_first() -> None:
    assert edges_of("") == [NORTH, EAST]
    assert edges_of("lawn") == [NORTH, EAST]
    drawn = site(AROUND)
    lawn, every = lawn_edges(drawn, [drawn.surface("terrace")])["terrace"]
    assert [ends(line) for line in lawn] == [NORTH, EAST]
    assert sorted(map(sorted, map(ends, every))) == sorted(map(sorted, (NORTH, SOUTH, EAST, WEST)))
    assert [line.length for line in every] == pytest.approx([8, 8, 6, 6])


def test_a_planting_bed_is_open_ground() -> None:
    assert edges_of("", AROUND + BED) == [NORTH, EAST]


def test_without_open_ground_every_edge_will_do_and_no_lawn_is_refused() -> None:
    full = (
        "  - {id: yard, material: asphalt, shape: {rectangle: {corner: [0, 0], size: [30, 20]}}}\n"
    )
    assert len(edges_of("", full)) == 4
    with pytest.raises(NoEdge, match="no edge of terrace lies along open ground"):
        edges_of("lawn", full)


@pytest.mark.parametrize(
    ("along", "expected"),
    [
        ("house", WEST), ("drive", SOUTH), ("drain", EAST),
        ("front", SOUTH), ("rear", NORTH), ("left", WEST), ("right", EAST),
    ],
)  # fmt: skip
def test_the_edge_nearest_what_is_named(along: str, expected: set[tuple[float, float]]) -> None:
    assert edges_of(along, AROUND + DRAIN) == [expected]


@pytest.mark.parametrize(
    ("along", "says"),
    [
        ("drain", "draw a channel drain"),
        ("house", "no surface says that it is the house"),
        ("attic", "'attic' is no edge"),
    ],
)
def test_an_edge_that_is_not_there(along: str, says: str) -> None:
    with pytest.raises(NoEdge, match=says):
        edges_of(along, "")


def test_a_round_edge_is_one_edge() -> None:
    """A half disc of radius 5 upon its diameter: the arc, in chords of 5 degrees, is one run."""
    text = SITE.replace(
        "rectangle: {corner: [10, 5], size: [8, 6]}",
        "points: ["
        + ", ".join(
            f"[{15 + 5 * math.cos(math.radians(at)):.9f}, {8 + 5 * math.sin(math.radians(at)):.9f}]"
            for at in range(0, 181, 5)
        )
        + "]",
    )
    drawn = site_of(read_text(text, "site.yaml"), Path("site.yaml"))
    found = edges(drawn, drawn.surface("terrace"), "")
    # The arc is 36 chords of 2 x 5 x sin 2.5 degrees; the diameter is 10.
    arc_m = 36 * 10 * math.sin(math.radians(2.5))
    assert [line.length for line in found] == pytest.approx([arc_m, 10.0], rel=1e-6)


def test_bays_lie_in_rows_from_the_edge() -> None:
    """8 x 6 m in bays 2 m along the edge and 1.5 m deep: four rows of four, each of 3 m2."""
    shape = shapely.box(10, 5, 18, 11)
    rows = bays(shape, shapely.LineString([(10, 5), (18, 5)]), (2.0, 1.5))
    assert [[bay.area for bay in row] for row in rows] == [[pytest.approx(3.0)] * 4] * 4
    # The first row lies along the edge.
    assert {bay.bounds[1] for bay in rows[0]} == {5.0}
    top = bays(shape, shapely.LineString([(18, 11), (10, 11)]), (2.0, 1.5))
    assert {round(bay.bounds[3], 9) for bay in top[0]} == {11.0}


def test_the_last_bays_are_what_is_left() -> None:
    """Bays of 3 x 4 m: 3, 3 and 2 m along 8 m; 4 and 2 m deep. The small ones count too."""
    shape = shapely.box(0, 0, 8, 6)
    rows = bays(shape, shapely.LineString([(0, 0), (8, 0)]), (3.0, 4.0))
    assert [[round(bay.area, 9) for bay in row] for row in rows] == [[12, 12, 8], [6, 6, 4]]
    narrow = bays(shapely.box(0, 0, 8, 0.5), shapely.LineString([(0, 0), (8, 0)]), (3.0, 4.0))
    assert [[round(bay.area, 9) for bay in row] for row in narrow] == [[1.5, 1.5, 1.0]]
    sliver = bays(shapely.box(0, 0, 3.1, 0.5), shapely.LineString([(0, 0), (3.1, 0)]), (3.0, 4.0))
    assert [[round(bay.area, 9) for bay in row] for row in sliver] == [[1.5, 0.05]]


def test_bays_beyond_number_are_refused() -> None:
    """8 m in bays of 4 mm are 2,000 in a row; one row more is too many."""
    shape = shapely.box(0, 0, 8, 1)
    edge = shapely.LineString([(0, 0), (8, 0)])
    assert len(bays(shape, edge, (0.004, 1.0))[0]) == 2000
    with pytest.raises(NoEdge, match="4,000 in number"):
        bays(shape, edge, (0.004, 0.5))
