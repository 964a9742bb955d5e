"""What a drawing of a section says beside each course, and below."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING

from checker.core.formula import OutOfRange, lack_text
from checker.core.showing import show
from checker.core.units import FABRIC_MASS, LENGTH, PER_TIME, RATIO, Amount, System
from checker.measure.catalogue import NotMeasured
from checker.measure.section.courses import depth_m
from checker.measure.section.water import emptying_s, kept_water_m
from checker.words.amounts import small

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.measure.section.bed import Bed, BedCourse
    from checker.site.section import SheetLayer


def per_cent(fraction: float) -> str:
    """A share without needless digits: 40 %, 2.5 %."""
    return f"{fraction * 100:g} %"


def course_lines(layer: BedCourse, system: System) -> tuple[str, ...]:
    """The words beside a course: its name, then its stone and properties."""
    course = layer.course
    parts: list[str] = []
    if course.stone:
        parts.append(f"No. {course.stone}" if course.stone[0].isdigit() else course.stone)
    if course.kind == "unit" and course.length_m and course.width_m:
        parts.append(f"{small(course.length_m, system)} x {small(course.width_m, system)}")
    if course.kind == "joint" and course.width_m:
        parts.append(f"{small(course.width_m, system)} wide")
    if layer.porosity_fraction is not None:
        parts.append(f"porosity {per_cent(layer.porosity_fraction)}")
    if course.is_washed:
        parts.append("washed")
    if course.sheet is not None:
        parts += _sheet_parts(course.sheet, system)
    if course.treatment:
        parts.append(course.treatment)
    return (course.title, *_wrapped(parts))


def _sheet_parts(sheet: SheetLayer, system: System) -> list[str]:
    parts: list[str] = []
    if sheet.opening_m is not None:
        parts.append(f"opening {show(Amount(sheet.opening_m, LENGTH, 'mm'), system)}")
    if sheet.permittivity_per_s is not None:
        parts.append(show(Amount(sheet.permittivity_per_s, PER_TIME), system))
    if sheet.mass_kg_per_m2 is not None:
        parts.append(show(Amount(sheet.mass_kg_per_m2, FABRIC_MASS), system))
    if sheet.aperture_m is not None:
        parts.append(f"aperture {small(sheet.aperture_m, system)}")
    if sheet.lap_m is not None:
        parts.append(f"lap {small(sheet.lap_m, system)}")
    return parts


def wrapped(lines: Sequence[str], most: int) -> list[str]:
    """Lines of at most so many signs, broken between words."""
    return [part for line in lines for part in textwrap.wrap(line, most) or [""]]


def _wrapped(parts: list[str], most: int = 34) -> list[str]:
    lines: list[str] = []
    for part in parts:
        if lines and len(lines[-1]) + len(part) + 2 <= most:
            lines[-1] += f", {part}"
        else:
            lines.append(part)
    return lines


def pipe_words(bed: Bed, system: System) -> str:
    """The perforated pipe in one line; empty without one."""
    pipe = bed.section.pipe
    if pipe is None:
        return ""
    words = [f"Perforated pipe, {small(pipe.diameter_m, system)} outside"]
    if pipe.holes_m is not None:
        down = " down" if pipe.holes_down else (" up" if pipe.holes_down is False else "")
        words.append(f"{small(pipe.holes_m, system)} holes{down}")
    if pipe.slots_m is not None:
        words.append(f"{small(pipe.slots_m, system)} slots")
    if pipe.above_subgrade_m is not None:
        words.append(f"{small(pipe.above_subgrade_m, system)} above the subgrade")
    if pipe.cover_m is not None:
        words.append(f"{small(pipe.cover_m, system)} of stone over it")
    if pipe.slope_fraction is not None:
        words.append(f"fall {show(Amount(pipe.slope_fraction, RATIO, '%'), system)}")
    return ", ".join(words)


def section_notes(bed: Bed, system: System) -> tuple[str, ...]:
    """The lines below the drawing: pipe, well, edge, water, and a caution."""
    section = bed.section
    notes: list[str] = []
    if section.pipe is not None:
        notes.append(pipe_words(bed, system))
        outlet_m = section.pipe.outlet_above_subgrade_m
        if outlet_m:
            notes.append(
                f"Outlet turns up {small(outlet_m, system)} above the subgrade: water below the "
                "dashed level soaks in"
            )
    if section.well_count:
        wells = "an observation well" if section.well_count == 1 else "observation wells"
        count = "" if section.well_count == 1 else f"{section.well_count} "
        cap = ", capped" if section.well_is_capped else ""
        notes.append(f"{count}{wells}".capitalize() + f" down to the subgrade{cap}")
    if section.edge:
        notes.append(f"Edge: {section.edge} (not drawn)")
    try:
        water_m, hours = kept_water_m(bed), emptying_s(bed) / 3600
        keeps = f"Keeps {small(water_m, system)} of water for the soil"
        empties = f"empties in {hours:.1f} h" if math.isfinite(hours) else "never empties"
        notes.append(f"{keeps} and {empties}")
    except (NotMeasured, OutOfRange) as lacks:
        notes.append(
            f"What it stores and how fast it empties cannot be told: {lack_text(lacks, system)}"
        )
    water_table_m = bed.ground.water_table_depth_m
    if water_table_m is not None:
        try:
            below_m = water_table_m - depth_m(bed)
            below = show(Amount(below_m, LENGTH), system)
            notes.append(f"Seasonal high water {below} below the subgrade")
        except (NotMeasured, OutOfRange) as lacks:
            notes.append(f"Distance to high water cannot be told: {lack_text(lacks, system)}")
    notes.append("Joints, stone and pipe are drawn in kind; dimensions written here govern.")
    return tuple(notes)
