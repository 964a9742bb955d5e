"""Laws of changes: refused ones leave all as it was, made ones say what they say."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import msgspec
import pytest

from checker.board.changes import (
    Change,
    Drop,
    Group,
    Put,
    Refused,
    Rename,
    Reorder,
    Reshape,
    Set,
    applied,
)  # fmt: skip
from checker.board.plan import Plan, changed, plan_of
from checker.board.sentences import sentence
from checker.files.source import read_text

FILE = Path("samples/fernhollow-before/site.yaml")
PLAN = plan_of(FILE.read_text(encoding="utf-8"), FILE)
POOL = {"rectangle": {"corner": [24, 80], "size": [32, 16]}}
MOVED = {"rectangle": {"corner": [25, 80], "size": [32, 16]}}
BED = {
    "id": "bed",
    "material": "planting-bed",
    "shape": {"circle": {"centre": [5, 5], "radius": "2 ft"}},
}

VECTORS: list[tuple[Change, str]] = [
    (Reshape("surfaces", "pool", MOVED, POOL), "pool moved"),
    (Put("surfaces", BED, "shed"), "bed drawn as planting bed"),
    (Drop("surfaces", "shed"), "shed taken away"),
    (Set("surfaces", "terrace", ("material",), "permeable-paving", "stone-slab"),
     "material of terrace: permeable paving"),
    (Set("surfaces", "side-deck", ("attributes", "gap"), "1/8 in", "1/4 in"),
     "gap of side deck: 1/8 in"),
    (Set("surfaces", "pool", ("attributes", "freeboard"), "6 in"), "freeboard of pool: 6 in"),
    (Set("surfaces", "terrace", ("may_become",), None, ["permeable-paving"]),
     "may become of terrace taken away"),
    (Set("", "", ("facts", "zone"), "R-1", "R-2"), "zone: R-1"),
    (Set("", "", ("rest_of_lot",), "planting-bed", "lawn"), "rest of lot: planting bed"),
    (Rename("surfaces", "pool", "basin"), "pool is now basin"),
    (Reorder(("coping", "pool"), ()), "order of overlapping surfaces changed"),
    (Group((Drop("surfaces", "coping"), Drop("surfaces", "pool")), "pool and coping taken away"),
     "pool and coping taken away"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "says"), VECTORS, ids=[says for _, says in VECTORS])
def test_a_change_is_made_said_and_goes_through_json(change: Change, says: str) -> None:
    before = deepcopy(PLAN.data)
    assert sentence(change) == says
    assert msgspec.json.decode(msgspec.json.encode(change), type=Change) == change
    found = changed(PLAN, change)
    assert isinstance(found, Plan), found
    assert PLAN.data == before
    assert found.revision == PLAN.revision + 1
    assert found.data == applied(PLAN.data, change)
    assert read_text(found.text, "again").data == found.data


@pytest.mark.parametrize(("change", "says"), VECTORS, ids=[says for _, says in VECTORS])
def test_the_rest_of_the_file_keeps_its_words(change: Change, says: str) -> None:  # noqa: ARG001
    found = changed(PLAN, change)
    assert isinstance(found, Plan)
    kept = [line for line in PLAN.text.splitlines() if line.lstrip().startswith("#")]
    assert [line for line in found.text.splitlines() if line.lstrip().startswith("#")] == kept


@pytest.mark.parametrize(
    "change",
    [
        Reshape("surfaces", "pool", MOVED, MOVED),
        Reshape("surfaces", "nowhere", MOVED, POOL),
        Set("surfaces", "pool", ("material",), "lawn", "asphalt"),
        Set("surfaces", "pool", ("id",), "x", "pool"),
        Set("", "", ("surfaces",), [], None),
        Set("surfaces", "pool", ("material", "x"), "y", None),
        Drop("surfaces", "pool"),  # the coping lies round it
        Drop("walls", "a"),
        Put("surfaces", BED | {"id": "pool"}),
        Put("surfaces", {}),
        Rename("surfaces", "pool", "house"),
        Reorder(("nobody",), ()),
        Reorder(("pool",), ("house",)),
        Group((Drop("surfaces", "shed"), Drop("surfaces", "shed"))),
    ],
    ids=str,
)
def test_what_does_not_fit_is_refused_and_nothing_is_changed(change: Change) -> None:
    before = deepcopy(PLAN.data)
    found = changed(PLAN, change)
    assert isinstance(found, Refused)
    assert found.says
    assert PLAN.data == before


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        (BED | {"material": "moss"}, "moss"),
        (BED | {"shape": {"points": [[0, 0], [1, 1]]}}, "points"),
        (BED | {"attributes": {"gap": "a lot"}}, "a lot"),
    ],
)
def test_what_no_site_file_may_say_is_refused_in_the_files_own_words(
    entry: dict[str, Any], says: str
) -> None:
    found = changed(PLAN, Put("surfaces", entry))
    assert isinstance(found, Refused)
    assert says in found.says


def test_a_lot_without_a_line_is_given_one() -> None:
    data = {key: value for key, value in PLAN.data.items() if key != "lot"}
    found = applied(data, Reshape("", "", MOVED, {}))
    assert not isinstance(found, Refused)
    assert found["lot"] == {"boundary": MOVED}
    assert isinstance(applied(PLAN.data, Reshape("", "", MOVED, {})), Refused)


def test_a_renamed_surface_is_renamed_wherever_it_is_named() -> None:
    found = applied(PLAN.data, Rename("surfaces", "pool", "basin"))
    assert not isinstance(found, Refused)
    coping = next(entry for entry in found["surfaces"] if entry["id"] == "coping")
    assert coping["shape"]["ring"]["around"] == "basin"


def test_what_is_named_elsewhere_is_not_taken_away_and_a_new_name_is_followed() -> None:
    data = {
        "surfaces": [
            {"id": "deck", "shape": {"points": [[0, 0], [9, 0], [9, 9]]}},
            {"id": "walk", "attributes": {"drains_to": "deck"},
             "shape": {"measured_from": {"wall_of": "deck", "wall": 1}, "at": [1, 1]}},
        ],
        "panels": [{"on": "deck", "level": 100}],
        "ways_out": {"lowest floor": 100.5, "inlets": [{"id": "leader", "of": "deck"}]},
    }  # fmt: skip
    refused = applied(data, Drop("surfaces", "deck"))
    assert isinstance(refused, Refused)
    assert "is named by the surface 'walk'" in refused.says
    renamed = applied(data, Rename("surfaces", "deck", "terrace"))
    assert not isinstance(renamed, Refused)
    assert "deck" not in repr(renamed)
    assert renamed["ways_out"]["inlets"] == [{"id": "leader", "of": "terrace"}]
    gone = applied(
        data,
        Group((Drop("ways_out.inlets", "leader"), Drop("panels", "deck"),
               Drop("surfaces", "walk"), Drop("surfaces", "deck"))),
    )  # fmt: skip
    assert not isinstance(gone, Refused)
    assert gone["surfaces"] == []
