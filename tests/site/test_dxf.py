"""DXF drawings: made here with ezdxf, so that what is in them is known."""

from __future__ import annotations

import itertools
import math
from pathlib import Path
from typing import Any

import ezdxf.filemanagement
import pytest

from checker.api import new_site
from checker.core.problems import BadInput
from checker.site.model import Site
from checker.site.read import read_site
from tests.site.cases import FOOT_M2, area_ft2

LOT = [(0, 0), (100, 0), (100, 100), (0, 100)]


class Drawn:
    """A drawing under way: a lot of 100 ft by 100 ft in a site file of one surface on layer A."""

    def __init__(self, folder: Path, units: int = 2) -> None:
        self.folder = folder
        self.document: Any = ezdxf.filemanagement.new("R2010", units=units)
        self.space = self.document.modelspace()
        self.space.add_lwpolyline(LOT, close=True, dxfattribs={"layer": "LOT"})

    def ring(self, points: list[Any], layer: str = "A", **how: Any) -> Any:
        attributes = {"layer": layer} | how.pop("dxfattribs", {})
        return self.space.add_lwpolyline(points, close=True, dxfattribs=attributes, **how)

    def lines(self, *points: tuple[float, float], layer: str = "A") -> None:
        for start, end in itertools.pairwise(points):
            self.space.add_line(start, end, dxfattribs={"layer": layer})

    def site(self, shape: str = "layer: A", drawing: str = "", units: str = "ft") -> Site:
        self.document.saveas(self.folder / "d.dxf")
        (self.folder / "site.yaml").write_text(
            f"""\
format: site/1
title: t
place: nowhere
units: {units}
drawing: {{file: d.dxf{drawing}}}
lot: {{boundary: {{layer: LOT}}}}
surfaces:
  - {{id: it, material: lawn, shape: {{{shape}}}}}
""",
            encoding="utf-8",
        )
        return read_site(self.folder / "site.yaml", "site.yaml")

    def area(self, shape: str = "layer: A") -> float:
        return area_ft2(self.site(shape).surface("it").shape)

    def notes(self, shape: str = "layer: A", drawing: str = "") -> list[str]:
        return [repair.says for repair in self.site(shape, drawing).repairs]

    def complaints(self, shape: str = "layer: A", drawing: str = "") -> list[str]:
        with pytest.raises(BadInput) as error:
            self.site(shape, drawing)
        return [str(problem) for problem in error.value.problems]


@pytest.fixture
def drawn(tmp_path: Path) -> Drawn:
    return Drawn(tmp_path)


@pytest.mark.parametrize(
    ("code", "metre"),
    # Codes of $INSUNITS as the DXF reference lists them: 1 inch, 2 foot, 4 mm, 5 cm, 6 m, 10 yard,
    # 21 US survey foot (1200/3937 m).
    [(1, 0.0254), (2, 0.3048), (4, 0.001), (5, 0.01), (6, 1.0), (10, 0.9144), (21, 1200 / 3937)],
)
def test_units_of_the_header(tmp_path: Path, code: int, metre: float) -> None:
    drawn = Drawn(tmp_path, units=code)
    drawn.space.delete_all_entities()
    side = 30 / metre
    drawn.ring([(0, 0), (side, 0), (side, side), (0, side)], layer="LOT")
    drawn.ring([(0, 0), (side / 3, 0), (side / 3, side / 2), (0, side / 2)])
    found = drawn.site()
    assert found.lot.boundary.area == pytest.approx(900)
    assert found.surface("it").shape.area == pytest.approx(150)


def test_no_unit_is_asked_for_with_what_would_fit(tmp_path: Path) -> None:
    """100 x 100: a lot in feet (10,000 sq ft) and in metres (10,000 m2 = 107,639 sq ft)."""
    drawn = Drawn(tmp_path, units=0)
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    assert drawn.complaints() == [
        (
            "d.dxf: the drawing does not say its unit; its largest outline would have 10,000 sq "
            "ft in "
            "'ft' or 107,639 sq ft in 'm'; say 'unit:' under 'drawing:' in the site file"
        )
    ]
    site = drawn.site(drawing=", unit: ft")
    assert area_ft2(site.lot.boundary) == pytest.approx(10_000)


