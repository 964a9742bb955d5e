"""Open channels: gutters and swales, normal and critical depth, and trench drains.

A trench drain takes water along its whole length, so its depth is not the normal depth: it is
spatially varied flow, deepest at the upper end of a level channel.
"""

from __future__ import annotations

import math
from typing import Final, Literal

from checker.core.formula import NOT_NEGATIVE, POSITIVE, OutOfRange, Range, formula
from checker.core.records import Record
from checker.water.pipes import (
    ROUGHNESS,
    ManningConstant,
    manning_velocity_m_per_s,
    root,
)
from checker.water.weirs import GRAVITY_M_PER_S2

_SLOPE: Final = Range(0.0, 1.0, low_open=True)


class Channel(Record):
    """A channel with straight sides: rectangular, triangular or between.

    Attributes:
        bottom_m: Width of the bottom, >= 0.
        side_run: Run of each side for a rise of 1; 0 is upright.
    """

    bottom_m: float
    side_run: float = 0.0

    def area_m2(self, depth_m: float) -> float:
        """Wetted area."""
        return (self.bottom_m + self.side_run * depth_m) * depth_m

    def perimeter_m(self, depth_m: float) -> float:
        """Wetted perimeter."""
        return self.bottom_m + 2 * depth_m * math.hypot(1.0, self.side_run)

    def top_m(self, depth_m: float) -> float:
        """Width of the water surface."""
        return self.bottom_m + 2 * self.side_run * depth_m

    def pressure_m3(self, depth_m: float) -> float:
        """Area times depth of its centre below the surface."""
        return depth_m**2 * (self.bottom_m / 2 + self.side_run * depth_m / 3)


@formula(
    source="hec-22",
    section="Manning's equation, chapter 5",
    valid={"depth_m": NOT_NEGATIVE, "slope_fraction": _SLOPE, "manning_coefficient": ROUGHNESS},
)
def channel_flow_m3_per_s(
    channel: Channel,
    depth_m: float,
    slope_fraction: float,
    manning_coefficient: float,
    constant: ManningConstant = "exact",
) -> float:
    """Uniform flow in an open channel at a depth."""
    area_m2 = channel.area_m2(depth_m)
    if area_m2 == 0:
        return 0.0
    radius_m = area_m2 / channel.perimeter_m(depth_m)
    return area_m2 * manning_velocity_m_per_s(
        radius_m, slope_fraction, manning_coefficient, constant
    )


@formula(
    source="hec-22",
    section="Manning's equation, solved for the depth",
    valid={
        "flow_m3_per_s": NOT_NEGATIVE,
        "slope_fraction": _SLOPE,
        "manning_coefficient": ROUGHNESS,
    },
)
def channel_normal_depth_m(
    channel: Channel,
    flow_m3_per_s: float,
    slope_fraction: float,
    manning_coefficient: float,
    constant: ManningConstant = "exact",
) -> float:
    """Depth of uniform flow in an open channel, by root finding.

    Example:
        Example of a county worksheet: 1.6 cu ft/s, sides 3:1, 0.5 %, n 0.022: 0.53 ft.

        >>> swale = Channel(0.0, 3.0)
        >>> y = channel_normal_depth_m(swale, 1.6 * 0.3048**3, 0.005, 0.022, "1.486")
        >>> round(y / 0.3048, 2)
        0.53
    """
    high = 1.0
    while (
        channel_flow_m3_per_s(channel, high, slope_fraction, manning_coefficient, constant)
        < flow_m3_per_s
    ):
        high *= 2
    return root(
        lambda y: (
            channel_flow_m3_per_s(channel, y, slope_fraction, manning_coefficient, constant)
            - flow_m3_per_s
        ),
        0.0,
        high,
    )


@formula(
    source="hec-22",
    section="critical flow, Froude number 1",
    valid={"flow_m3_per_s": NOT_NEGATIVE},
)
def critical_depth_m(channel: Channel, flow_m3_per_s: float) -> float:
    """Depth of least energy for a flow, where Q^2 T = g A^3."""
    if flow_m3_per_s == 0:
        return 0.0
    if channel.side_run == 0:
        return float((flow_m3_per_s**2 / (GRAVITY_M_PER_S2 * channel.bottom_m**2)) ** (1 / 3))

    def excess(depth_m: float) -> float:
        return GRAVITY_M_PER_S2 * channel.area_m2(depth_m) ** 3 - flow_m3_per_s**2 * channel.top_m(
            depth_m
        )

    high = 1.0
    while excess(high) < 0:
        high *= 2
    return root(excess, 0.0, high)


