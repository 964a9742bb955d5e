"""The `sections` of a site file as `Section` records, or every problem in them."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Problems, did_you_mean
from checker.core.units import FABRIC_MASS, PER_TIME, SPEED
from checker.core.words import CourseKind
from checker.files.shape import check_shape
from checker.site.fields import Fields
from checker.site.section import (
    SHEET_KINDS,
    STONE_KINDS,
    BedPipe,
    Course,
    PavementSection,
    SheetLayer,
    Walk,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.files.source import Document

_RANK: Final = {
    "unit": 0, "joint": 1, "bedding": 2, "choker": 3, "base": 4, "pipe-zone": 4, "subbase": 5,
    "sand-filter": 6, "subgrade": 9,
}  # fmt: skip
_STONE_KEYS: Final = {
    "thickness", "stone", "sieves", "porosity", "void_ratio", "specific_gravity", "washed",
    "fines", "fractured_faces", "abrasion", "compaction",
}  # fmt: skip
_SHEET_KEYS: Final = {"lap", "roll_width", "turn_up", "mass"}
_KEYS: Final[dict[str, set[str]]] = {
    "unit": {"thickness", "length", "width"},
    "joint": (_STONE_KEYS - {"compaction"}) | {"width", "open_share"},
    **dict.fromkeys(STONE_KINDS, _STONE_KEYS),
    "fabric": _SHEET_KEYS | {"weave", "opening", "open_area", "permittivity", "survivability"},
    "grid": _SHEET_KEYS | {"aperture"},
    "liner": _SHEET_KEYS | {"thickness", "covers"},
    "subgrade": {"treatment", "compacted", "compaction", "stone", "thickness"},
}
_ALWAYS: Final = {"course", "title", "note"}


def read_sections(data: object, document: Document) -> dict[str, PavementSection]:
    """The sections of a site file, by id.

    Args:
        data: What stands under `sections`; None when nothing does.
        document: The file, for places.

    Raises:
        BadInput: With every problem found.
    """
    if data is None:
        return {}
    shaped: dict[str, Any] = check_shape("sections", data, document, ("sections",))
    problems = Problems()
    found = {
        name: _section(name, item, document, ("sections", name), problems)
        for name, item in shaped.items()
    }
    problems.stop_if_any(f"{document.file} cannot be used")
    return found


def _section(
    name: str,
    data: Mapping[str, Any],
    document: Document,
    at: tuple[str | int, ...],
    problems: Problems,
) -> PavementSection:
    fields = Fields(data, document, at, name, problems)
    courses = tuple(
        _course(item, document, (*at, "courses", i), f"course {i + 1} of {name}", problems)
        for i, item in enumerate(data["courses"])
    )
    _check_order(courses, problems)
    well = Fields(data.get("well", {}), document, (*at, "well"), f"the well of {name}", problems)
    edge = Fields(data.get("edge", {}), document, (*at, "edge"), f"the edge of {name}", problems)
    return PavementSection(
        id=name,
        title=fields.text("title") or name.replace("-", " ").capitalize(),
        kind=data["kind"],
        use=data["use"],
        courses=courses,
        place=document.place(*at),
        standard=fields.text("standard"),
        top_m=fields.level_m("top"),
        pipe=_pipe(data["pipe"], document, (*at, "pipe"), name, problems)
        if "pipe" in data
        else None,
        well_count=well.data.get("count", 1) if "well" in data else None,
        well_diameter_m=well.length_m("diameter"),
        well_is_capped=well.yes("capped"),
        edge=edge.text("kind"),
        edge_length_m=edge.length_m("length"),
        walk=_walk(data.get("walk", {}), document, (*at, "walk"), name, problems),
        subgrade_slope_fraction=fields.ratio("subgrade_slope"),
        run_on_ratio=fields.ratio("run_on"),
        design_rain_m=fields.length_m("design_rain"),
        note=fields.text("note"),
    )


def _course(
    data: Mapping[str, Any],
    document: Document,
    at: tuple[str | int, ...],
    owner: str,
    problems: Problems,
) -> Course:
    kind: CourseKind = data["course"]
    for key in data:
        if key not in _KEYS[kind] | _ALWAYS:
            says = f"'{key}' of {owner} has no meaning for a {kind}"
            problems.add(document.key_place(*at, key), says, did_you_mean(key, _KEYS[kind]))
    fields = Fields(data, document, at, owner, problems)
    return Course(
        kind=kind,
        title=fields.text("title") or kind.replace("-", " ").capitalize(),
        place=document.place(*at),
        at=at,
        thickness_m=fields.length_m("thickness"),
        stone=fields.text("stone"),
        sieves=fields.sieves(),
        porosity_fraction=fields.share_fraction("porosity"),
        void_ratio=fields.ratio("void_ratio"),
        specific_gravity_ratio=fields.ratio("specific_gravity"),
        is_washed=fields.yes("washed"),
        fines_fraction=fields.share_fraction("fines"),
        fractured_fraction=fields.share_fraction("fractured_faces"),
        abrasion_fraction=fields.share_fraction("abrasion"),
        compaction=fields.text("compaction"),
        length_m=fields.length_m("length"),
        width_m=fields.length_m("width"),
        open_fraction=fields.share_fraction("open_share"),
        sheet=_sheet(fields) if kind in SHEET_KINDS else None,
        treatment=fields.text("treatment"),
        is_compacted=fields.yes("compacted"),
        note=fields.text("note"),
    )


def _sheet(fields: Fields) -> SheetLayer:
    return SheetLayer(
        weave=fields.text("weave"),
        opening_m=fields.length_m("opening"),
        open_area_fraction=fields.share_fraction("open_area"),
        permittivity_per_s=fields.size("permittivity", PER_TIME),
        mass_kg_per_m2=fields.size("mass", FABRIC_MASS),
        survivability=fields.text("survivability"),
        lap_m=fields.length_m("lap"),
        roll_width_m=fields.length_m("roll_width"),
        turn_up_m=fields.length_m("turn_up"),
        covers=fields.text("covers") or "base and sides",
        aperture_m=fields.length_m("aperture"),
    )


def _check_order(courses: tuple[Course, ...], problems: Problems) -> None:
    ranked = [course for course in courses if course.kind in _RANK]
    for upper, lower in pairwise(ranked):
        if _RANK[lower.kind] < _RANK[upper.kind]:
            says = f"a {lower.kind} stands below the {upper.kind}"
            problems.add(lower.place, says, "list the courses from the top down")
    if courses[-1].kind != "subgrade":
        for course in courses:
            if course.kind == "subgrade":
                problems.add(course.place, "something stands below the subgrade", "put it last")
    for course in courses:
        if course.thickness_m == 0:
            says = f"the {course.kind} is 0 thick"
            problems.add(course.place, says, "give its thickness, or leave the course out")


def _pipe(
    data: Mapping[str, Any],
    document: Document,
    at: tuple[str | int, ...],
    name: str,
    problems: Problems,
) -> BedPipe:
    fields = Fields(data, document, at, f"the pipe of {name}", problems)
    diameter_m = fields.length_m("diameter")
    if diameter_m == 0:
        problems.add(fields.place("diameter"), f"{fields.what('diameter')} is 0")
    if "holes" in data and "slots" in data:
        says = f"{fields.owner} has both 'holes' and 'slots'"
        problems.add(fields.place("slots"), says, "keep the wider of the two")
    return BedPipe(
        place=document.place(*at),
        diameter_m=diameter_m or 0.0,
        holes_m=fields.length_m("holes"),
        slots_m=fields.length_m("slots"),
        holes_down=fields.yes("holes_down"),
        is_wrapped=fields.yes("wrapped"),
        stone=fields.text("stone"),
        above_subgrade_m=fields.length_m("above_subgrade"),
        cover_m=fields.length_m("cover"),
        outlet_above_subgrade_m=fields.length_m("outlet_above_subgrade"),
        length_m=fields.length_m("length"),
        slope_fraction=fields.ratio("slope"),
        to=fields.text("to"),
    )


def _walk(
    data: Mapping[str, Any],
    document: Document,
    at: tuple[str | int, ...],
    name: str,
    problems: Problems,
) -> Walk:
    fields = Fields(data, document, at, f"the walking surface of {name}", problems)
    tests = Fields(
        {str(i): rate for i, rate in enumerate(data.get("tests", ()))},
        document,
        (*at, "tests"),
        fields.owner,
        problems,
    )
    rates = [tests.size(key, SPEED) for key in tests.data]
    return Walk(
        slope_fraction=fields.ratio("slope"),
        cross_slope_fraction=fields.ratio("cross_slope"),
        falls_to=fields.text("falls_to"),
        opening_m=fields.length_m("opening"),
        opening_length_m=fields.length_m("opening_length"),
        opening_lies=data.get("opening_lies", "across"),
        step_m=fields.length_m("step"),
        bevel_fraction=fields.ratio("bevel"),
        unevenness_m=fields.length_m("unevenness"),
        flatness_m=fields.length_m("flatness"),
        lip_m=fields.length_m("lip_at_drain"),
        friction_fraction=fields.ratio("friction"),
        tests_m_per_s=tuple(rate for rate in rates if rate is not None),
    )