def test_a_unit_of_the_site_file_wins_and_is_told(drawn: Drawn) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    assert drawn.notes(drawing=", unit: m") == [
        "the drawing says that its unit is 'ft'; the site file says 'm', which was used"
    ]


def test_bulges(drawn: Drawn) -> None:
    """A half circle of radius 5 on a 10 x 10 square: 100 + 25 pi / 2."""
    drawn.ring([(0, 0, 0), (10, 0, 1), (10, 10, 0), (0, 10, 0)], format="xyb")
    assert drawn.area() == pytest.approx(100 + 12.5 * math.pi, rel=1e-9)


def test_old_polyline_with_bulges(drawn: Drawn) -> None:
    drawn.space.add_polyline2d(
        [(0, 0, 0), (10, 0, -1), (10, 10, 0), (0, 10, 0)],
        format="xyb", close=True, dxfattribs={"layer": "A"},
    )  # fmt: skip
    assert drawn.area() == pytest.approx(100 - 12.5 * math.pi, rel=1e-9)


def test_circle_ellipse_and_solid(drawn: Drawn) -> None:
    """pi r^2 = 25 pi, pi a b = 8 pi, a solid of 4 x 4 (its points go round crosswise)."""
    drawn.space.add_circle((20, 20), 5, dxfattribs={"layer": "A"})
    drawn.space.add_ellipse((40, 20), (4, 0), 0.5, dxfattribs={"layer": "A"})
    drawn.space.add_solid([(60, 20), (64, 20), (60, 24), (64, 24)], dxfattribs={"layer": "A"})
    assert drawn.area() == pytest.approx(33 * math.pi + 16, rel=1e-9)


def test_half_ellipse_closed_by_a_line(drawn: Drawn) -> None:
    drawn.space.add_ellipse((40, 20), (8, 0), 0.5, 0, math.pi, dxfattribs={"layer": "A"})
    drawn.lines((32, 20), (48, 20))
    assert drawn.area() == pytest.approx(16 * math.pi, rel=1e-9)


def test_spline_is_told(drawn: Drawn) -> None:
    """A closed spline through eight points of a circle of radius 10 comes near it."""
    angles = [index * math.pi / 4 for index in range(9)]
    points = [(50 + 10 * math.cos(angle), 50 + 10 * math.sin(angle)) for angle in angles]
    drawn.space.add_cad_spline_control_frame(points, dxfattribs={"layer": "A"})
    assert drawn.area() == pytest.approx(100 * math.pi, rel=0.02)
    assert "1 x spline read as short lines, within 0.04 in of the curve" in drawn.notes()


def test_lines_and_arcs_in_any_order_and_direction_make_a_ring(drawn: Drawn) -> None:
    """A 20 x 10 rectangle with a corner of radius 4 rounded: 200 - 16 + 4 pi."""
    drawn.lines((20, 4), (20, 10))
    drawn.lines((0, 10), (20, 10))
    drawn.lines((0, 0), (16, 0))
    drawn.lines((0, 10), (0, 0))
    drawn.space.add_arc((16, 4), 4, -90, 0, dxfattribs={"layer": "A"})
    assert drawn.area() == pytest.approx(184 + 4 * math.pi, rel=1e-9)
    assert drawn.notes() == ["it: the layer 'A': 5 lines read as a closed outline"]


def test_small_gap_is_closed_and_told_with_its_place(drawn: Drawn) -> None:
    drawn.lines((0, 0), (10, 0), (10, 10), (0, 10), (0, 0.05))
    assert drawn.notes() == [
        (
            "it: the layer 'A': 4 lines read as a closed outline, closing a gap of 0.60 in at "
            "(0, 0.05) ft"
        )
    ]
    # The gap of 0.05 is bridged along the side itself.
    assert drawn.area() == pytest.approx(100)


