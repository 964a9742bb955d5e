"""Doubts that only the whole drawing shows: its units, its recorded area, what lies outside.

The bounds are this project's own (common practice, no source): a house lot has 50 m2 to 40 ha;
under 2 m2 or over 4 km2 is no lot at all. A recorded area agrees within half its last digit.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.showing import show, show_number
from checker.core.units import AREA, UNIT, Amount
from checker.site.model import Assumption

if TYPE_CHECKING:
    from checker.site.clean import Notes
    from checker.site.model import Lot, Surface

PLAUSIBLE_M2: Final = (50.0, 400_000.0)
POSSIBLE_M2: Final = (2.0, 4_000_000.0)
FINE_FRACTION: Final = 0.005
UNIT_FITS_FRACTION: Final = 0.02
TOO_FAR_FRACTION: Final = 0.25
SLIP_M2: Final = 0.01
"""So little beyond the lot line is a slip of the pen. Common practice, no source."""
TO_THE_STREET: Final = frozenset({"drive", "parking", "walk", "service-walk", "road", "fire-lane"})
"""What may lead over the lot line to a street; other new work there is on somebody else's land."""

_UNITS: Final = ("ft", "m", "in", "mm", "cm", "yd")


def check_lot_size(lot: Lot, unit: str, notes: Notes) -> None:
    """Say so when the area of the lot speaks for another unit of the drawing.

    Args:
        lot: The lot.
        unit: The unit in which its boundary is drawn, or "degrees".
        notes: Where doubts go.
    """
    area_m2 = lot.boundary.area
    if lot.recorded_area_m2:
        _check_recorded(lot, lot.recorded_area_m2, unit, notes)
        return
    if PLAUSIBLE_M2[0] <= area_m2 <= PLAUSIBLE_M2[1]:
        return
    fits = [
        f"{notes.area(other_m2)} in '{other}'"
        for other, other_m2 in _in_other_units(area_m2, unit)
        if PLAUSIBLE_M2[0] <= other_m2 <= PLAUSIBLE_M2[1]
    ]
    says = f"the lot has {notes.area(area_m2)} in '{unit}', hardly the size of a lot"
    if fits:
        says += f"; it would have {' or '.join(fits)}"
    if POSSIBLE_M2[0] <= area_m2 <= POSSIBLE_M2[1]:
        notes.repair(lot.place, f"{says}; kept as drawn, check the unit")
    else:
        do = "correct the unit, or give the lot's 'recorded_area' to confirm it"
        notes.problem(lot.place, says, do)


def _in_other_units(area_m2: float, unit: str) -> list[tuple[str, float]]:
    if unit not in UNIT:  # degrees, whose size is no matter of choice
        return []
    size_m = UNIT[unit].size_si
    return [
        (other, area_m2 * (UNIT[other].size_si / size_m) ** 2) for other in _UNITS if other != unit
    ]


def _check_recorded(lot: Lot, recorded_m2: float, unit: str, notes: Notes) -> None:
    area_m2 = lot.boundary.area
    off = area_m2 / recorded_m2 - 1
    if math.fabs(area_m2 - recorded_m2) <= lot.recorded_half_m2 * (1 + 1e-9):
        return
    drawn, printed = notes.area(area_m2), notes.area(recorded_m2)
    if drawn == printed:
        drawn, printed = (
            show(Amount(each_m2, AREA), notes.system, decimals=2)
            for each_m2 in (area_m2, recorded_m2)
        )
    says = f"the lot is drawn with {drawn}, but its recorded area is {printed}"
    for other, other_m2 in _in_other_units(area_m2, unit):
        if math.fabs(other_m2 / recorded_m2 - 1) <= UNIT_FITS_FRACTION:
            do = f"the two agree when the drawing is in '{other}' rather than '{unit}'"
            notes.problem(lot.place, says, do)
            return
    if math.fabs(off) > TOO_FAR_FRACTION:
        notes.problem(lot.place, says, "correct one of them")
        return
    share = f"{show_number(100 * math.fabs(off), 1)} %"
    if math.fabs(off) < FINE_FRACTION:
        share = notes.area(math.fabs(area_m2 - recorded_m2))
    notes.repair(lot.place, f"{says} ({share} {'more' if off > 0 else 'less'}); kept as drawn")


def check_outside(lot: Lot, surfaces: list[Surface], notes: Notes) -> list[Assumption]:
    """Tell of surfaces that reach outside the lot; if all of them do, the places do not match.

    Returns:
        New work beyond the lot line but for what leads to a street: that it ends there.
    """
    from shapely import prepare

    prepare(lot.boundary)
    strangers, partly = [], []
    for surface in surfaces:
        if lot.boundary.covers(surface.shape):
            continue
        outside_m2 = surface.shape.difference(lot.boundary).area
        inside_m2 = surface.shape.intersection(lot.boundary).area
        if inside_m2 <= 1e-9 * min(surface.shape.area, lot.boundary.area):
            strangers.append(surface)
        elif outside_m2 > 1e-6 * surface.shape.area:
            partly.append((surface, outside_m2))
    if strangers and len(strangers) == len(surfaces):
        says = "no surface lies inside the lot"
        do = "lot and surfaces must share one origin and one unit"
        notes.problem(lot.place, says, do)
        return []
    _check_scale(lot, surfaces, len(strangers), notes)
    for surface, outside_m2 in partly:
        says = f"{surface.id} reaches {notes.area(outside_m2)} outside the lot"
        notes.repair(surface.place, f"{says}; that part is listed apart")
    for surface in strangers:
        notes.repair(surface.place, f"{surface.id} lies outside the lot; it is listed apart")
    return [
        Assumption(place=surface.place, what=surface.title, taken_as="ending at the lot line")
        for surface in (*(item for item, over_m2 in partly if over_m2 > SLIP_M2), *strangers)
        if surface.stage in {"proposed", "replaced"}
        and surface.attributes.get("purpose") not in TO_THE_STREET
    ]


def _check_scale(lot: Lot, surfaces: list[Surface], outside_count: int, notes: Notes) -> None:
    """Say so when surfaces and lot hardly share an origin and a unit."""
    from shapely import get_parts

    if outside_count * 2 > len(surfaces):
        says = f"{outside_count} of {len(surfaces)} surfaces lie outside the lot"
        notes.repair(lot.place, f"{says}; check that all share one origin and one unit")
    for surface in surfaces:
        if surface.shape.area <= lot.boundary.area:
            continue
        # A building next door may be larger; one on the lot may not.
        here = [p for p in get_parts(surface.shape) if p.intersects(lot.boundary)]
        if any(part.area > lot.boundary.area * (1 + 1e-9) for part in here):
            notes.repair(surface.place, f"{surface.id} is larger than the lot; check its unit")