@formula(
    source="hec-22",
    section="Froude number",
    valid={"flow_m3_per_s": NOT_NEGATIVE, "depth_m": POSITIVE},
)
def froude_number(channel: Channel, flow_m3_per_s: float, depth_m: float) -> float:
    """Speed over the speed of a small wave; below 1 the flow is calm."""
    area_m2 = channel.area_m2(depth_m)
    mean_m = area_m2 / channel.top_m(depth_m)
    return flow_m3_per_s / area_m2 / math.sqrt(GRAVITY_M_PER_S2 * mean_m)


@formula(
    source="hec-22",
    section="equation 4-2",
    valid={
        "spread_m": NOT_NEGATIVE,
        "cross_slope_fraction": _SLOPE,
        "slope_fraction": _SLOPE,
        "manning_coefficient": ROUGHNESS,
    },
)
def gutter_flow_m3_per_s(
    spread_m: float, cross_slope_fraction: float, slope_fraction: float, manning_coefficient: float
) -> float:
    """Flow along a curb or deck edge of one cross slope, Q = (0.376 / n) Sx^1.67 S^0.5 T^2.67.

    A V-shaped swale between two cross slopes counts as one of Sx1 Sx2 / (Sx1 + Sx2).
    """
    shape = cross_slope_fraction**1.67 * spread_m**2.67
    return float(0.376 / manning_coefficient * shape * math.sqrt(slope_fraction))


@formula(
    source="hec-22",
    section="equation 4-2, solved for the spread",
    valid={
        "flow_m3_per_s": NOT_NEGATIVE,
        "cross_slope_fraction": _SLOPE,
        "slope_fraction": _SLOPE,
        "manning_coefficient": ROUGHNESS,
    },
)
def gutter_spread_m(
    flow_m3_per_s: float,
    cross_slope_fraction: float,
    slope_fraction: float,
    manning_coefficient: float,
) -> float:
    """Width of the water along a curb; its depth is the spread times the cross slope."""
    unit = gutter_flow_m3_per_s(1.0, cross_slope_fraction, slope_fraction, manning_coefficient)
    return float((flow_m3_per_s / unit) ** (1 / 2.67))


@formula(
    source="hec-22",
    section="equation 4-7",
    valid={"first_fraction": _SLOPE, "second_fraction": _SLOPE},
)
def swale_cross_slope_fraction(first_fraction: float, second_fraction: float) -> float:
    """The one cross slope that stands for the two of a V-shaped swale."""
    return first_fraction * second_fraction / (first_fraction + second_fraction)


@formula(
    source="hec-22",
    section="equation 4-4",
    valid={
        "spread_m": POSITIVE,
        "width_m": POSITIVE,
        "cross_slope_fraction": _SLOPE,
        "gutter_slope_fraction": _SLOPE,
    },
)
def depressed_share_fraction(
    spread_m: float, width_m: float, cross_slope_fraction: float, gutter_slope_fraction: float
) -> float:
    """Share of the flow that runs in the steeper strip beside the curb.

    Raises:
        OutOfRange: The spread is not wider than the strip.
    """
    if spread_m <= width_m:
        raise OutOfRange("depressed_share_fraction: the spread is not wider than the strip")
    ratio = gutter_slope_fraction / cross_slope_fraction
    beyond = (1 + ratio / (spread_m / width_m - 1)) ** 2.67 - 1
    return float(1 / (1 + ratio / beyond))


@formula(
    source="open-channel-memory",
    section="level, frictionless channel with even inflow and a free outfall",
    valid={"flow_m3_per_s": NOT_NEGATIVE, "width_m": POSITIVE},
)
def level_trench_depth_m(flow_m3_per_s: float, width_m: float) -> float:
    """Depth at the upper end of a level trench channel: the square root of 3 times critical.

    Friction raises it and fall lowers it: `trench_profile` counts both.

    Example:
        0.4 cu ft/s in 4 in: critical depth 0.355 ft, 0.615 ft at the upper end.

        >>> round(level_trench_depth_m(0.4 * 0.3048**3, 4 * 0.0254) / 0.3048, 3)
        0.615
    """
    return math.sqrt(3) * critical_depth_m(Channel(width_m), flow_m3_per_s)