def test_large_gap_is_refused_unless_the_file_allows_it(drawn: Drawn) -> None:
    drawn.lines((0, 0), (10, 0), (10, 10), (0, 10), (0, 0.5))
    assert drawn.complaints() == [
        (
            "d.dxf: it: the layer 'A': an outline is open, its ends 6.00 in apart at (0, 0.5) ft; "
            "close "
            "it; gaps up to 0.79 in are closed by themselves"
        )
    ]
    assert drawn.site(drawing=", close_gaps: 8 in").surface("it").shape.area > 0


def test_closed_but_not_flagged(drawn: Drawn) -> None:
    drawn.space.add_lwpolyline([(0, 0), (10, 0), (10, 10), (0, 0)], dxfattribs={"layer": "A"})
    assert drawn.area() == pytest.approx(50)
    assert drawn.notes() == [
        "it: the layer 'A': a line that is not flagged as closed read as a closed outline"
    ]


def test_three_lines_at_a_corner_are_not_clear(drawn: Drawn) -> None:
    drawn.lines((0, 0), (10, 0), (10, 10), (0, 0))
    drawn.lines((10, 0), (20, 0))
    (found,) = drawn.complaints()
    assert found == (
        "d.dxf: it: the layer 'A': more than two lines meet at (10, 0) ft, so the outline is not "
        "clear; draw the outline as one closed line"
    )


def test_line_drawn_twice_is_told(drawn: Drawn) -> None:
    drawn.lines((0, 0), (10, 0), (10, 10), (0, 0))
    drawn.lines((10, 0), (0, 0))
    assert drawn.area() == pytest.approx(50)
    assert "it: the layer 'A' has 1 line drawn twice; left out" in drawn.notes()


def test_hatch_with_a_hole_and_arcs(drawn: Drawn) -> None:
    """20 x 20 with a round hole of radius 3 given by its edges: 400 - 9 pi."""
    hatch = drawn.space.add_hatch(dxfattribs={"layer": "A"})
    hatch.paths.add_polyline_path([(10, 10), (30, 10), (30, 30), (10, 30)], is_closed=True, flags=1)
    hole = hatch.paths.add_edge_path(flags=16)
    hole.add_arc((20, 20), 3, 0, 180)
    hole.add_arc((20, 20), 3, 180, 360)
    assert drawn.area() == pytest.approx(400 - 9 * math.pi, rel=1e-9)


def test_hatch_of_lines_and_an_ellipse_edge(drawn: Drawn) -> None:
    hatch = drawn.space.add_hatch(dxfattribs={"layer": "A"})
    edges = hatch.paths.add_edge_path()
    edges.add_line((10, 10), (30, 10))
    edges.add_line((30, 10), (30, 20))
    edges.add_line((10, 20), (30, 20))
    edges.add_line((10, 20), (10, 10))
    assert drawn.area() == pytest.approx(200)


def test_hatch_without_a_boundary_is_told(drawn: Drawn) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    drawn.space.add_hatch(dxfattribs={"layer": "A"})
    assert "left out: 1 x hatch without a boundary" in drawn.notes()


def test_hatch_and_its_outline_are_one_area(drawn: Drawn) -> None:
    points = [(10, 10), (30, 10), (30, 30), (10, 30)]
    drawn.ring(points)
    hatch = drawn.space.add_hatch(dxfattribs={"layer": "A"})
    hatch.paths.add_polyline_path(points, is_closed=True)
    assert drawn.area() == pytest.approx(400)
    assert drawn.notes() == ["it: on the layer 'A' 1 area is drawn twice; counted once"]


def test_two_patterns_on_one_layer_may_be_two_materials(drawn: Drawn) -> None:
    for x, pattern in ((10, "ANSI31"), (40, "GRAVEL")):
        hatch = drawn.space.add_hatch(dxfattribs={"layer": "A"})
        hatch.set_pattern_fill(pattern)
        hatch.paths.add_polyline_path([(x, 10), (x + 20, 10), (x + 20, 20)], is_closed=True)
    (found,) = drawn.complaints()
    assert found == (
        "site.yaml:8:45: it: the layer 'A' may hold two materials, its hatches have the patterns "
        "ANSI31 and GRAVEL; put each on its own layer, or take one with "
        "'shape: {layer: A, pattern: ANSI31}'"
    )
    assert drawn.area("layer: A, pattern: GRAVEL") == pytest.approx(100)
    assert drawn.complaints("layer: A, pattern: GRAVLE") == [
        "site.yaml:8:45: the layer 'A' has no hatch of the pattern 'GRAVLE'; did you mean 'GRAVEL'?"
    ]


