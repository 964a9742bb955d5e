"""What a section is made of: kind, use, thicknesses, stone, and sieve tests against their sizes."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely

from checker.algebra.values import Missing, Quantity
from checker.core.units import RATIO
from checker.courses.gradation import fit
from checker.courses.surface import aspect_ratio
from checker.courses.tables import sieve_name
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import Bed, BedCourse, bed_of, need_bed, sieve_openings

if TYPE_CHECKING:
    from checker.core.words import CourseKind
    from checker.measure.survey import Survey
    from checker.site.model import Surface


def kind(survey: Survey, surface: Surface) -> str:
    """permeable, conventional, or none where it names no section."""
    bed = bed_of(survey, surface)
    return bed.section.kind if bed else "none"


def use(survey: Survey, surface: Surface) -> str:
    """Pedestrian or vehicle; none where it names no section."""
    bed = bed_of(survey, surface)
    return bed.section.use if bed else "none"


def thickness_m(bed: Bed, *kinds: CourseKind) -> float:
    """Thickness of its courses of some kinds together, 0 without any."""
    return bed.thickness_m(bed.of(*kinds))


def stone_thickness_m(bed: Bed) -> float:
    """Thickness of all stone below the bedding."""
    return bed.thickness_m(bed.reservoir)


def section_thickness_m(bed: Bed) -> float:
    """From the finished surface down to the subgrade."""
    return depth_m(bed)


def depth_m(bed: Bed) -> float:
    """From the finished surface down to the subgrade, m.

    Raises:
        NotMeasured: A course has no thickness.
    """
    return bed.thickness_m((*bed.of("unit"), *bed.stones))


def joint_width_m(bed: Bed) -> float:
    """Width of the joints."""
    joint = _one(bed, "joint")
    return bed.need(joint.course.width_m, "width", joint)


def open_fraction(bed: Bed) -> float:
    """Share of the surface that is joint."""
    joint = _one(bed, "joint")
    return bed.need(joint.course.open_fraction, "open_share", joint)


def unit_aspect_ratio(bed: Bed) -> float:
    """Length of a unit over its thickness."""
    unit = _one(bed, "unit")
    return aspect_ratio(
        bed.need(unit.course.length_m, "length", unit),
        bed.need(unit.course.thickness_m, "thickness", unit),
    )


def _one(bed: Bed, kind_: CourseKind) -> BedCourse:
    found = bed.of(kind_)
    if not found:
        raise NotMeasured(f"add the course '{kind_}' to {bed.section.id}")
    return found[0]


def stone(survey: Survey, surface: Surface, kind_: CourseKind) -> str:
    """Size of the stone of its first course of a kind, none without any."""
    bed = bed_of(survey, surface)
    layers = bed.of(kind_) if bed else ()
    if not layers:
        return "none"
    if not layers[0].course.stone:
        raise NotMeasured(f"give 'stone' of the {layers[0].name}")
    return layers[0].course.stone


def _fines_fraction(bed: Bed, layer: BedCourse) -> float:
    if layer.course.fines_fraction is not None:
        return layer.course.fines_fraction
    tested = dict(layer.course.sieves).get("No. 200")
    return bed.need(tested, "fines", layer)


def bedding_fines_fraction(bed: Bed) -> float:
    """Share of the bedding stone that passes the No. 200 sieve."""
    return _fines_fraction(bed, _one(bed, "bedding"))


def reservoir_fines_fraction(bed: Bed) -> float:
    """The largest share passing the No. 200 sieve among the stone below the bedding."""
    return max((_fines_fraction(bed, layer) for layer in bed.reservoir), default=0.0)


def fractured_fraction(bed: Bed) -> float:
    """Share of the bedding stone with fractured faces."""
    layer = _one(bed, "bedding")
    return bed.need(layer.course.fractured_fraction, "fractured_faces", layer)


def abrasion_fraction(bed: Bed) -> float:
    """The largest loss in the abrasion test among all stone under the units."""
    return max(
        (bed.need(layer.course.abrasion_fraction, "abrasion", layer) for layer in bed.stones),
        default=0.0,
    )


def is_washed(bed: Bed) -> bool:
    """Every course of stone under the units is washed."""
    for layer in bed.stones:
        if layer.course.is_washed is None:
            bed.need(None, "washed", layer)
    return all(layer.course.is_washed for layer in bed.stones)


def is_compacted(bed: Bed) -> bool:
    """The subgrade below it is compacted."""
    layer = _one(bed, "subgrade")
    if layer.course.is_compacted is None:
        bed.need(None, "compacted", layer)
    return bool(layer.course.is_compacted)


def has_edge(bed: Bed) -> bool:
    """Something holds the edge."""
    return bool(bed.section.edge)


def wells(bed: Bed) -> int:
    """Number of observation wells; 0 where none is drawn."""
    return bed.section.well_count or 0


def is_lined(bed: Bed) -> bool:
    """A liner lies below its stone, so that no water reaches the soil through the base."""
    return bed.is_lined


def is_lined_beside(bed: Bed) -> bool:
    """A liner stands at one side of its stone, or at all."""
    liners = bed.of("liner")
    return any(layer.course.sheet and "side" in layer.course.sheet.covers for layer in liners)


def has_subgrade_fabric(bed: Bed) -> bool:
    """A fabric lies below the lowest stone."""
    return subgrade_sheet(bed) is not None


def subgrade_sheet(bed: Bed) -> BedCourse | None:
    """The fabric below the lowest course of stone; None without one."""
    found: BedCourse | None = None
    for layer in bed.layers:
        if layer.course.kind == "fabric":
            found = layer
        elif layer in bed.stones:
            found = None
    return found


def has_grid(bed: Bed) -> bool:
    """A grid is among the courses."""
    return bool(bed.of("grid"))


def sieves_outside(survey: Survey, surface: Surface) -> Quantity:
    """Sieves on which the submitted tests lie outside the sizes that the courses name.

    A sieve that was not tested counts as one that may be outside; so does every sieve of a course
    without a test. The answer is then a range, and asks for what is missing.
    """
    bed = need_bed(survey, surface)
    outside_count, open_count = 0, 0
    missing: list[Missing] = []
    for layer in bed.layers:
        if layer.band is None or layer.course.kind == "subgrade":
            continue
        owner = f"the {layer.name} of {bed.section.id}"
        if layer.curve is None:
            open_count += len(layer.band.limits)
            missing.append(
                Missing("sieves_outside", surface.id, f"give a sieve test, 'sieves', of {owner}")
            )
            continue
        for result in fit(layer.curve, layer.band):
            if result.holds is False:
                outside_count += 1
            elif result.holds is None:
                open_count += 1
                name = sieve_name(result.limits.opening_m, sieve_openings())
                missing.append(
                    Missing("sieves_outside", surface.id, f"give the {name} sieve of {owner}")
                )
    return Quantity(float(outside_count), float(outside_count + open_count), RATIO, tuple(missing))


def longest_m(surface: Surface) -> float:
    """Longest side of the box round a surface, m."""
    box = surface.shape.minimum_rotated_rectangle
    corners = list(box.exterior.coords) if isinstance(box, shapely.Polygon) else []
    return max((math.dist(a, b) for a, b in pairwise(corners)), default=0.0)