class Trench(Record, kw_only=True):
    """A trench channel that takes water evenly along its length.

    Attributes:
        width_m: Inside width, > 0.
        length_m: Length to the outlet, > 0.
        slope_fraction: Built-in fall of the bottom, 0 or more.
        manning_coefficient: Roughness.
    """

    width_m: float
    length_m: float
    slope_fraction: float
    manning_coefficient: float


ChannelEnd = Literal["free"] | float
"""A free fall at the outlet, or the depth of water that stands there, m."""


@formula(
    source="open-channel-memory",
    section="spatially varied flow with increasing discharge, friction by Manning's equation",
    valid={"flow_m3_per_s": NOT_NEGATIVE, "part_count": Range(10, 10_000)},
)
def trench_profile_m(
    trench: Trench, flow_m3_per_s: float, outfall: ChannelEnd = "free", part_count: int = 100
) -> tuple[float, ...]:
    """Depths along a trench channel from its upper end to the outlet.

    The balance of momentum is solved part by part from the outlet up, with the wetted area and
    the friction at the mean of both ends. Where the fall makes the water run fast, the critical
    depth is given, which lies above the real one.

    Args:
        trench: The channel.
        flow_m3_per_s: Whole flow at the outlet; the inflow is even along the length.
        outfall: A free fall or the depth that stands at the outlet.
        part_count: Parts of equal length.

    Returns:
        `part_count` + 1 depths, the upper end first.
    """
    channel = Channel(trench.width_m)
    part_m = trench.length_m / part_count
    depth_m = critical_depth_m(channel, flow_m3_per_s)
    if outfall != "free":
        depth_m = max(depth_m, outfall)
    depths = [depth_m]
    for part in range(part_count - 1, -1, -1):
        below = flow_m3_per_s * (part + 1) / part_count
        above = flow_m3_per_s * part / part_count
        depth_m = _depth_above(trench, channel, part_m, (below, above), depth_m)
        depths.append(depth_m)
    return tuple(reversed(depths))


def _depth_above(
    trench: Trench,
    channel: Channel,
    part_m: float,
    flows_m3_per_s: tuple[float, float],
    depth_m: float,
) -> float:
    below, above = flows_m3_per_s
    lowest_m = critical_depth_m(channel, above)
    mean_flow = (below + above) / 2
    known = _momentum_m3(channel, below, depth_m)

    def excess(upper_m: float) -> float:
        mean_m = (upper_m + depth_m) / 2
        gain = 0.0
        if mean_m > 0:
            area_m2 = channel.area_m2(mean_m)
            radius_m = area_m2 / channel.perimeter_m(mean_m)
            friction = (mean_flow * trench.manning_coefficient / area_m2) ** 2 / radius_m ** (4 / 3)
            gain = area_m2 * (trench.slope_fraction - friction) * part_m
        return _momentum_m3(channel, above, upper_m) + gain - known

    if excess(lowest_m) >= 0:
        return lowest_m
    high = max(depth_m, lowest_m, 1e-6) * 2
    while excess(high) < 0:
        high *= 2
    return root(excess, lowest_m, high, 1e-10 * high)


def _momentum_m3(channel: Channel, flow_m3_per_s: float, depth_m: float) -> float:
    if depth_m == 0:
        return 0.0
    area_m2 = channel.area_m2(depth_m)
    return flow_m3_per_s**2 / (GRAVITY_M_PER_S2 * area_m2) + channel.pressure_m3(depth_m)


def trench_capacity_m3_per_s(trench: Trench, depth_m: float, outfall: ChannelEnd = "free") -> float:
    """Largest even inflow that a trench channel carries below a depth everywhere.

    Args:
        trench: The channel.
        depth_m: Inside depth less the freeboard wanted, above the bottom at each place.
        outfall: A free fall or the depth that stands at the outlet.

    Raises:
        OutOfRange: The water that stands at the outlet already reaches the depth.
    """
    if outfall != "free" and outfall >= depth_m:
        raise OutOfRange("trench_capacity_m3_per_s: the outlet stands deeper than the channel")
    high = trench.width_m * depth_m * math.sqrt(GRAVITY_M_PER_S2 * depth_m)

    def excess(flow_m3_per_s: float) -> float:
        return max(trench_profile_m(trench, flow_m3_per_s, outfall, 25)) - depth_m

    return root(excess, 0.0, high, 1e-6 * high)