def test_outline_inside_another_is_asked_for(drawn: Drawn) -> None:
    drawn.ring([(10, 10), (30, 10), (30, 30), (10, 30)])
    drawn.ring([(15, 15), (20, 15), (20, 20), (15, 20)])
    assert drawn.complaints() == [
        (
            "site.yaml:8:45: it: on the layer 'A' one outline lies inside another, at (17.5, "
            "17.5) ft; "
            "it may be a hole; say 'nested: hole' or 'nested: filled' beside the layer"
        )
    ]
    assert drawn.area("layer: A, nested: hole") == pytest.approx(375)
    assert drawn.area("layer: A, nested: filled") == pytest.approx(400)


def test_overlapping_outlines_are_counted_once(drawn: Drawn) -> None:
    """Two squares of 10 that share 5 x 10: 150."""
    drawn.ring([(10, 10), (20, 10), (20, 20), (10, 20)])
    drawn.ring([(15, 10), (25, 10), (25, 20), (15, 20)])
    assert drawn.area() == pytest.approx(150)
    assert drawn.notes() == ["it: its areas overlap by 50 sq ft; counted once"]


@pytest.mark.parametrize(
    ("scale", "area"),
    [
        ({"xscale": 1, "yscale": 1}, 100 + 12.5 * math.pi),
        ({"xscale": 2, "yscale": 2}, 4 * (100 + 12.5 * math.pi)),
        ({"xscale": -1, "yscale": 1}, 100 + 12.5 * math.pi),
        ({"xscale": 1, "yscale": -1}, 100 + 12.5 * math.pi),
        ({"xscale": -2, "yscale": -2}, 4 * (100 + 12.5 * math.pi)),
        # Stretched in one direction: the half circle becomes half an ellipse.
        ({"xscale": 2, "yscale": 1}, 2 * (100 + 12.5 * math.pi)),
        ({"xscale": 1, "yscale": 1, "rotation": 30}, 100 + 12.5 * math.pi),
    ],
)
def test_blocks_scaled_and_mirrored(drawn: Drawn, scale: dict[str, float], area: float) -> None:
    block = drawn.document.blocks.new("B")
    block.add_lwpolyline([(0, 0, 0), (10, 0, 1), (10, 10, 0), (0, 10, 0)], format="xyb", close=True)
    drawn.space.add_blockref("B", (50, 50), dxfattribs={"layer": "A"} | scale)
    assert drawn.area() == pytest.approx(area, rel=1e-9)
    assert "blocks were unfolded: B (1)" in drawn.notes()


def test_mirrored_block_bulges_to_the_other_side(drawn: Drawn) -> None:
    block = drawn.document.blocks.new("B")
    block.add_lwpolyline([(0, 0, 0), (10, 0, 1), (10, 10, 0), (0, 10, 0)], format="xyb", close=True)
    block.add_circle((30, 5), 2)
    block.add_arc((0, 20), 3, 0, 180)
    block.add_line((3, 20), (-3, 20))
    drawn.space.add_blockref("B", (50, 50), dxfattribs={"layer": "A", "xscale": -1})
    shape = drawn.site().surface("it").shape
    west, south, east, north = (number / 0.3048 for number in shape.bounds)
    # The circle lies at 50 - 30 - 2, the arc's line ends at 50 + 3; the half disc tops out at 73.
    assert (west, south) == pytest.approx((18, 50), abs=2e-3)
    assert (east, north) == pytest.approx((53, 73), abs=2e-3)
    expected = 100 + 12.5 * math.pi + 4 * math.pi + 4.5 * math.pi
    assert area_ft2(shape) == pytest.approx(expected, rel=1e-9)


