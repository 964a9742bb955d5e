"""A dry well on the neighbour's land, in an easement or beside the house stops or is told."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from checker.findings.checked import Checked
from checker.packet.placed import placed_works
from checker.papers.checks import Check
from checker.papers.job import make_job

SITE = """
format: site/1
title: Well court
invented: yes
place: larkmoor
units: ft
rest_of_lot: lawn
lot: {{boundary: {{points: [[0, 0], [80, 0], [80, 100], [0, 100]]}}}}
surfaces:
  - {{id: house, material: roof, shape: {{rectangle: {{corner: [20, 30], size: [40, 30]}}}},
     attributes: {{purpose: dwelling}}}}
regions:
  - {{id: drain-easement, title: Drainage easement, kind: easement,
     shape: {{rectangle: {{corner: [0, 0], size: [5, 100]}}}}}}
ways_out:
  stores:
    - {{id: well, kind: dry-well, at: {at}, bottom: 92, depth: 4 ft, chamber: 0 in, pit: 4 ft,
       porosity: 40 %}}
on_file: {on_file}
"""


def checks(
    plain: Callable[[str], Checked], at: str, on_file: str = "[]"
) -> dict[str, tuple[str, bool, str]]:
    found: list[Check] = list(placed_works(make_job(plain(SITE.format(at=at, on_file=on_file)))))
    return {check.what: (check.state, check.is_must, check.says) for check in found}


def test_in_the_open_nothing_is_wrong(plain: Callable[[str], Checked]) -> None:
    assert {state for state, _, _ in checks(plain, "[40, 80]").values()} == {"there"}


@pytest.mark.parametrize(
    ("at", "what", "consent"),
    [
        ("[-10, 80]", "Dry wells and stone beds lie on the lot", "neighbour-consent"),
        ("[81, 80]", "Dry wells and stone beds lie on the lot", "neighbour-consent"),
        ("[6.5, 80]", "Dry wells and stone in Drainage easement", "easement-consent"),
    ],
)
def test_where_it_may_not_lie_without_consent(
    plain: Callable[[str], Checked], at: str, what: str, consent: str
) -> None:
    """The pit is 4 ft wide: its edge reaches 2 ft from its middle."""
    state, is_must, says = checks(plain, at)[what]
    assert (state, is_must) == ("missing", True)
    assert f"list '{consent}' under 'on_file'" in says
    given = f"[{{document: {consent}, title: Consent}}]"
    assert checks(plain, at, given)[what][0] == "there"


def test_nearness_is_told_in_every_place(plain: Callable[[str], Checked]) -> None:
    """Its middle is 6 ft north of the house wall, its edge 4 ft."""
    told = checks(plain, "[40, 66]")
    (near,) = [value for what, value in told.items() if what.startswith("Dry wells 10")]
    assert near[0] == "missing"
    assert "well 4.00 ft from the dwelling" in near[2]


def test_a_well_without_a_place_cannot_be_told(plain: Callable[[str], Checked]) -> None:
    found = list(placed_works(make_job(plain(SITE.replace("at: {at}, ", "").format(on_file="[]")))))
    assert [(check.state, check.is_must) for check in found] == [("cannot tell", True)]
    assert "'at' of well" in found[0].says


@pytest.mark.parametrize(
    ("at", "what"),
    [
        ("[40, 45]", "below the house"),
        ("[61.5, 45]", "half a foot below its east wall"),
        ("[70, 80]", "in the pool"),
        ("[31.9, 90]", "its excavation touches the septic field"),
        ("[10, 70]", "at the well"),
    ],
)
def test_where_nothing_may_soak(plain: Callable[[str], Checked], at: str, what: str) -> None:
    """The pit is 4 ft wide; the septic field begins 1.9 ft east of the middle of its pit."""
    others = """
  - {{id: pool, material: pool-water, shape: {{rectangle: {{corner: [66, 75], size: [8, 10]}}}}}}
features:
  - {{id: field, kind: septic-field, shape: {{rectangle: {{corner: [33.8, 85], size: [20, 10]}}}}}}
  - {{id: well, kind: well, shape: {{at: [10, 71]}}}}
regions:"""
    text = SITE.replace("\nregions:", others).format(at=at, on_file="[]")
    found = {check.what: check for check in placed_works(make_job(plain(text)))}
    check = found["No dry well or stone below a building, in a pool, a well or a septic system"]
    assert (check.state, check.is_must) == ("missing", True), what


def test_a_pipe_over_the_neighbours_land_is_told(plain: Callable[[str], Checked]) -> None:
    """It leaves the lot for 5 ft and comes back."""
    pipe = (
        "  pipes:\n    - {{id: main, to: well, diameter: 4 in, material: smooth plastic pipe, "
        "length: 40 ft, upper: 96, lower: 95, along: [[70, 40], [85, 60], [40, 80]]}}\non_file:"
    )
    text = SITE.replace("on_file:", pipe).format(at="[40, 80]", on_file="[]")
    found = {check.what: check for check in placed_works(make_job(plain(text)))}
    check = found["Pipes, drains and outlets lie on the lot"]
    assert (check.state, check.is_must) == ("missing", True)
    assert "beyond the lot line: main" in check.says
