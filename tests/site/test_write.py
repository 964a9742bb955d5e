"""The law of writing: reading what was written gives the changed site, and the rest stays as it "
"was."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, box

from checker.core.records import replace
from checker.core.units import LENGTH, Amount
from checker.files.plain import plain_text
from checker.files.source import read_text
from checker.site.materials import materials
from checker.site.model import Site, Surface
from checker.site.read import read_site, site_of
from checker.site.write import value_text
from tests.site.cases import HEAD, changed_text, site
from tests.site.drawings import SAMPLES

FIELDS = (
    "title", "material", "was", "stage", "section", "may_become", "is_fixed", "measured_by",
)  # fmt: skip
SITES = sorted(SAMPLES.glob("*/site.yaml"))

TEXT = (
    HEAD
    + """\
# what stays
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [10, 60], size: [30, 20]}}}  # the house
  # the pool
  - id: pool
    material: pool-water   # salt water
    shape: {circle: {centre: [50, 30], radius: 8}}
    attributes: {lined: yes}
  - {id: coping, material: pool-coping, shape: {ring: {around: pool, width: 1}}}

  # the deck
  - id: deck
    material: stone-slab
    stage: proposed
    shape:
      points:
        - [30, 10]
        - [70, 10]
        - [70, 50]
        - [30, 50]
    may_become: [lawn]
# order of precedence
order: [coping, deck]
"""
)


def read(text: str, folder: Path = Path()) -> Site:
    return site_of(read_text(text, "lot.yaml"), folder / "lot.yaml")


def with_surfaces(before: Site, *changed: Surface, without: str = "") -> Site:
    new = {surface.id: surface for surface in changed}
    kept = [new.pop(s.id, s) for s in before.surfaces if s.id != without]
    return replace(before, surfaces=(*kept, *new.values()))


def but(surface: Surface, **changes: Any) -> Surface:
    return replace(surface, **changes)


def assert_same(found: Site, expected: Site) -> None:
    assert [s.id for s in found.surfaces] == [s.id for s in expected.surfaces]
    for one, other in zip(found.surfaces, expected.surfaces, strict=True):
        for name in (
            "title",
            "material",
            "was",
            "stage",
            "section",
            "may_become",
            "is_fixed",
            "measured_by",
        ):
            assert getattr(one, name) == getattr(other, name), f"{name} of {one.id}"
        assert one.attributes == other.attributes
        assert one.shape.normalize().equals_exact(other.shape.normalize(), 2e-9), one.id
    assert found.lot.boundary.equals_exact(expected.lot.boundary, 2e-9)
    assert [line.label for line in found.lot.lines] == [line.label for line in expected.lot.lines]


@pytest.mark.parametrize("path", SITES, ids=lambda path: path.parent.name)
def test_clean_text_of_every_sample_reads_back(path: Path) -> None:
    before = read_site(path, "site.yaml")
    text = plain_text(before.document.data)
    assert read_text(text, "x").data == before.document.data
    assert_same(site_of(read_text(text, "site.yaml"), path), before)


def test_nothing_changed_is_the_same_text() -> None:
    before = read(TEXT)
    assert changed_text(before, before) == TEXT


def test_a_new_material_changes_one_word() -> None:
    before = read(TEXT)
    after = with_surfaces(
        before, but(before.surface("deck"), material=materials()["lawn"], was=materials()["lawn"])
    )
    text = changed_text(before, after)
    assert text == TEXT.replace("material: stone-slab", "material: lawn")
    assert_same(read(text), after)


def test_a_new_shape_replaces_the_old_one_and_keeps_remarks() -> None:
    before = read(TEXT)
    shape = box(30 * 0.3048, 10 * 0.3048, 60 * 0.3048, 50 * 0.3048)
    after = with_surfaces(before, but(before.surface("deck"), shape=shape))
    text = changed_text(before, after)
    old = TEXT[TEXT.index("      points:\n") : TEXT.index("    may_become")]
    new = "      points: [[60, 10], [60, 50], [30, 50], [30, 10]]\n"
    assert text == TEXT.replace(old, new)
    assert_same(read(text), after)


def test_surfaces_come_and_go() -> None:
    before = read(TEXT)
    extra = but(before.surface("deck"), id="deck-2", title="Deck two", shape=box(1, 1, 3, 2.5))
    after = replace(with_surfaces(before, extra, without="house"), order=("coping", "deck"))
    text = changed_text(before, after)
    # The entry goes; what a person remarked on it stays.
    assert "id: house" not in text
    assert text.count("house") == text.count("# the house") == 1
    assert "  # the pool\n" in text
    assert "    may_become: [lawn]\n  - {id: deck-2, " in text
    assert text.endswith("# order of precedence\norder: [coping, deck]\n")
    assert_same(read(text), after)


def test_removed_surface_leaves_the_order_too() -> None:
    before = read(TEXT)
    text = changed_text(before, with_surfaces(before, without="deck"))
    assert text.endswith("order: [coping]\n")
    assert read(text).order == ("coping",)


def test_a_ring_does_not_move_with_what_it_lies_round() -> None:
    before = read(TEXT)
    after = with_surfaces(before, but(before.surface("pool"), shape=box(13, 7, 17, 10)))
    text = changed_text(before, after)
    assert "ring" not in text
    assert_same(read(text), after)


def test_several_parts_holes_and_attributes() -> None:
    before = read(TEXT)
    holed = Polygon([(0, 0), (2, 0), (2, 2), (0, 2)], [[(0.5, 0.5), (1, 0.5), (1, 1), (0.5, 1)]])
    shape = MultiPolygon([holed, box(5, 5, 6, 6)])
    attributes = {
        "gap": Amount(0.00635, LENGTH, "in"),
        "covered": True,
        "freeboard": Amount(0.2, LENGTH),
    }
    changed = but(
        before.surface("pool"),
        shape=shape,
        attributes=attributes,
        stage="replaced",
        was=materials()["lawn"],
    )
    after = with_surfaces(before, changed)
    found = read(changed_text(before, after))
    assert found.surface("pool").attributes["gap"] == attributes["gap"]
    assert found.surface("pool").attributes["freeboard"].value_si == pytest.approx(0.2)  # type: ignore[union-attr]
    assert found.surface("pool").shape.area == pytest.approx(4 - 0.25 + 1)
    assert found.surface("pool").was.id == "lawn"
    assert found.surface("pool").stage == "replaced"


def test_an_order_that_was_not_there_is_added() -> None:
    text = TEXT.replace("order: [coping, deck]\n", "")
    before = read(text)
    after = replace(before, order=("deck", "pool"))
    assert changed_text(before, after) == f"{text}order: [deck, pool]\n"


def test_the_table_of_layers_follows() -> None:
    """A new material changes the table; a new shape leaves the layer, which is then passed over."""
    path = SAMPLES / "dxf-lot" / "site.yaml"
    text = path.read_text(encoding="utf-8")
    before = read_site(path, "site.yaml")
    permeable = materials()["permeable-paving"]
    walk = but(before.surface("walk"), material=permeable, was=permeable)
    part = before.surface("patio").shape.intersection(box(0, 0, 15, 100))
    after = with_surfaces(before, walk, but(before.surface("patio"), shape=part), without="drive")
    changed = changed_text(before, after)
    for line in ("    WALK: permeable-paving", "    PATIO: ignore", "    DRIVE: ignore"):
        assert line in changed.splitlines()
    assert changed.startswith(text[: text.index("drawing:")]), "remarks are kept"
    assert_same(site_of(read_text(changed, "site.yaml"), path), after)


def test_a_material_beside_its_layer_follows_with_the_table() -> None:
    path = SAMPLES / "dxf-lot" / "site.yaml"
    text = path.read_text(encoding="utf-8")
    entry = next(line for line in text.splitlines() if "id: walk" in line)
    named = entry.replace("id: walk,", "id: walk, material: concrete-slab,")
    assert named != entry
    before = site_of(read_text(text.replace(entry, named), "site.yaml"), path)
    lawn = materials()["lawn"]
    after = with_surfaces(before, but(before.surface("walk"), material=lawn, was=lawn))
    changed = changed_text(before, after)
    assert named.replace("concrete-slab", "lawn") in changed.splitlines()
    assert "    WALK: lawn" in changed.splitlines()
    assert_same(site_of(read_text(changed, "site.yaml"), path), after)


def test_file_in_a_strange_layout_is_written_anew() -> None:
    text = (
        HEAD
        + """\