def test_block_repeated_in_rows(drawn: Drawn) -> None:
    block = drawn.document.blocks.new("B")
    block.add_lwpolyline([(0, 0), (2, 0), (2, 2), (0, 2)], close=True)
    drawn.space.add_blockref(
        "B",
        (10, 10),
        dxfattribs={
            "layer": "A",
            "row_count": 2,
            "column_count": 3,
            "row_spacing": 5,
            "column_spacing": 5,
        },
    )
    assert drawn.area() == pytest.approx(6 * 4)


def test_blocks_nested_too_deeply_and_in_themselves_are_refused(drawn: Drawn) -> None:
    block = drawn.document.blocks.new("B")
    block.add_blockref("B", (1, 1))
    drawn.space.add_blockref("B", (0, 0), dxfattribs={"layer": "A"})
    assert drawn.complaints() == [
        (
            "d.dxf: has blocks nested more than 10 deep, at the block 'B'; break the blocks up "
            "into their lines"
        )
    ]


def test_blocks_that_unfold_to_too_many_are_refused(drawn: Drawn) -> None:
    """Ten of ten of ten of ten of ten blocks are a hundred thousand."""
    names = ["B0", "B1", "B2", "B3", "B4", "B5"]
    for outer, inner in zip(names[1:], names, strict=False):
        block = drawn.document.blocks.new(outer)
        for index in range(10):
            block.add_blockref(inner, (index, 0))
    drawn.document.blocks.new("B0").add_circle((0, 0), 0.1)
    drawn.space.add_blockref("B5", (0, 0), dxfattribs={"layer": "A"})
    assert drawn.complaints() == [
        "d.dxf: unfolds to more than 20,000 blocks; save only the layers that matter"
    ]


def test_layers_that_are_off_or_frozen_are_read_and_told(drawn: Drawn) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    drawn.document.layers.add("A").off()
    assert drawn.notes() == ["the layer 'A' is off; it was read all the same"]


def test_layer_names_fold_case(drawn: Drawn) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    assert drawn.area("layer: a") == pytest.approx(50)


def test_heights_paper_space_text_and_references_are_told(drawn: Drawn) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)], dxfattribs={"elevation": 12})
    drawn.space.add_text("note", dxfattribs={"layer": "A"})
    drawn.document.layout("Layout1").add_line((0, 0), (1, 1))
    drawn.document.add_xref_def("neighbour.dwg", "NEIGHBOUR")
    drawn.space.add_blockref("NEIGHBOUR", (0, 0))
    drawn.space.add_blockref("LOST", (0, 0))
    assert drawn.notes() == [
        "the block 'LOST' is used but not defined; nothing of it is counted",
        (
            "the drawing refers to another one, 'neighbour.dwg', which was not read; put its "
            "lines into this file if any of them counts"
        ),
        "1 x height (z) passed over; only the plan was read",
        "1 thing on a sheet layout passed over; only what is drawn at true size is read",
    ]


def test_tilted_things_are_left_out_and_told(drawn: Drawn) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    drawn.ring([(0, 0), (10, 0), (10, 10)], dxfattribs={"extrusion": (0, 1, 0)})
    assert drawn.notes() == ["left out: 1 x polyline in a tilted plane"]


def test_layers_nobody_mentions_are_told(drawn: Drawn) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    drawn.ring([(50, 50), (60, 50), (60, 60)], layer="SHED")
    assert drawn.notes() == ["the layer 'SHED' (1 polyline) is not used; nothing on it is counted"]
    # Who reviews the file must see what somebody left out.
    assert drawn.notes(drawing=", layers: {SHED: ignore}") == [
        "the layer 'SHED' (1 polyline) lies on the lot and is ignored"
    ]


