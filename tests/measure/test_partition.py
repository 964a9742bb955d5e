"""Every square foot once: overlaps, what lies over what, and regions. Areas worked by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from checker.core.problems import BadInput
from checker.core.units import same
from checker.files.source import read_text
from checker.measure.arrangement import NotConserved
from checker.measure.partition import Partition, partition
from checker.site.read import site_of
from tests.measure.made_lots import lot_head, square_ft

FOOT_M2 = 0.3048**2
HEAD = lot_head(square_ft())


def box(name: str, material: str, x: float, y: float, w: float, h: float, more: str = "") -> str:
    shape = f"{{rectangle: {{corner: [{x}, {y}], size: [{w}, {h}]}}}}"
    return f"  - {{id: {name}, material: {material}, shape: {shape}{more}}}\n"


def cut(*surfaces: str, state: str = "proposed", tail: str = "") -> Partition:
    site = site_of(read_text(HEAD + "".join(surfaces) + tail, "x.yaml"), Path("x.yaml"))
    return partition(site, state)  # type: ignore[arg-type]


def visible(found: Partition) -> dict[str, float]:
    return {line.id: round(line.visible_m2 / FOOT_M2, 6) for line in found.ledger}


def test_the_higher_precedence_takes_the_overlap() -> None:
    # A path of 10 x 30 crosses a terrace of 20 x 20 over 10 x 20; coping round a pool likewise.
    found = cut(box("path", "gravel", 5, 0, 10, 30), box("terrace", "concrete-slab", 0, 5, 20, 20))
    assert visible(found) == {"path": 100, "terrace": 400}
    path = found.ledger[0]
    assert same(path.displaced_m2 / FOOT_M2, 200)
    assert {k: round(v / FOOT_M2, 6) for k, v in path.displaced_by.items()} == {"terrace": 200}


def test_the_file_can_say_otherwise() -> None:
    surfaces = (
        box("path", "gravel", 5, 0, 10, 30),
        box("terrace", "concrete-slab", 0, 5, 20, 20),
    )
    assert visible(cut(*surfaces, tail="order: [path]\n")) == {"path": 300, "terrace": 200}


def test_of_equals_the_later_drawn_lies_on_top() -> None:
    found = cut(box("a", "lawn", 0, 0, 10, 10), box("b", "lawn", 5, 0, 10, 10))
    assert visible(found) == {"a": 50, "b": 100}


def test_a_roof_keeps_what_lies_beneath_it() -> None:
    found = cut(
        box("slab", "concrete-slab", 0, 0, 20, 20),
        box("deck", "wood-deck", 10, 0, 20, 20),
        box("roof", "roof", 15, 0, 5, 5),
    )
    assert visible(found) == {"slab": 400, "deck": 400, "roof": 25}
    stacks = {
        tuple(layer.id for layer in piece.layers): round(piece.area_m2 / FOOT_M2, 6)
        for piece in found.pieces
    }
    assert stacks[("slab", "deck", "roof")] == 25
    assert stacks[("slab", "deck")] == 175
    assert stacks[("slab",)] == 200
    assert stacks[("rest-of-lot", "deck")] == 200


def test_what_lies_outside_the_lot_is_listed() -> None:
    found = cut(box("drive", "asphalt", 90, 0, 20, 10))
    line = found.ledger[0]
    assert same(line.drawn_m2 / FOOT_M2, 200)
    assert same(line.outside_m2 / FOOT_M2, 100)
    assert same(line.visible_m2 / FOOT_M2, 100)


def test_states_are_told_apart() -> None:
    surfaces = (
        box("old", "concrete-slab", 0, 0, 10, 10, ", stage: removed"),
        box("new", "lawn", 0, 0, 10, 10, ", stage: proposed"),
        box("same", "permeable-paving", 20, 0, 10, 10, ", stage: replaced, was: concrete-slab"),
    )
    assert visible(cut(*surfaces, state="existing")) == {"old": 100, "same": 100}
    assert visible(cut(*surfaces)) == {"new": 100, "same": 100}
    materials = {line.id: line.material for line in cut(*surfaces, state="existing").ledger}
    assert materials["same"] == "Concrete slab"


MATERIALS = ["concrete-slab", "gravel", "wood-deck", "roof", "pool-water", "permeable-paving"]
BOXES = st.lists(
    st.tuples(
        st.sampled_from(MATERIALS),
        st.integers(0, 390),  # a surface wholly outside the lot is refused when read
        st.integers(0, 390),  # a surface wholly outside the lot is refused when read
        st.integers(1, 200),
        st.integers(1, 200),
    ),
    max_size=7,
)


@given(BOXES)
def test_the_pieces_are_the_lot_and_no_spot_counts_twice(
    boxes: list[tuple[str, int, int, int, int]],
) -> None:
    surfaces = [
        box(f"s-{i}", material, x / 4, y / 4, w / 4, h / 4)
        for i, (material, x, y, w, h) in enumerate(boxes)
    ]
    found = cut(*surfaces) if surfaces else cut(box("s", "lawn", 0, 0, 1, 1))
    total = sum(piece.area_m2 for piece in found.pieces)
    assert total == pytest.approx(found.lot_area_m2, rel=1e-9)
    whole = shapely.union_all([piece.shape for piece in found.pieces])
    assert whole.area == pytest.approx(found.lot_area_m2, rel=1e-9)
    for line in found.ledger:
        parts = line.outside_m2 + line.displaced_m2 + line.visible_m2
        assert parts == pytest.approx(line.drawn_m2, abs=1e-6)
        over = sum(
            piece.area_m2
            for piece in found.pieces
            if line.id in {layer.id for layer in piece.layers}
        )
        assert over == pytest.approx(line.visible_m2, abs=1e-6)


def test_what_does_not_add_up_is_told_at_its_own_place(monkeypatch: pytest.MonkeyPatch) -> None:
    """A region is told at the line of the region, a surface at its own, the lot at its boundary."""
    shape = "{rectangle: {corner: [0, 0], size: [9, 9]}}"
    tail = f"regions:\n  - {{id: strip, kind: easement, shape: {shape}}}\n"
    text = HEAD + box("deck", "concrete-slab", 10, 10, 20, 20) + tail
    site = site_of(read_text(text, "x.yaml"), Path("x.yaml"))
    told = {}
    for key in (("region", "strip"), ("surface", "deck"), ("lot", "")):

        def fails(*_: object, key: tuple[str, str] = key) -> None:
            raise NotConserved(key, 1.0, 2.0)

        monkeypatch.setattr("checker.measure.partition.arrange", fails)
        with pytest.raises(BadInput) as error:
            partition(site, "proposed")
        told[key[0]] = str(error.value)
    assert "x.yaml:10:" in told["region"]
    assert "the region 'strip' cannot be measured reliably" in told["region"]
    assert "x.yaml:8:" in told["surface"]
    assert "x.yaml:6:" in told["lot"]
