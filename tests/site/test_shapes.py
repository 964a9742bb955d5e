"""Shapes of a site file against areas worked by hand, in square feet."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from checker.site.arcs import circle, line_points
from checker.site.offsets import grown, offset, strip
from tests.site.cases import area_ft2, complaints, site

PI = math.pi
SQUARE = "rectangle: {corner: [0, 0], size: [10, 10]}"


def shape_area(shape: str, more: str = "") -> float:
    text = f"surfaces:\n  - {{id: it, material: lawn, shape: {{{shape}}}}}\n{more}"
    return area_ft2(site(text).surface("it").shape)


@pytest.mark.parametrize(
    ("shape", "area"),
    [
        ("points: [[0, 0], [10, 0], [10, 20], [0, 20]]", 200),
        ("points: [[0, 0], [10, 0], [10, 20], [0, 20], [0, 0]]", 200),
        # A half circle of radius 5 on the right side: 200 + 25 pi / 2
        (
            ("points: [[0, 0], [10, 0], {at: [10, 5], turn: left, radius: 5}, [10, 15], [10, 20], "
            "[0, 20]]"),
            200 + 12.5 * PI,
        ),
        # The same, cut into the rectangle
        (
            ("points: [[0, 0], [10, 0], {at: [10, 5], turn: right, radius: 5}, [10, 15], [10, 20], "
            "[0, 20]]"),
            200 - 12.5 * PI,
        ),
        ("rectangle: {corner: [5, 5], size: [10, 20]}", 200),
        ("rectangle: {corner: [50, 5], size: [10, 20], turned: 33}", 200),
        ("rectangle: {corner: [5, 5], size: [3.048 m, 20 ft]}", 200),
        ("circle: {centre: [50, 50], radius: 10}", 100 * PI),
        ("circle: {centre: [50, 50], diameter: 20 ft}", 100 * PI),
        # Straight: 20 x 3
        ("strip: {along: [[10, 10], [30, 10]], width: 3}", 60),
        # A corner, middle line 20 + 20 long: mitred, so 40 x 3
        ("strip: {along: [[10, 10], [30, 10], [30, 30]], width: 3}", 120),
        # To the left of the line the legs are 20 - 3 and 20: (20 + 17 + 20 + 17) / 2 x 3
        ("strip: {along: [[10, 10], [30, 10], [30, 30]], width: 3, side: left}", 111),
        ("strip: {along: [[10, 10], [30, 10], [30, 30]], width: 3, side: right}", 129),
        # Along a quarter of radius 20: 3 x 20 pi / 2
        ("strip: {along: [{at: [50, 30], turn: left, radius: 20}, [30, 50]], width: 3}", 30 * PI),
        # Half a circle to the left, of radius 10, 4 wide inside: pi (100 - 36) / 2
        (
            ("strip: {along: [{at: [60, 50], turn: left, radius: 10}, [40, 50]],"
            " width: 4, side: left}"),
            32 * PI,
        ),
        (f"{SQUARE}, holes: [{{circle: {{centre: [5, 5], radius: 2}}}}]", 100 - 4 * PI),
        (f"parts: [{{{SQUARE}}}, {{rectangle: {{corner: [20, 0], size: [5, 5]}}}}]", 125),
    ],
)  # fmt: skip
def test_areas(shape: str, area: float) -> None:
    assert shape_area(shape) == pytest.approx(area, rel=1e-9)


@pytest.mark.parametrize(
    ("inner", "ring", "area"),
    [
        # (32 + 2)(16 + 2) - 32 x 16
        ("rectangle: {corner: [24, 40], size: [32, 16]}", "width: 12 in", 100),
        # Rounded corners: perimeter x width + pi width^2 = 96 + pi
        ("rectangle: {corner: [24, 40], size: [32, 16]}", "width: 1, corners: round", 96 + PI),
        # The area between circles of 11 and 10: 121 pi less 100 pi
        ("circle: {centre: [40, 40], radius: 10}", "width: 1", 21 * PI),
        # A stadium of two 20 ft lines and two half circles of radius 5, 2 ft round it:
        # 2 x 20 x 2 + pi (49 - 25)
        (
            (
                "points: [[20, 20], {at: [40, 20], turn: left, radius: 5}, [40, 30],"
                " {at: [20, 30], turn: left, middle_ordinate: 5}]"
            ),
            "width: 2",
            80 + 24 * PI,
        ),
        # L-shaped: perimeter 80, five outer corners, one inner: 80 + (5 - 1) x 1
        ("points: [[20, 20], [40, 20], [40, 30], [30, 30], [30, 40], [20, 40]]", "width: 1", 84),
    ],
)
def test_rings(inner: str, ring: str, area: float) -> None:
    text = f"""\
