"""Every field of a site file that may hold a surface's id is known, so that a change follows it.

A new text field of the file's shape fails here until somebody says whether it names a surface and,
where it does, what becomes of it when that surface is cut, changed as a whole, or no more.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Final, Literal, get_args, get_origin, get_type_hints

from typing_extensions import is_typeddict

from checker.files.drainage_shape import PanelShape, SpotLevelShape, StormsShape, WaysOutShape
from checker.files.goal_shape import GoalShape
from checker.files.project_shape import ProjectShape
from checker.files.section_shape import GroundShape, SectionShape
from checker.files.site_shape import SiteShape
from checker.files.vocabulary import ATTRIBUTES
from checker.site.read import PARTS

# Where the shape of the file says no more than "a list" or "a group": the shape of what is in it.
PARTS_OF_FILE: Final[dict[str, type]] = {
    "panels": PanelShape, "ways_out": WaysOutShape, "sections": SectionShape,
    "ground": GroundShape, "storms": StormsShape, "levels": SpotLevelShape, "goal": GoalShape,
    "project": ProjectShape,
}  # fmt: skip

# Each with the test that holds it.
NAMES_A_SURFACE: Final = {
    "SurfaceShape.id": "the surface itself; a piece gets one of its own",
    "RingShape.around": "test_outlines_that_hang_on_a_surface_stay_where_they_are",
    "MeasuredFromShape.wall_of": "test_outlines_that_hang_on_a_surface_stay_where_they_are",
    "SiteShape.order": "tests/site/test_write.py; a piece stands behind what it is cut from",
    "OnFileShape.of": "test_sizes_and_papers_of_a_surface_that_is_cut_are_asked_for_anew",
    "PanelShape.on": "test_each_panel_goes_where_its_paving_goes",
    "PanelShape.id": "the surface's id when it is not said; kept with the panel",
    "InletShape.of": "test_a_store_and_a_leader_of_what_is_no_more_are_told",
    "StoreShape.under": "test_a_store_and_a_leader_of_what_is_no_more_are_told",
    "GoalShape.may_be_removed": "tests/solve/test_written.py, unbuilt",
    "GoalShape.surfaces": "test_a_goal_names_no_edge_of_what_is_no_more",
    "WayShape.along": "test_a_goal_names_no_edge_of_what_is_no_more",
    "attributes.drains_to": "test_what_drained_onto_a_surface_drains_onto_what_lies_there_then",
    "attributes.treated_by": "test_sizes_and_papers_of_a_surface_that_is_cut_are_asked_for_anew",
    "attributes.onto_panel": "test_a_panel_that_is_named_is_followed",
}

WATER = "a drain, pipe, store, outlet or edge"
ITSELF = "the name of the thing itself"
WORDS = "words for people"
NAMES_NONE: Final = {
    **dict.fromkeys(
        (
            "PanelShape.drains_to", "InletShape.to", "InletShape.spills_to", "PipeShape.to",
            "StoreShape.spills_to", "StoreOutletShape.to", "InflowShape.to", "SectionPipeShape.to",
        ),
        WATER,
    ),
    **dict.fromkeys(
        (
            "FeatureShape.id", "RegionShape.id", "InletShape.id", "PipeShape.id", "StoreShape.id",
            "StoreOutletShape.id", "OutletShape.id", "OverflowEdgeShape.id", "InflowShape.id",
        ),
        ITSELF,
    ),
    "LotShape.sides": "lines of the lot, or the nearest to a street, which is a feature",
    "SiteShape.none_found": "kinds of features and regions",
    "SiteShape.readings": "of the rule set",
    "SurfaceShape.section": "a section",
    "DeviationShape.section": "a section",
    "SectionShape.standard": "a standard section",
    "GoalShape.rules": "of the rule set",
    "GoalShape.as_built": "by material",
    "GoalShape.to_be_on_file": "papers",
    "OnFileShape.document": "a paper",
}  # fmt: skip
WORDS_FOR_PEOPLE: Final = {
    "title", "note", "by", "date", "reference", "measured_by", "concentration_source", "source",
}  # fmt: skip
"""Fields of words, whatever they belong to; the part `project` holds nothing else."""
NO_NAMES: Final = {
    **dict.fromkeys(
        (
            "SiteShape.costs",
            "SiteShape.place",
            "DrawingShape.file",
            "TracedShape.file",
            "StormsShape.table",
        ),
        "a file, or a rule set",
    ),
    **dict.fromkeys(
        (
            "DrawingShape.layer_by",
            "DrawingShape.unit",
            "ShapeShape.layer",
            "ShapeShape.pattern",
            "ShapeShape.courses",
            "SiteShape.units",
        ),
        "of the drawing, the deed, the unit",
    ),
    **dict.fromkeys(
        (
            "CourseShape.stone",
            "SectionPipeShape.stone",
            "CourseShape.compaction",
            "CourseShape.treatment",
            "EdgeShape.kind",
            "GrateShape.size",
            "PipeShape.material",
            "SoilShape.texture",
        ),
        "a row of a table, or words",
    ),
}
MATERIALS: Final = {
    "SurfaceShape.material", "SurfaceShape.was", "SurfaceShape.may_become", "RestShape.material",
    "SiteShape.rest_of_lot", "DrawingShape.layers",
}  # fmt: skip


def fields_of(shape: Any, name: str) -> Iterator[tuple[str, bool]]:
    """Each field below a shape that holds texts, and whether it is of names (not of words)."""
    seen: set[str] = set()
    todo = [(shape, name)]
    while todo:
        kind, own = todo.pop()
        if own in seen:
            continue
        seen.add(own)
        for key, hint in get_type_hints(kind, include_extras=True).items():
            found: list[tuple[Any, str]] = []
            is_text, is_name = texts_in(hint, found)
            todo += found
            if is_text:
                yield f"{own}.{key}", is_name


def texts_in(hint: Any, shapes: list[tuple[Any, str]]) -> tuple[bool, bool]:
    """Whether a type holds texts, and such as look like ids; the shapes in it are collected."""
    if get_origin(hint) is Annotated:
        base, *more = get_args(hint)
        is_id = any("pattern" in repr(getattr(item, "metadata", "")) for item in more)
        is_text, is_name = texts_in(base, shapes)
        return is_text, is_name or (is_text and is_id)
    if is_typeddict(hint):
        shapes.append((hint, hint.__name__))
        return False, False
    if hint is str:
        return True, False
    args = get_args(hint)
    if get_origin(hint) is Literal or {float, bool} & set(args):
        # An amount, or yes and no.
        return False, False
    if get_origin(hint) is dict and args[0] is str:
        # Keys of no certain look are points, sieves, words of the rule set or of the drawing.
        args = args[1:]
    answers = [texts_in(item, shapes) for item in args]
    return any(a for a, _ in answers), any(b for _, b in answers)


def every_field() -> dict[str, bool]:
    found = dict(fields_of(SiteShape, "SiteShape"))
    for shape in PARTS_OF_FILE.values():
        found |= dict(fields_of(shape, shape.__name__))
    return found


OF_PROJECT: Final = dict(fields_of(ProjectShape, "ProjectShape"))


def test_every_part_of_the_file_is_looked_through() -> None:
    # The table of costs is a path.
    assert set(PARTS) - {"costs"} == set(PARTS_OF_FILE)


def test_every_field_of_names_is_known() -> None:
    found = every_field()
    known = set(NAMES_A_SURFACE) | set(NAMES_NONE) | MATERIALS | set(NO_NAMES)
    words = {
        name
        for name, is_name in found.items()
        if not is_name and (name.split(".")[1] in WORDS_FOR_PEOPLE or name in OF_PROJECT)
    }
    assert set(found) - known - words == set()
    assert {name for name in known if not name.startswith("attributes.")} - set(found) == set()


def test_every_attribute_that_is_a_name_is_known() -> None:
    names = {
        f"attributes.{word.name}"
        for word in ATTRIBUTES.values()
        if word.kind == "text" and not word.choices
    }
    assert names == {name for name in NAMES_A_SURFACE if name.startswith("attributes.")}
