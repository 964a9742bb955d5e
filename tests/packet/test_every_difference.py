"""A resubmittal sees every difference of two site files, and letters stay with their surfaces."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from checker.core.records import replace
from checker.drawing.clouds import clouds
from checker.drawing.scale import Frame, us_scale
from checker.findings.checked import Checked
from checker.papers.closing import closing_set
from checker.papers.difference import changed_ground, changes
from checker.papers.file_changes import file_changes
from checker.papers.job import Job, make_job
from checker.words.letters import Keys
from tests.measure.terrace import DATA
from tests.packet.test_revisions import tables


def leaves(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from leaves(value, (*at, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from leaves(value, (*at, index))
    else:
        yield at


LEAVES = [
    at
    for at in leaves(DATA)
    # Ground is compared as ground; these two are said with the surface in words of its own.
    if not (at[0] == "surfaces" and at[2] in {"shape", "material", "stage"})
]


@settings(max_examples=100, deadline=None)
@given(at=st.sampled_from(LEAVES), instead=st.sampled_from(["other", 7, None, [1, 2]]))
def test_any_value_that_differs_is_told(at: tuple[Any, ...], instead: Any) -> None:
    changed = copy.deepcopy(DATA)
    spot: Any = changed
    for key in at[:-1]:
        spot = spot[key]
    spot[at[-1]] = instead
    found = list(file_changes(DATA, changed))
    # A surface whose id differs is another surface: told as added and left out.
    assert found or at[:1] == ("surfaces",)
    assert all(item.before != item.after for item in found)
    assert not list(file_changes(changed, copy.deepcopy(changed)))


CASES = [
    ("  owner: {name: The owner (invented), phone: 000 000 0000}",
     "  owner: {name: Another (invented), phone: 000 000 0000}", "Project, owner, name"),
    ("  parcel: 041-2-07", "  parcel: 041-2-08", "Project, parcel"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "what"), CASES)
def test_what_stands_in_the_file_is_compared(
    orchard: Checked, changed: Callable[..., Checked], old: str, new: str, what: str
) -> None:
    later = make_job(changed((old, new)))
    assert [c.what for c in changes(make_job(orchard), later, ("A", "B"), later.figures)] == [what]


def test_letters_stay_with_their_surfaces(orchard_job: Job) -> None:
    """The first surface is left out and a new one comes first: all others keep their letters."""
    site = orchard_job.checked.site
    kept = site.surfaces[1:]
    fresh = replace(site.surfaces[0], id="fresh")
    later = Keys(replace(site, surfaces=(fresh, *kept)), orchard_job.keys)
    assert {s.id: later.letter(s.id) for s in kept} == {
        s.id: orchard_job.keys.letter(s.id) for s in kept
    }
    last = max(orchard_job.keys.letter(s.id) for s in site.surfaces)
    assert later.letter("fresh") == chr(ord(last) + 1)


def test_a_cloud_goes_round_what_changed(orchard: Checked, changed: Callable[..., Checked]) -> None:
    """One surface is cut by 4 ft: one cloud, round the later surface."""
    smaller = changed(("corner: [26, 64], size: [44, 36]", "corner: [26, 64], size: [44, 32]"))
    earlier, later = make_job(orchard), make_job(smaller)
    ground = changed_ground(earlier, later)
    assert [shape.equals(later.checked.site.surface("terrace").shape) for shape in ground] == [True]
    frame = Frame(us_scale(20), 0.0, 50.0, 0.0, 0.0, 300.0, 200.0)
    drawn = list(clouds(ground, "B", frame))
    assert len(drawn) == 2
    assert drawn[0].count("A2.4 2.4") > 6
    assert ">B<" in drawn[1]
    assert list(clouds([shapely.Polygon()], "B", frame)) == []
    assert changed_ground(earlier, earlier) == ()


def test_the_lot_as_built_is_the_input(orchard: Checked, changed: Callable[..., Checked]) -> None:
    """44 x 38 of paving that counts half instead of 44 x 36: 44 sq ft more of 10,000... by hand.

    3,264 - 3,220 = 44 sq ft. What was built as approved has no line.
    """
    built = changed(("corner: [26, 64], size: [44, 36]", "corner: [26, 64], size: [44, 38]"))
    paper = closing_set(make_job(orchard, built=make_job(built)), "14")
    assert not paper.is_empty
    rows = tables(paper)[0].rows
    assert [row[1] for row in rows] == [
        "Terrace: drawn area",
        "Impervious area, proposed",
        "Impervious cover of the lot: room left",
    ]