surfaces:
  - {{id: pool, material: pool-water, shape: {{{inner}}}}}
  - {{id: coping, material: pool-coping, shape: {{ring: {{around: pool, {ring}}}}}}}
"""
    assert area_ft2(site(text).surface("coping").shape) == pytest.approx(area, rel=1e-9)


def test_ring_round_a_ring_leaves_the_inside_free() -> None:
    """Coping 1 ft round 10 x 10, deck 4 ft round the coping: 12 x 12 - 100 and 20 x 20 - 144."""
    text = """\
surfaces:
  - {id: deck, material: wood-deck, shape: {ring: {around: coping, width: 4}}}
  - {id: coping, material: pool-coping, shape: {ring: {around: pool, width: 1}}}
  - {id: pool, material: pool-water, shape: {rectangle: {corner: [40, 40], size: [10, 10]}}}
"""
    found = site(text)
    assert area_ft2(found.surface("coping").shape) == pytest.approx(44)
    assert area_ft2(found.surface("deck").shape) == pytest.approx(256)
    assert found.surface("deck").shape.intersection(found.surface("pool").shape).area == 0


@pytest.mark.parametrize(("radius", "width"), [(10, 1), (10, 0.25), (3, 1), (2, 4), (1, 8)])
def test_ring_where_arcs_meet_lines_at_an_outer_corner(radius: float, width: float) -> None:
    """A half disc: half a ring, a band along its line, and two square corners.

    pi/2 ((r + w)^2 - r^2) + 2 r w + 2 w^2
    """
    text = f"""\
surfaces:
  - id: pool
    material: pool-water
    shape: {{points: [[{50 - radius}, 50],
      {{at: [{50 + radius}, 50], turn: left, radius: {radius}}}, [{50 - radius}, 50]]}}
  - {{id: coping, material: pool-coping, shape: {{ring: {{around: pool, width: {width}}}}}}}
"""
    exact = PI / 2 * ((radius + width) ** 2 - radius**2) + 2 * radius * width + 2 * width**2
    assert area_ft2(site(text).surface("coping").shape) == pytest.approx(exact, rel=1e-8)


def test_ring_round_a_pool_with_a_round_bite() -> None:
    """A 20 x 10 pool with a half round bite of radius 5 in its long side, 1 ft round it.

    Lines 20 + 10 + 10 + 5 + 5, six square corners of 1, half a ring of radii 5 and 4 in the bite.
    """
    text = """\
surfaces:
  - id: pool
    material: pool-water
    shape: {points: [[20, 20], [40, 20], [40, 30],
      {at: [35, 30], turn: right, radius: 5}, [25, 30], [20, 30]]}
  - {id: coping, material: pool-coping, shape: {ring: {around: pool, width: 1}}}
"""
    expected = 50 + 6 + PI / 2 * (25 - 16)
    assert area_ft2(site(text).surface("coping").shape) == pytest.approx(expected, rel=1e-8)


def test_ring_where_an_arc_meets_a_line_at_an_inner_corner_is_nearly_exact() -> None:
    """A 20 x 10 pool with a half round bay of radius 5, 1 ft round it.

    The outside is 22 x 12 and the part of a circle of radius 6 that lies more than 1 above its
    middle: 36 acos(1/6) - sqrt(35); the pool is 200 + 25 pi / 2.
    """
    text = """\
surfaces:
  - id: pool
    material: pool-water
    shape: {points: [[20, 20], [40, 20], [40, 30],
      {at: [35, 30], turn: left, radius: 5}, [25, 30], [20, 30]]}
  - {id: coping, material: pool-coping, shape: {ring: {around: pool, width: 1}}}
"""
    outside = 22 * 12 + 36 * math.acos(1 / 6) - math.sqrt(35)
    expected = outside - 200 - 12.5 * PI
    assert area_ft2(site(text).surface("coping").shape) == pytest.approx(expected, rel=5e-5)


@given(st.floats(0, 360), st.floats(3, 40), st.floats(3, 30), st.floats(0.2, 5))
def test_a_ring_round_a_turned_rectangle(turned: float, w: float, d: float, width: float) -> None:
    text = f"""\
