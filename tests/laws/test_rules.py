"""Laws that every rule set and every drawing keep, whatever the numbers."""

from __future__ import annotations

import math
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from checker import api
from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.algebra.explain import Speaker
from checker.algebra.walk import nodes
from checker.files.source import read_text
from checker.findings.lots import DrawnLot
from checker.findings.sheet import RuleSheet
from checker.measure.arrangement import SLIVER_M2
from checker.measure.partition import partition
from checker.rulesets.english import WIDTH, describe
from checker.site.read import site_of

if TYPE_CHECKING:
    from checker.algebra.values import Quantity
    from checker.rulesets.rules import RuleSet
    from checker.site.model import Site, State

NAMES: Final = (*api.models(), *api.places())
FOOT_M2: Final = 0.3048**2


@cache
def ruleset(name: str) -> RuleSet:
    return api.load_ruleset(name)


HEAD: Final = """\
format: site/1
title: Made up for a law
place: nowhere
units: ft
rest_of_lot: lawn
none_found: [shoreline, stream, right-of-way, easement, wetland, wellhead, boulevard, slope-gentle,
  slope-steep, slope-very-steep]
lot:
  boundary: {points: [[0, 0], [80, 0], [80, 120], [0, 120]]}
  sides: {front: [1], rear: [3]}
surfaces:
  - id: house
    material: roof
    shape: {rectangle: {corner: [20, 40], size: [40, 30]}}
    attributes: {purpose: dwelling}
"""

# Quarter-foot steps, so that sums of areas are exact.
LENGTHS: Final = st.integers(4, 160).map(lambda quarters: quarters / 4)
PLACES: Final = st.tuples(
    st.integers(0, 280).map(lambda quarters: quarters / 4),
    st.integers(0, 440).map(lambda quarters: quarters / 4),
)
GROUND: Final = (
    "concrete-slab", "stone-slab", "sand-set-pavers", "permeable-paving", "gravel", "pool-water",
    "pool-coping", "planting-bed", "mulch", "artificial-turf",
)  # fmt: skip
ABOVE: Final = ("wood-deck", "tight-deck", "pergola-open", "roof")
PROVEN: Final = (
    "{infiltration_rate: 60 in/h, run_on: 0.5, ground_slope: 1 %, water_table_depth: 3 ft, "
    "washed_stone: yes, stores_toxics: no}"
)
ATTRIBUTES: Final = st.sampled_from(
    (
        "",
        "{gap: 1/4 in, board_width: 6 in, height: 7 ft}",
        "{purpose: patio, use: pedestrian, height: 9 in}",
        "{purpose: walk, use: pedestrian, base_compacted: no}",
        PROVEN,
    )
)
BOX: Final = st.tuples(st.sampled_from(GROUND + ABOVE), PLACES, LENGTHS, LENGTHS, ATTRIBUTES)


def line(name: str, box: tuple[str, tuple[float, float], float, float, str]) -> str:
    material, corner, length, width, attributes = box
    more = f", attributes: {attributes}" if attributes else ""
    shape = f"{{rectangle: {{corner: {list(corner)}, size: [{length}, {width}]}}}}"
    return f"  - {{id: {name}, material: {material}, stage: proposed, shape: {shape}{more}}}\n"


def drawn(*lines: str) -> Site:
    return site_of(read_text(HEAD + "".join(lines), "law.yaml"), Path("law.yaml"))


def counted(site: Site, name: str, table: str) -> Quantity:
    sheet = RuleSheet(ruleset(name), DrawnLot(site, ruleset(name), {}))
    found = sheet.counted(n.Named(table))
    assert isinstance(found, Counted)
    return found.total


def counts_paving_in_full(name: str, table: str) -> bool:
    """Whether a slab counts whole at any size, so that nothing below it can count more."""
    rows = ruleset(name).counts[table].rows
    if any(row.each_over_m2 is not None for row in rows):
        return False
    without = counted(drawn(), name, table)
    # A narrow slab may be a walk that some texts let go free.
    for length, width in ((20.0, 10.0), (1.0, 1.0)):
        slab = ("concrete-slab", (0.0, 0.0), length, width, "")
        with_slab = counted(drawn(line("slab", slab)), name, table)
        if not with_slab.is_certain or not math.isclose(  # noqa: TID251 - a sum of areas, no limit
            with_slab.low_si - without.low_si, length * width * FOOT_M2, rel_tol=1e-7
        ):
            return False
    return True


COVER: Final = tuple(
    (name, table)
    for name in NAMES
    for table in ruleset(name).counts
    if counts_paving_in_full(name, table)
)
TINY_M2: Final = 1e-6


def test_there_are_tables_to_test() -> None:
    assert {"alder-ferry", "maryland-critical-area", "austin-texas"} <= {name for name, _ in COVER}
    assert len(COVER) >= 20


@settings(max_examples=150)
@given(st.sampled_from(COVER), st.lists(BOX, max_size=5), PLACES, LENGTHS, LENGTHS)
def test_adding_paving_never_lowers_a_counted_area(
    of: tuple[str, str],
    boxes: list[tuple[str, tuple[float, float], float, float, str]],
    corner: tuple[float, float],
    length: float,
    width: float,
) -> None:
    lines = [line(f"s{i}", box) for i, box in enumerate(boxes)]
    slab = line("slab", ("concrete-slab", corner, length, width, ""))
    before, after = counted(drawn(*lines), *of), counted(drawn(*lines, slab), *of)
    assert after.low_si >= before.low_si - TINY_M2
    assert after.high_si >= before.high_si - TINY_M2