@pytest.mark.parametrize(
    ("layers", "says"),
    [
        (
            "SHED: roof",
            (
                "the layer 'SHED' is said to be 'roof', but no shape refers to it; add one with "
                "'shape: {layer: SHED}', or say 'ignore'"
            ),
        ),
        ("A: ignore", "the layer 'A' is to be ignored, but it refers to it"),
        ("A: lot", "the layer 'A' is said to be the lot, but it refers to it"),
        ("HSED: roof", "the drawing d.dxf has no layer 'HSED'; did you mean 'SHED'?"),
        (
            "SHED: rof",
            (
                "'rof' is no material, no kind of feature, and not lot, easement or ignore; did "
                "you mean 'roof'?"
            ),
        ),
        (
            "A: roof",
            (
                "it is 'lawn', but the table of layers says that 'A' is 'roof'; put each material "
                "on "
                "its own layer, or correct one"
            ),
        ),
    ],
)
def test_the_table_of_layers_is_held_to_the_shapes(drawn: Drawn, layers: str, says: str) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    drawn.ring([(50, 50), (60, 50), (60, 60)], layer="SHED")
    assert says in [
        c.split(": ", 1)[1] for c in drawn.complaints(drawing=f", layers: {{{layers}}}")
    ]


def test_layer_that_is_not_there(drawn: Drawn) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)], layer="PATIO")
    assert drawn.complaints("layer: PATOI") == [
        "site.yaml:8:45: the drawing d.dxf has no layer 'PATOI'; did you mean 'PATIO'?"
    ]


def test_layer_without_areas(drawn: Drawn) -> None:
    drawn.space.add_text("x", dxfattribs={"layer": "A"})
    assert drawn.complaints() == [
        (
            "site.yaml:8:45: it: the layer 'A' holds no area (1 text); draw closed outlines, or "
            "name "
            "another layer"
        )
    ]


def test_self_crossing_outline(drawn: Drawn) -> None:
    """A bow tie of two triangles of 25; its edges cross at (5, 5)."""
    drawn.ring([(0, 0), (10, 10), (10, 0), (0, 10)])
    (found,) = drawn.complaints()
    assert "crosses itself at (5, 5) ft" in found
    assert drawn.area("layer: A, repair: overlap-open") == pytest.approx(50)


def test_damaged_file_is_read_with_a_note_or_refused(drawn: Drawn, tmp_path: Path) -> None:
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    drawn.site()
    file = tmp_path / "d.dxf"
    file.write_text("0\nSECTION\n2\nnonsense", encoding="ascii")
    with pytest.raises(BadInput):
        read_site(tmp_path / "site.yaml", "site.yaml")
    file.write_bytes(b"\x00\xff" * 200)
    with pytest.raises(BadInput, match="is no DXF file"):
        read_site(tmp_path / "site.yaml", "site.yaml")


def test_survey_feet_are_told_apart(tmp_path: Path) -> None:
    """10,000 square survey feet are 10,000.04 square feet (2 parts in a million, twice)."""
    drawn = Drawn(tmp_path, units=21)
    drawn.ring([(0, 0), (10, 0), (10, 10)])
    assert drawn.site().lot.boundary.area / FOOT_M2 == pytest.approx(10_000.04, abs=0.001)


def rectangle(x: float, y: float, width: float, depth: float) -> list[tuple[float, float]]:
    return [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)]


def hatch(drawn: Drawn, *rings: list[tuple[float, float]]) -> None:
    found = drawn.space.add_hatch(dxfattribs={"layer": "A"})
    for ring in rings:
        found.paths.add_polyline_path(ring, is_closed=True)


DECK = rectangle(10, 62, 48, 28)
POOL = rectangle(17, 68, 34, 18)


def test_outline_and_hatch_with_an_island_are_one_deck(drawn: Drawn) -> None:
    """48 by 28 = 1,344 sq ft, less the island of 34 by 18 = 612: the deck has 732."""
    drawn.ring(DECK)
    hatch(drawn, DECK, POOL)
    assert drawn.area() == pytest.approx(732)
    assert drawn.notes() == [
        (
            "it: on the layer 'A' the outline (1,344 sq ft) and its hatch (732 sq ft) are one area "
            "of 732 sq ft; 1 island is a hole"
        )
    ]


