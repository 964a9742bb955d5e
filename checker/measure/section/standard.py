"""A drawn section beside the adopted standard one: each difference, and what both do.

A section that differs needs a written authorisation before it is built; this lists what the person
who grants it must see, and looks for the record. It grants nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core.formula import OutOfRange, lack_text
from checker.core.problems import Problems, did_you_mean
from checker.core.records import Record
from checker.core.units import LENGTH, RATIO, TIME, Amount, Order, meets
from checker.courses.tables import cell_si
from checker.files.tables import ReferenceTable, table
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import Bed, BedCourse, make_bed, need_bed
from checker.measure.section.courses import depth_m
from checker.measure.section.filters import choke_of, retention_of
from checker.measure.section.water import emptying_s, kept_water_m
from checker.site.section import Course, PavementSection

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from checker.core.units import System
    from checker.measure.survey import Survey
    from checker.site.model import Surface

AUTHORISATION = "section-authorisation"
"""The document that the `on_file` list must hold for a section that differs."""

STRENGTH = (
    "Strength is not computed here: a licensed engineer confirms it wherever vehicles, walls or "
    "weak soil are involved."
)


class Departure(Record, kw_only=True):
    """One point in which the drawn section is not the standard one.

    Attributes:
        clause: Of the standard.
        course: Which course.
        says: The difference in words.
        standard: What the standard has: an amount, or a text such as a stone size.
        drawn: What the drawing has.
        source: Key of the document behind the clause.
    """

    clause: str
    course: str
    says: str
    standard: Amount | str
    drawn: Amount | str
    source: str


class Performance(Record, kw_only=True):
    """One number of both sections; None where it cannot be worked out, with the reason."""

    name: str
    standard: Amount | None
    drawn: Amount | None
    because: str = ""


def _rows(bed: Bed) -> tuple[ReferenceTable, list[Mapping[str, Any]]]:
    found = table("standard-sections")
    wanted = bed.section.standard
    if not wanted:
        raise NotMeasured(f"name the adopted section that {bed.section.id} follows: 'standard'")
    rows = [row for row in found.rows if row["section"] == wanted]
    if not rows:
        problems = Problems()
        known = {str(row["section"]) for row in found.rows}
        says = f"there is no standard section '{wanted}'"
        problems.add(bed.section.place, says, did_you_mean(wanted, known))
        problems.stop_if_any(f"{bed.section.place.file} cannot be used")
    return found, rows


def departures(bed: Bed) -> tuple[Departure, ...]:
    """Every point in which a section is not the standard that it names.

    Raises:
        NotMeasured: It names no standard, or a course lacks its stone or thickness.
        BadInput: It names a standard that is not there.
    """
    found, rows = _rows(bed)
    differences: list[Departure] = []
    for row in rows:
        layers = bed.of(row["course"])
        if not layers:
            differences.append(_departure(row, "is left out", _what(row, found), "none"))
            continue
        differences += _compared(bed, layers, row, found)
    listed = {str(row["course"]) for row in rows}
    for layer in bed.stones:
        if layer.course.kind not in listed:
            row = {"clause": "", "course": layer.course.kind, "source": rows[0]["source"]}
            stone = layer.course.stone or "stone"
            differences.append(_departure(row, "is added", "none", stone))
    return tuple(differences)


def _compared(
    bed: Bed, layers: tuple[BedCourse, ...], row: Mapping[str, Any], found: ReferenceTable
) -> list[Departure]:
    differences: list[Departure] = []
    allowed = str(row.get("stone", "")).split()
    if allowed:
        for layer in layers:
            if not layer.course.stone:
                bed.need(None, "stone", layer)
            if layer.course.stone not in allowed:
                differences.append(
                    _departure(row, "is of another stone", " or ".join(allowed), layer.course.stone)
                )
    asked_m = cell_si(row, "thickness", found.columns)
    if asked_m is not None:
        drawn_m = bed.thickness_m(layers)
        order: Order = "equal to" if row.get("compare") == "equal to" else "at least"
        if not meets(drawn_m, asked_m, order):
            says = "is thinner" if drawn_m < asked_m else "is thicker"
            differences.append(
                _departure(row, says, Amount(asked_m, LENGTH, "in"), Amount(drawn_m, LENGTH, "in"))
            )
    return differences


def _departure(
    row: Mapping[str, Any], says: str, standard: Amount | str, drawn: Amount | str
) -> Departure:
    course = str(row["course"])
    return Departure(
        clause=str(row["clause"]),
        course=course,
        says=f"the {course.replace('-', ' ')} {says}",
        standard=standard,
        drawn=drawn,
        source=str(row["source"]),
    )


def _what(row: Mapping[str, Any], found: ReferenceTable) -> Amount | str:
    if row.get("stone"):
        return str(row["stone"]).replace(" ", " or ")
    thickness_m = cell_si(row, "thickness", found.columns)
    return Amount(thickness_m, LENGTH, "in") if thickness_m is not None else "present"


def standard_bed(bed: Bed) -> Bed:
    """The standard section that a section names, on the same ground.

    Raises:
        NotMeasured: It names no standard.
        BadInput: It names a standard that is not there.
    """
    found, rows = _rows(bed)
    courses = tuple(
        Course(
            kind=row["course"],
            title=str(row["course"]).capitalize(),
            place=bed.section.place,
            at=(),
            thickness_m=cell_si(row, "thickness", found.columns),
            stone=str(row.get("stone", "")).split(" ")[0],
            porosity_fraction=cell_si(row, "porosity", found.columns),
        )
        for row in rows
    )
    section = PavementSection(
        id=bed.section.standard,
        title=bed.section.standard.replace("-", " ").capitalize(),
        kind=bed.section.kind,
        use=bed.section.use,
        courses=courses,
        place=bed.section.place,
        subgrade_slope_fraction=bed.section.subgrade_slope_fraction,
    )
    return make_bed(section, bed.ground, bed.soil, Problems())


def compare(bed: Bed, system: System = "us") -> tuple[Performance, ...]:
    """What the standard section and the drawn one do, by numbers.

    Raises:
        NotMeasured: It names no standard.
        BadInput: It names a standard that is not there.
    """
    other = standard_bed(bed)

    def of(name: str, work: Callable[[Bed], Amount]) -> Performance:
        because: list[str] = []
        found: list[Amount | None] = []
        for each in (other, bed):
            try:
                found.append(work(each))
            except (NotMeasured, OutOfRange) as lacks:
                found.append(None)
                because.append(lack_text(lacks, system))
        return Performance(
            name=name, standard=found[0], drawn=found[1], because="; ".join(dict.fromkeys(because))
        )

    return (
        of("depth of the section", lambda each: Amount(depth_m(each), LENGTH, "in")),
        of(
            "stone below the bedding",
            lambda each: Amount(each.thickness_m(each.reservoir), LENGTH, "in"),
        ),
        of("water kept for the soil", lambda each: Amount(kept_water_m(each), LENGTH, "in")),
        of("time to empty", lambda each: Amount(emptying_s(each), TIME, "h")),
        of("worst D15 over D85 between courses", lambda each: Amount(retention_of(each), RATIO)),
        of("worst D15 over D50 between courses", lambda each: Amount(choke_of(each), RATIO)),
    )


def departures_count(survey: Survey, surface: Surface) -> int:
    """Points in which its section is not the standard that it names."""
    return len(departures(need_bed(survey, surface)))


def is_authorised(survey: Survey, surface: Surface) -> bool:
    """A written authorisation of its section is on file, with its author and date."""
    owners = {"", surface.id, surface.section}
    return any(
        item.document == AUTHORISATION and item.of in owners and item.by and item.date
        for item in survey.site.on_file
    )
