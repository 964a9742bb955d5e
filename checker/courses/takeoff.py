"""Take-off: volumes, masses as ranges, fabric with laps, pipe, units with waste, and what to order.

Amounts in place come first; allowances (compaction and loss, laps, waste, swell) are arguments, so
a page can show both. Rounding up to what a truck or pallet carries is the last step, on its own.
"""

from __future__ import annotations

import math

from checker.core.formula import FRACTION, NOT_NEGATIVE, POSITIVE, Range, formula
from checker.core.records import Record
from checker.core.rounding import rounded
from checker.courses.voids import dry_density_kg_per_m3

_AREA = {"area_m2": NOT_NEGATIVE}


class Span(Record):
    """The least, usual and most of an amount, all in one unit that the owner's name gives."""

    least: float
    usual: float
    most: float

    def scaled(self, factor: float) -> Span:
        """The same span times a positive number."""
        return Span(self.least * factor, self.usual * factor, self.most * factor)


@formula(
    source="section-arithmetic",
    section="area x thickness x (1 + allowance)",
    valid={**_AREA, "thickness_m": NOT_NEGATIVE, "allowance_fraction": NOT_NEGATIVE},
)
def course_volume_m3(area_m2: float, thickness_m: float, allowance_fraction: float = 0.0) -> float:
    """Volume of a course in place, or with an allowance for compaction and loss, to bring.

    Example:
        By hand: 400 sq ft x 4 in = 133.3 cu ft = 4.94 cu yd.

        >>> round(course_volume_m3(400 * 0.3048**2, 4 * 0.0254) / 0.9144**3, 2)
        4.94
    """
    return area_m2 * thickness_m * (1 + allowance_fraction)


@formula(
    source="section-arithmetic",
    section="volume x dry density",
    valid={"volume_m3": NOT_NEGATIVE, "density_kg_per_m3": POSITIVE},
)
def mass_kg(volume_m3: float, density_kg_per_m3: float) -> float:
    """Mass of a volume of stone.

    Example:
        By hand: 4.938 cu yd x 1.35 ton = 6.67 ton.

        >>> ton_kg = 907.18474
        >>> round(mass_kg(4.938 * 0.9144**3, 1.35 * ton_kg / 0.9144**3) / ton_kg, 2)
        6.67
    """
    return volume_m3 * density_kg_per_m3


def stone_mass_kg(volume_m3: float, porosity: Span, specific_gravity: Span) -> Span:
    """Mass of stone from its porosity and the specific gravity of the rock, as a span.

    The least mass goes with the most porosity and the lightest rock.

    Args:
        volume_m3: Volume in place.
        porosity: Holes per volume in place, shares.
        specific_gravity: Density of the rock over that of water.

    Raises:
        OutOfRange: A porosity is not in 0 to below 1, or a specific gravity not positive.
    """
    return Span(
        mass_kg(volume_m3, dry_density_kg_per_m3(porosity.most, specific_gravity.least)),
        mass_kg(volume_m3, dry_density_kg_per_m3(porosity.usual, specific_gravity.usual)),
        mass_kg(volume_m3, dry_density_kg_per_m3(porosity.least, specific_gravity.most)),
    )


@formula(
    source="section-arithmetic",
    section="area x share of joints x depth",
    valid={**_AREA, "open_fraction": FRACTION, "depth_m": NOT_NEGATIVE},
)
def joint_volume_m3(area_m2: float, open_fraction: float, depth_m: float) -> float:
    """Volume of stone that fills the joints and openings of a unit surface.

    Example:
        By hand: 400 sq ft x 10 % x 3-1/8 in = 10.42 cu ft.

        >>> round(joint_volume_m3(400 * 0.3048**2, 0.10, 3.125 * 0.0254) / 0.3048**3, 2)
        10.42
    """
    return area_m2 * open_fraction * depth_m


