"""Flow in round pipes by Manning and in leaders: flow, and the size, slope or depth for a flow.

Open channels and trench channels are in `channels`.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Literal

from checker.core.formula import FRACTION, NOT_NEGATIVE, POSITIVE, OutOfRange, Range, formula
from checker.core.units import FOOT_M, INCH_M

if TYPE_CHECKING:
    from collections.abc import Callable

ManningConstant = Literal["exact", "1.486", "1.49"]
"""The factor in US units. In metres it is 1, which is 1.4859 in feet; handbooks write 1.486 or
1.49, and a published answer can only be met with the one it used."""

_MANNING: Final = {
    "exact": 1.0,
    "1.486": 1.486 * FOOT_M ** (1 / 3),
    "1.49": 1.49 * FOOT_M ** (1 / 3),
}

_GALLON_PER_MIN_M3_PER_S: Final = 231 * INCH_M**3 / 60

ROUGHNESS: Final = Range(0.005, 0.5)
SLOPE: Final = Range(0.0, 1.0)


def manning_factor(constant: ManningConstant) -> float:
    """The factor in metres and seconds that stands for a constant written for feet."""
    return float(_MANNING[constant])


@formula(
    source="hec-22",
    section="Manning's equation, chapter 7",
    valid={"radius_m": NOT_NEGATIVE, "slope_fraction": SLOPE, "manning_coefficient": ROUGHNESS},
)
def manning_velocity_m_per_s(
    radius_m: float,
    slope_fraction: float,
    manning_coefficient: float,
    constant: ManningConstant = "exact",
) -> float:
    """Mean speed of uniform flow, V = (k / n) R^(2/3) sqrt S.

    Args:
        radius_m: Hydraulic radius, wetted area over wetted perimeter.
        slope_fraction: Rise over run.
        manning_coefficient: Roughness.
        constant: The factor k, see `ManningConstant`.
    """
    factor = _MANNING[constant] / manning_coefficient
    return float(factor * radius_m ** (2 / 3) * math.sqrt(slope_fraction))


@formula(
    source="course-notes-routing",
    section="circular conduit, angle of the water line",
    valid={"diameter_m": POSITIVE, "depth_m": NOT_NEGATIVE},
)
def wetted_section(diameter_m: float, depth_m: float) -> tuple[float, float]:
    """Wetted area (m2) and perimeter (m) of a round pipe at a depth; full from the diameter on."""
    share = min(1.0, depth_m / diameter_m)
    angle = 2 * math.acos(1 - 2 * share)
    return diameter_m**2 * (angle - math.sin(angle)) / 8, diameter_m * angle / 2


@formula(
    source="hec-22",
    section="Manning's equation, chapter 7",
    valid={
        "diameter_m": POSITIVE,
        "slope_fraction": SLOPE,
        "manning_coefficient": ROUGHNESS,
        "depth_fraction": FRACTION,
    },
)
def pipe_flow_m3_per_s(
    diameter_m: float,
    slope_fraction: float,
    manning_coefficient: float,
    depth_fraction: float = 1.0,
    constant: ManningConstant = "exact",
) -> float:
    """Uniform flow in a round pipe, full or to a share of its inside diameter.

    Args:
        diameter_m: Inside diameter; a nominal size is not the inside one.
        slope_fraction: Fall, rise over run.
        manning_coefficient: Roughness.
        depth_fraction: Depth over diameter; 1 is just full.
        constant: The factor in Manning's equation.

    Example:
        5 ft at 0.3 %, n 0.013, with 1.49: 143.034 cu ft/s, as printed in course notes.

        >>> q = pipe_flow_m3_per_s(5 * 0.3048, 0.003, 0.013, constant="1.49")
        >>> round(q / 0.3048**3, 3)
        143.034
    """
    area_m2, perimeter_m = wetted_section(diameter_m, depth_fraction * diameter_m)
    if area_m2 == 0:
        return 0.0
    speed = manning_velocity_m_per_s(
        area_m2 / perimeter_m, slope_fraction, manning_coefficient, constant
    )
    return area_m2 * speed


@formula(
    source="hec-22",
    section="equation 7-1, with its rounded constants 0.46 and 2.67",
    valid={"diameter_m": POSITIVE, "slope_fraction": SLOPE, "manning_coefficient": ROUGHNESS},
)
def printed_full_flow_m3_per_s(
    diameter_m: float, slope_fraction: float, manning_coefficient: float
) -> float:
    """Full pipe as the source prints it, Q = (0.46 / n) D^2.67 sqrt S in feet.

    Only for comparison with answers that used it; `pipe_flow_m3_per_s` is the exact form.
    """
    feet = diameter_m / FOOT_M
    return float(0.46 / manning_coefficient * feet**2.67 * math.sqrt(slope_fraction) * FOOT_M**3)


@formula(
    source="hec-22",
    section="equation 7-1, solved for the diameter",
    valid={"flow_m3_per_s": POSITIVE, "slope_fraction": POSITIVE, "manning_coefficient": ROUGHNESS},
)
def full_pipe_diameter_m(
    flow_m3_per_s: float,
    slope_fraction: float,
    manning_coefficient: float,
    constant: ManningConstant = "exact",
) -> float:
    """Inside diameter that just carries a flow when full."""
    unit = pipe_flow_m3_per_s(1.0, slope_fraction, manning_coefficient, 1.0, constant)
    return float((flow_m3_per_s / unit) ** (3 / 8))


@formula(
    source="hec-22",
    section="Manning's equation, solved for the slope",
    valid={"flow_m3_per_s": NOT_NEGATIVE, "diameter_m": POSITIVE, "depth_fraction": FRACTION},
)
def pipe_slope_fraction(
    flow_m3_per_s: float, diameter_m: float, manning_coefficient: float, depth_fraction: float = 1.0
) -> float:
    """Slope at which a pipe carries a flow at a share of its depth."""
    return (
        flow_m3_per_s / pipe_flow_m3_per_s(diameter_m, 1.0, manning_coefficient, depth_fraction)
    ) ** 2


@formula(
    source="hec-22",
    section="Manning's equation, solved for the depth",
    valid={"flow_m3_per_s": NOT_NEGATIVE, "diameter_m": POSITIVE, "slope_fraction": POSITIVE},
)
def pipe_normal_depth_m(
    flow_m3_per_s: float, diameter_m: float, slope_fraction: float, manning_coefficient: float
) -> float:
    """Depth of uniform flow in a round pipe.

    A round pipe carries most at 0.938 of its depth. Up to the flow of the full pipe the depth
    below the crown is given; above it the pipe runs under pressure.

    Raises:
        OutOfRange: The flow is more than the full pipe carries.
    """
    full = pipe_flow_m3_per_s(diameter_m, slope_fraction, manning_coefficient)
    if flow_m3_per_s > full * (1 + 1e-12):
        raise OutOfRange(
            f"pipe_normal_depth_m: flow_m3_per_s = {flow_m3_per_s:g} is more than the full pipe "
            f"carries, {full:g}"
        )
    share = root(
        lambda y: (
            pipe_flow_m3_per_s(diameter_m, slope_fraction, manning_coefficient, y) - flow_m3_per_s
        ),
        0.0,
        0.938,
    )
    return share * diameter_m


def root(
    function: Callable[[float], float], low: float, high: float, tolerance: float = 0.0
) -> float:
    """The place where a rising function crosses zero, by halving.

    Args:
        function: Rises from `low` to `high`.
        low: Lower end.
        high: Upper end.
        tolerance: Width at which halving stops; 0 goes on to the last digit.

    Returns:
        The crossing, or the nearer end when there is none between.
    """
    while high - low > tolerance:
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if function(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


@formula(
    source="water-arithmetic",
    section="fall of a pipe over its length",
    valid={"length_m": POSITIVE},
)
def pipe_fall_fraction(upper_invert_m: float, lower_invert_m: float, length_m: float) -> float:
    """Slope of a pipe from its inverts; negative when it runs uphill."""
    return (upper_invert_m - lower_invert_m) / length_m


@formula(
    source="plumbing-code-2006",
    section="table 13.6.1 and its note 1; the equation from memory",
    valid={"diameter_m": POSITIVE, "full_fraction": Range(0.2, 0.35)},
)
def leader_flow_m3_per_s(diameter_m: float, full_fraction: float = 7 / 24) -> float:
    """Flow of a vertical leader that runs as a ring, 27.8 r^(5/3) d^(8/3) gallons a minute.

    Args:
        diameter_m: Inside diameter.
        full_fraction: Share of the section that is water; 7/24 in the edition named, 1/3 in
            others. State which one a table used.

    Example:
        4 in at 7/24: 144 gallons a minute.

        >>> round(leader_flow_m3_per_s(4 * 0.0254) / (231 * 0.0254**3 / 60))
        144
    """
    inches = diameter_m / INCH_M
    return float(27.8 * full_fraction ** (5 / 3) * inches ** (8 / 3) * _GALLON_PER_MIN_M3_PER_S)