surfaces: [{id: a, material: lawn, shape: &s {rectangle: {corner: [1, 1], size: [5, 5]}}},
  {id: b, material: lawn, shape: *s}]
"""
    )
    before = read(text)
    after = with_surfaces(before, but(before.surface("a"), shape=box(1, 1, 2, 2)))
    assert_same(read(changed_text(before, after)), after)


def test_value_texts() -> None:
    assert value_text(Amount(0.00635, LENGTH, "in")) == "0.25 in"
    assert value_text(Amount(2.0, LENGTH)) == "2 m"
    assert value_text(Amount(0.02, unit="%")) == "2 %"
    assert value_text("walk") == "walk"
    assert value_text(value=False) is False


WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers(-(10**9), 10**9)
    | st.floats(allow_nan=False, allow_infinity=False, width=32)
    | WORDS
)
PLAIN = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(st.text("abc", min_size=1, max_size=3), PLAIN, min_size=1, max_size=5))
def test_any_plain_data_reads_back(data: dict[str, Any]) -> None:
    assert read_text(plain_text(data), "x").data == data


@given(
    corner=st.tuples(st.floats(60, 90), st.floats(60, 90)),
    size=st.tuples(st.floats(1, 40), st.floats(1, 40)),
    turned=st.floats(0, 360),
    unit=st.sampled_from(["ft", "m", "us survey ft", "yd"]),
)
def test_any_rectangle_written_as_points_reads_back(
    corner: tuple[float, float], size: tuple[float, float], turned: float, unit: str
) -> None:
    head = HEAD.replace("units: ft", f"units: {unit}").replace("100", "150")
    shape = {"rectangle": {"corner": list(corner), "size": list(size), "turned": turned}}
    made = site(plain_text({"surfaces": [{"id": "a", "material": "lawn", "shape": shape}]}), head)
    before = read(plain_text(made.document.data))
    after = replace(before, surfaces=(but(before.surface("a"), id="b", title="B"),))
    assert_same(read(changed_text(before, after)), after)