@formula(
    source="section-arithmetic",
    section="area x (1 + waste) / area of one unit with its joint, rounded up",
    valid={**_AREA, "unit_area_m2": POSITIVE, "waste_fraction": NOT_NEGATIVE},
)
def units_count(area_m2: float, unit_area_m2: float, waste_fraction: float) -> int:
    """How many units to lay an area, with an allowance for cuts and breakage.

    Example:
        By hand: 400 / 0.375 = 1066.7; with 10 % 1173.3, so 1174.

        >>> units_count(400.0, 0.375, 0.10)
        1174
    """
    return math.ceil(rounded_whole(area_m2 * (1 + waste_fraction) / unit_area_m2))


def rounded_whole(count: float) -> float:
    """A count as it is, but exactly whole where it is whole within the one tolerance."""
    return rounded(count, 1.0, "up")


@formula(
    source="section-arithmetic",
    section="1 + (width - roll) / (roll - lap), rounded up",
    valid={"width_m": POSITIVE, "roll_width_m": POSITIVE, "lap_m": NOT_NEGATIVE},
)
def strips_count(width_m: float, roll_width_m: float, lap_m: float) -> int:
    """How many strips of fabric side by side cover a width.

    Raises:
        ValueError: The lap is as wide as the roll.

    Example:
        By hand: 24 ft with 12.5 ft rolls lapped 2 ft: 1 + 11.5/10.5 rounded up.

        >>> strips_count(24.0, 12.5, 2.0)
        3
    """
    if lap_m >= roll_width_m:
        raise ValueError(f"a lap of {lap_m:g} m leaves nothing of a {roll_width_m:g} m roll")
    more = rounded_whole((width_m - roll_width_m) / (roll_width_m - lap_m))
    return 1 + max(0, math.ceil(more))


def fabric_area_m2(
    length_m: float,
    width_m: float,
    *,
    roll_width_m: float,
    lap_m: float,
    turn_up_m: float = 0.0,
) -> float:
    """Fabric to cut for a rectangular bed, strips along whichever side needs less.

    Args:
        length_m: One side of the bed.
        width_m: The other.
        roll_width_m: Width of the roll.
        lap_m: Side lap of neighbouring strips.
        turn_up_m: How far the fabric turns up each of the four walls.
    """
    long_m, wide_m = length_m + 2 * turn_up_m, width_m + 2 * turn_up_m
    return min(
        strips_count(wide_m, roll_width_m, lap_m) * roll_width_m * long_m,
        strips_count(long_m, roll_width_m, lap_m) * roll_width_m * wide_m,
    )


@formula(
    source="section-arithmetic",
    section="in-place volume x (1 + swell)",
    valid={"bank_volume_m3": NOT_NEGATIVE, "swell_fraction": Range(0.0, 1.0)},
)
def loose_volume_m3(bank_volume_m3: float, swell_fraction: float) -> float:
    """Volume of dug soil on the truck, from its volume in the ground.

    Example:
        By hand: 10 cu yd of earth that swells by 25 %.

        >>> loose_volume_m3(10.0, 0.25)
        12.5
    """
    return bank_volume_m3 * (1 + swell_fraction)


@formula(
    source="section-arithmetic",
    section="length x (1 + allowance)",
    valid={"length_m": NOT_NEGATIVE, "allowance_fraction": NOT_NEGATIVE},
)
def pipe_length_m(length_m: float, allowance_fraction: float) -> float:
    """Pipe to bring for a run on the drawing, with an allowance for cuts and joints.

    Example:
        By hand: 60 ft and 10 %.

        >>> round(pipe_length_m(60.0, 0.10), 6)
        66.0
    """
    return length_m * (1 + allowance_fraction)


def to_order(needed: float, pack: float) -> float:
    """What to order when a supplier sells by the truck, pallet, roll or stick: rounded up.

    Args:
        needed: The amount, at least 0, in any unit.
        pack: What one truck, pallet, roll or stick holds, in the same unit, above 0.

    Raises:
        ValueError: The pack is not positive.

    Example:
        >>> to_order(6.67, 5.0), to_order(10.0, 5.0), to_order(0.0, 5.0)
        (10.0, 10.0, 0.0)
    """
    if pack <= 0:
        raise ValueError(f"a pack of {pack:g} cannot be ordered by")
    return rounded(needed, pack, "up")
