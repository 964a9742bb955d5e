"""Whether the layers of a section hold each other, and the pipe and fabric in it."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.core.units import meets
from checker.courses.fabrics import (
    FINES_FOR_NO_FABRIC_ALONE_FRACTION,
    FabricLimits,
    lap_for,
    limits_for,
)
from checker.courses.filters import Neighbours, is_coarser, neighbours, pipe_opening_ratio
from checker.courses.tables import fabric_limits, laps
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import Bed, BedCourse
from checker.measure.section.courses import subgrade_sheet

if TYPE_CHECKING:
    from collections.abc import Callable


class Contact(Record, kw_only=True):
    """Two layers that touch, and their filter ratios.

    Attributes:
        upper: The layer above.
        lower: The layer below.
        finer: Which of the two could wash into the other.
        ratios: None when a size is not known.
    """

    upper: BedCourse
    lower: BedCourse
    finer: BedCourse | None
    ratios: Neighbours | None

    @property
    def name(self) -> str:
        """How a page calls it."""
        return f"{self.upper.name} on {self.lower.name}"


def contacts(bed: Bed) -> tuple[Contact, ...]:
    """The layers of stone that touch, from the top down, without those that a fabric parts.

    The joints lie on the bedding. Two courses of one stone size are one layer.
    """
    found: list[Contact] = []
    ranked = [layer for layer in bed.layers if layer.course.kind not in {"unit", "grid"}]
    for upper, lower in pairwise(ranked):
        kinds = {upper.course.kind, lower.course.kind}
        if kinds & {"fabric", "liner", "subgrade"}:
            continue
        if upper.course.stone and upper.course.stone == lower.course.stone:
            continue
        found.append(_contact(upper, lower))
    return tuple(found)


def _contact(upper: BedCourse, lower: BedCourse) -> Contact:
    if upper.span is None or lower.span is None:
        return Contact(upper=upper, lower=lower, finer=None, ratios=None)
    lower_coarser = is_coarser(lower.span, upper.span)
    if lower_coarser is None:
        return Contact(upper=upper, lower=lower, finer=None, ratios=None)
    finer, coarser = (upper, lower) if lower_coarser else (lower, upper)
    assert finer.span is not None
    assert coarser.span is not None
    return Contact(
        upper=upper, lower=lower, finer=finer, ratios=neighbours(coarser.span, finer.span)
    )


def _ratio(bed: Bed, contact: Contact, pick: Callable[[Neighbours], float | None]) -> float:
    found = pick(contact.ratios) if contact.ratios else None
    if found is not None:
        return found
    for layer in (contact.upper, contact.lower):
        if layer.span is None:
            bed.need(None, "stone", layer)
    raise NotMeasured(f"give 'sieves' down to a finer sieve: {contact.name} of {bed.section.id}")


def retention_of(bed: Bed) -> float:
    """The worst D15 over D85 between neighbouring courses; 0 where no two touch.

    Raises:
        NotMeasured: The stone of a course is not known well enough.
    """
    return max(
        (_ratio(bed, contact, lambda r: r.retention_worst_ratio) for contact in contacts(bed)),
        default=0.0,
    )


def choke_of(bed: Bed) -> float:
    """The worst D15 over D50 between neighbouring courses; 0 where no two touch.

    Raises:
        NotMeasured: The stone of a course is not known well enough.
    """
    return max(
        (_ratio(bed, contact, lambda r: r.choke_worst_ratio) for contact in contacts(bed)),
        default=0.0,
    )


def _below_joints(bed: Bed) -> tuple[Contact, ...]:
    return tuple(item for item in contacts(bed) if item.upper.course.kind != "joint")


def touching_count(bed: Bed) -> int:
    """Pairs of courses of different stone that touch, below the joints."""
    return len(_below_joints(bed))


def spread_ratio(bed: Bed) -> float:
    """The least D50 over D50 between neighbouring courses below the joints.

    Half way in the bands where no test is submitted, as the rule is meant for actual curves.

    Raises:
        NotMeasured: Fewer than two courses of different stone touch.
    """
    found = [_ratio(bed, item, lambda r: r.spread_mid_ratio) for item in _below_joints(bed)]
    if not found:
        raise NotMeasured(f"{bed.section.id} has no two courses of different stone that touch")
    return min(found)


def _soil(bed: Bed) -> tuple[BedCourse, Neighbours]:
    if bed.soil is None:
        raise NotMeasured("give 'soil' under 'ground': d15, d50 and d85, or 'sieves'")
    if not bed.stones:
        raise NotMeasured(f"add a course of stone to {bed.section.id}")
    lowest = bed.stones[-1]
    if lowest.span is None:
        bed.need(None, "stone", lowest)
    assert lowest.span is not None
    return lowest, neighbours(lowest.span, bed.soil)


def _of_soil(value: float | None, what: str) -> float:
    if value is None:
        raise NotMeasured(f"give {what} of 'soil' under 'ground'")
    return value


def soil_retention_ratio(bed: Bed) -> float:
    """The worst D15 of the lowest stone over D85 of the soil."""
    _, found = _soil(bed)
    return _of_soil(found.retention_worst_ratio, "'d85'")


def soil_spread_ratio(bed: Bed) -> float:
    """The most D50 of the lowest stone over D50 of the soil."""
    _, found = _soil(bed)
    return _of_soil(found.spread_high_ratio, "'d50'")


def soil_permeability_ratio(bed: Bed) -> float:
    """The least D15 of the lowest stone over D15 of the soil."""
    _, found = _soil(bed)
    return _of_soil(found.permeability_low_ratio, "'d15'")


def soil_fines_fraction(bed: Bed) -> float:
    """Share of the soil that passes the No. 200 sieve."""
    soil = bed.ground.soil
    if soil.fines_fraction is not None:
        return soil.fines_fraction
    return _of_soil(dict(soil.sieves).get("No. 200"), "'fines'")


def _fabric(bed: Bed) -> BedCourse:
    found = subgrade_sheet(bed)
    if found is None or found.course.sheet is None:
        raise NotMeasured(f"{bed.section.id} has no fabric on the subgrade")
    return found


def fabric_opening_m(bed: Bed) -> float:
    """Apparent opening of the fabric on the subgrade."""
    layer = _fabric(bed)
    assert layer.course.sheet is not None
    return bed.need(layer.course.sheet.opening_m, "opening", layer)


def fabric_permittivity_per_s(bed: Bed) -> float:
    """Permittivity of the fabric on the subgrade."""
    layer = _fabric(bed)
    assert layer.course.sheet is not None
    return bed.need(layer.course.sheet.permittivity_per_s, "permittivity", layer)


def fabric_lap_m(bed: Bed) -> float:
    """Side lap of the fabric on the subgrade."""
    layer = _fabric(bed)
    assert layer.course.sheet is not None
    return bed.need(layer.course.sheet.lap_m, "lap", layer)


def fabric_lap_share_ratio(bed: Bed) -> float:
    """Side lap of the fabric over the least that the table asks on a soil of its CBR."""
    rows = table("fabric-laps")
    asked = lap_for(bearing_ratio(bed), laps(rows.rows, rows.columns))
    if asked is None:
        raise NotMeasured("the table 'fabric-laps' is silent on this 'bearing_ratio'")
    return fabric_lap_m(bed) / asked.lap_least_m


def fabric_opening_share_ratio(bed: Bed) -> float:
    """Opening of the fabric over the most that the table allows on a soil of its fines."""
    return fabric_opening_m(bed) / _limits(bed).opening_at_most_m


def fabric_permittivity_share_ratio(bed: Bed) -> float:
    """Permittivity of the fabric over the least that the table asks on a soil of its fines."""
    asked = _limits(bed).permittivity_at_least_per_s
    if asked is None:
        raise NotMeasured("the table 'fabric-limits-agency' is silent on permittivity here")
    return fabric_permittivity_per_s(bed) / asked


def _limits(bed: Bed) -> FabricLimits:
    """The row of the table for the soil; none where a fabric alone is no filter."""
    fines = soil_fines_fraction(bed)
    if not meets(fines, FINES_FOR_NO_FABRIC_ALONE_FRACTION, "less than"):
        raise NotMeasured("on a soil with 85 % fines or more a fabric alone is no filter")
    rows = table("fabric-limits-agency")
    found = limits_for(fines, fabric_limits(rows.rows, rows.columns))
    if found is None:
        raise NotMeasured("the table 'fabric-limits-agency' is silent on these fines")
    return found


def bearing_ratio(bed: Bed) -> float:
    """Bearing ratio (CBR) of the soil below it, per cent."""
    if bed.ground.bearing_ratio is None:
        raise NotMeasured("give 'bearing_ratio' under 'ground', the CBR in per cent")
    return bed.ground.bearing_ratio


def pipe_openings(bed: Bed) -> str:
    """Holes, slots, unsaid, or none without a pipe."""
    pipe = bed.section.pipe
    if pipe is None:
        return "none"
    if pipe.slots_m is not None:
        return "slots"
    if pipe.holes_m is None:
        raise NotMeasured("give 'holes' or 'slots' of the pipe")
    return "holes"


def pipe_ratio(bed: Bed) -> float:
    """D85 of the finest stone that may lie round the pipe, over the width of its openings."""
    pipe = bed.section.pipe
    if pipe is None:
        raise NotMeasured(f"{bed.section.id} has no pipe")
    opening_m = pipe.slots_m if pipe.slots_m is not None else pipe.holes_m
    if opening_m is None:
        raise NotMeasured(f"give 'holes' or 'slots' of the pipe of {bed.section.id}")
    span = bed.surround
    if span is None or span.fine.d85_m is None:
        raise NotMeasured(f"give 'stone' of the pipe of {bed.section.id}")
    return pipe_opening_ratio(span.fine.d85_m, opening_m)