@settings(max_examples=150)
@given(st.sampled_from(COVER), st.lists(BOX, max_size=5), PLACES, LENGTHS, LENGTHS, ATTRIBUTES)
def test_swapping_to_permeable_never_raises_a_counted_area(
    of: tuple[str, str],
    boxes: list[tuple[str, tuple[float, float], float, float, str]],
    corner: tuple[float, float],
    length: float,
    width: float,
    attributes: str,
) -> None:
    lines = [line(f"s{i}", box) for i, box in enumerate(boxes)]
    slab = line("slab", ("concrete-slab", corner, length, width, ""))
    permeable = line("slab", ("permeable-paving", corner, length, width, attributes))
    before, after = counted(drawn(*lines, slab), *of), counted(drawn(*lines, permeable), *of)
    assert after.low_si <= before.low_si + TINY_M2
    assert after.high_si <= before.high_si + TINY_M2


@given(st.lists(BOX, max_size=7), st.sampled_from(("existing", "proposed")))
def test_partition_counts_no_square_foot_twice(
    boxes: list[tuple[str, tuple[float, float], float, float, str]], state: State
) -> None:
    site = drawn(*(line(f"s{i}", box) for i, box in enumerate(boxes)))
    found = partition(site, state)
    total = math.fsum(piece.area_m2 for piece in found.pieces)
    assert abs(total - site.lot.boundary.area) < 1e-5
    for one, other in combinations(found.pieces, 2):
        assert one.shape.intersection(other.shape).area < 10 * SLIVER_M2
    for level in ("ground", "raised", "roof"):
        own = [found.visible[item.id] for item in found.ledger if item.level == level]
        assert abs(shapely.union_all(own).area - math.fsum(s.area for s in own)) < 1e-5


BOXES_TURNED: Final = st.lists(
    st.tuples(st.sampled_from(GROUND), PLACES, LENGTHS, LENGTHS), max_size=4
)


def turned_text(
    boxes: list[tuple[str, tuple[float, float], float, float]],
    degrees: float,
    move: tuple[float, float],
) -> str:
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))

    def point(x: float, y: float) -> list[float]:
        return [x * cosine - y * sine + move[0], x * sine + y * cosine + move[1]]

    def ring(x: float, y: float, w: float, h: float) -> str:
        return str([point(x, y), point(x + w, y), point(x + w, y + h), point(x, y + h)])

    house = "attributes: {purpose: dwelling}"
    surfaces = [
        f"{{id: house, material: roof, {house}, shape: {{points: {ring(20, 40, 40, 30)}}}}}"
    ]
    surfaces += [
        f"{{id: s{i}, material: {material}, stage: proposed, shape: {{points: "
        f"{ring(*corner, length, width)}}}}}"
        for i, (material, corner, length, width) in enumerate(boxes)
    ]
    lot = f"{{boundary: {{points: {ring(0, 0, 80, 120)}}}, sides: {{front: [1], rear: [3]}}}}"
    head = HEAD.split("\nlot:")[0] + "\n"
    return head + f"lot: {lot}\nsurfaces:\n" + "".join(f"  - {item}\n" for item in surfaces)


@settings(max_examples=60)
@given(
    st.sampled_from(("alder-ferry", "toledo-ohio", "maryland-critical-area", "mill-weir")),
    BOXES_TURNED,
    st.integers(0, 359),
    st.tuples(st.integers(-500, 500), st.integers(-500, 500)),
)
def test_moving_or_turning_a_site_changes_no_area(
    name: str,
    boxes: list[tuple[str, tuple[float, float], float, float]],
    degrees: int,
    move: tuple[float, float],
) -> None:
    sites = [
        site_of(read_text(turned_text(boxes, *how), "law.yaml"), Path("law.yaml"))
        for how in ((0, (0.0, 0.0)), (degrees, move))
    ]
    regions = ("", *ruleset(name).regions)
    for table in ruleset(name).counts:
        for region in regions:
            found = []
            for site in sites:
                sheet = RuleSheet(ruleset(name), DrawnLot(site, ruleset(name), {}))
                found.append(sheet.number(n.Named(table, "", region)))
            # Corners are snapped to a grid of a tenth of a millimetre once.
            assert abs(found[0].low_si - found[1].low_si) < 0.05
            assert abs(found[0].high_si - found[1].high_si) < 0.05


@pytest.mark.parametrize("name", NAMES)
def test_every_rule_can_be_said_in_english(name: str) -> None:
    found = ruleset(name)
    text = describe(found)
    flat = " ".join(text.split())
    for rule in found.rules:
        said = Speaker(found.words, found.system).sentence(rule.require)
        assert said[0].isupper() or said[0] in "(1234567890"
        assert said.endswith(".")
        assert " ".join(said.split()) in flat
        assert rule.title in flat
        assert "_" not in said
    for table in found.counts.values():
        assert table.title in flat
    too_long = [row for row in text.splitlines() if len(row) > WIDTH and "http" not in row]
    assert not too_long


@pytest.mark.parametrize("name", NAMES)
def test_every_name_a_rule_uses_is_known(name: str) -> None:
    found = ruleset(name)
    trees = [part for rule in found.rules for part in (rule.require, rule.applies)]
    for tree in trees:
        for node in nodes(tree):
            if isinstance(node, n.Named | n.Is | n.Dated):
                assert found.words.word(node.name) is not None