surfaces:
  - id: a
    material: lawn
    shape: {{rectangle: {{corner: [50, 50], size: [{w}, {d}], turned: {turned}}}}}
  - {{id: b, material: lawn, shape: {{ring: {{around: a, width: {width}}}}}}}
"""
    found = site(text)
    assert area_ft2(found.surface("a").shape) == pytest.approx(w * d, rel=1e-7)
    expected = (w + 2 * width) * (d + 2 * width) - w * d
    assert area_ft2(found.surface("b").shape) == pytest.approx(expected, rel=1e-6)


@given(st.floats(0.5, 8), st.floats(0.1, 5))
def test_offset_of_a_circle_is_a_circle(radius: float, width: float) -> None:
    path = circle((1.0, 2.0), radius)
    bigger, _ = grown(path, Polygon(line_points(path, is_closed=True)), width, "square")
    assert bigger.area == pytest.approx(PI * (radius + width) ** 2, rel=1e-7)
    inner = offset(path, width, is_closed=True, corners="square")
    if width < radius - 1e-5:
        assert inner is not None
        smaller = Polygon(line_points(inner, is_closed=True))
        assert smaller.area == pytest.approx(PI * (radius - width) ** 2, rel=1e-6, abs=1e-7)
    elif width >= radius:
        assert inner is None


def test_strip_whose_inner_edge_would_fold_is_left_to_the_library() -> None:
    """A turn back whose base is shorter than the two half widths: the inner edge vanishes."""
    path = [(0.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 0.5, 0.0), (0.0, 0.5, 0.0)]
    shape, outline = strip(path, 2.0, "middle")
    assert outline is None
    # Both legs together cover 10 + 1 long and 2.5 wide.
    assert shape.area == pytest.approx(11 * 2.5, rel=1e-6)


def test_lot_lines_are_numbered_named_and_labelled() -> None:
    head = """\
format: site/1
title: t
place: nowhere
units: ft
lot:
  boundary: {points: [[0, 0], [80, 0],
    {at: [80, 100], turn: left, radius: 25}, [55, 125], [0, 125]]}
  sides: {front: [1], street: [2, 3], rear: [4]}
"""
    lot = site("surfaces: []\n", head).lot
    assert area_ft2(lot.boundary) == pytest.approx(80 * 125 - 625 + 625 * PI / 4)
    assert [(line.number, line.side, line.label) for line in lot.lines] == [
        (1, "front", "N 90°00'00\" E 80.00'"),
        (2, "street", "N 00°00'00\" E 100.00'"),
        (3, "street", "curve left R 25.00' L 39.27' Δ 90°00'00\" chord N 45°00'00\" W 35.36'"),
        (4, "rear", "N 90°00'00\" W 55.00'"),
        (5, "", "S 00°00'00\" E 125.00'"),
    ]
    street = lot.side("street")
    assert street is not None
    assert street.length / 0.3048 == pytest.approx(100 + 12.5 * PI, rel=1e-3)
    assert lot.side("nowhere") is None


def test_metric_labels() -> None:
    head = """\
format: site/1
title: t
place: nowhere
units: m
lot: {boundary: {points: [[0, 0], [30, 0], [30, 20], [0, 20]]}}
"""
    assert site("surfaces: []\n", head).lot.lines[0].label == "N 90°00'00\" E 30.000 m"


def test_all_problems_come_at_once() -> None:
    text = """\
surfaces:
  - {id: a, material: lwan, shape: {circle: {centre: [1, 1]}}, attributes: {gap: 3, hight: 2 ft}}
  - {id: b, material: lawn, shape: {ring: {around: c, width: 0}}, fixed: perhaps}
"""
    assert complaints(text) == [
        "lot.yaml:8:23: there is no material 'lwan'; did you mean 'lawn'?",
        "lot.yaml:8:45: a: a circle needs a radius or a diameter; give one",
        (
            "lot.yaml:8:82: 'gap' of a: '3' has no unit, but a length is wanted; "
            "write it like '3 in' or '3 ft'"
        ),
        "lot.yaml:8:85: 'hight' is not an attribute of a surface; did you mean 'height'?",
        "lot.yaml:9:52: b hangs on 'c', which is not a surface; use one of: a, b",
        "lot.yaml:9:62: the width of b is '0'; give a length larger than 0",
        "lot.yaml:9:74: 'fixed' of b is 'perhaps'; say yes or no",
    ]