def test_the_island_may_be_drawn_once_more_as_an_outline(drawn: Drawn) -> None:
    drawn.ring(DECK)
    drawn.ring(POOL)
    hatch(drawn, DECK, POOL)
    assert drawn.area() == pytest.approx(732)


def test_two_hatches_that_fill_one_outline_together(drawn: Drawn) -> None:
    """Left and right half, each 24 by 28, the right one with an island of 10 by 10: 1,244."""
    drawn.ring(DECK)
    hatch(drawn, rectangle(10, 62, 24, 28))
    hatch(drawn, rectangle(34, 62, 24, 28), rectangle(40, 70, 10, 10))
    assert drawn.area() == pytest.approx(1244)


def test_hatch_of_a_part_of_an_outline_is_asked(drawn: Drawn) -> None:
    drawn.ring(DECK)
    hatch(drawn, rectangle(10, 62, 24, 28))
    assert "a hatch (672 sq ft) fills a part of an outline (1,344 sq ft)" in drawn.complaints()[0]
    assert drawn.area("layer: A, nested: filled") == pytest.approx(1344)
    assert "it cannot be a hole" in drawn.complaints("layer: A, nested: hole")[0]


def test_hatch_beside_an_outline_is_another_area(drawn: Drawn) -> None:
    drawn.ring(rectangle(0, 0, 10, 10))
    hatch(drawn, rectangle(20, 0, 10, 10))
    assert drawn.area() == pytest.approx(200)


def test_faces_are_areas_and_upright_ones_are_passed_over(drawn: Drawn) -> None:
    """Two triangles of 10 by 10 / 2, and an upright face; the drawing is sound."""
    on = {"layer": "A"}
    drawn.space.add_3dface([(0, 0, 1), (10, 0, 2), (0, 10, 1)], dxfattribs=on)
    drawn.space.add_3dface([(10, 0, 2), (10, 10, 1), (0, 10, 1)], dxfattribs=on)
    drawn.space.add_3dface([(0, 0, 0), (10, 0, 0), (10, 0, 5), (0, 0, 5)], dxfattribs=on)
    assert drawn.area() == pytest.approx(100)
    assert not any("damaged" in note for note in drawn.notes())


def test_a_drawing_may_be_counted_from_a_place_of_its_own(tmp_path: Path) -> None:
    drawn = Drawn(tmp_path)
    drawn.ring([(20, 30), (40, 30), (40, 50), (20, 50)])
    plain = drawn.site()
    moved = drawn.site(drawing=", origin: [20, 30]")
    # 1 ft is 0.3048 m; the ring began at 20, 30 of the drawing.
    assert moved.surface("it").shape.bounds == pytest.approx((0, 0, 6.096, 6.096))
    assert moved.lot.boundary.bounds == pytest.approx((-6.096, -9.144, 24.384, 21.336))
    assert moved.lot.boundary.area == pytest.approx(plain.lot.boundary.area)
    # In metres of the file the origin is still counted as the drawing counts.
    assert drawn.site(drawing=", origin: [20, 30]", units="m").surface("it").shape.bounds == (
        pytest.approx((0, 0, 6.096, 6.096))
    )


def test_a_drawing_on_a_grid_of_the_country_starts_at_its_corner(tmp_path: Path) -> None:
    east, north = 2184310.25, 712045.6
    drawn = Drawn(tmp_path)
    drawn.space.delete_all_entities()
    drawn.ring([(east + x, north + y) for x, y in LOT], layer="LOT")
    drawn.document.saveas(tmp_path / "d.dxf")
    site, _ = new_site(tmp_path / "lot.yaml", drawing=tmp_path / "d.dxf")
    text = site.read_text(encoding="utf-8")
    assert "  origin: [2184310, 712045]\n" in text
    assert "#   1: from [0.25, 0.6] N 90°00'00\" E 100.00'" in text
    x, y, *_ = read_site(site, "lot.yaml").lot.boundary.bounds
    assert (x, y) == pytest.approx((0.25 * 0.3048, 0.6 * 0.3048), abs=1e-6)
