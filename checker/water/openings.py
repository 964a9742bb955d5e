"""Inlets: grates, slots and curb openings, as weirs while shallow and as orifices when deep.

The smaller of the two governs where both could, and the flow never falls as the water rises.
Clogging is an argument, never hidden in a coefficient.
"""

from __future__ import annotations

import math
from typing import Final

from checker.core.formula import FRACTION, NOT_NEGATIVE, POSITIVE, OutOfRange, Range, formula
from checker.core.records import Record
from checker.core.units import FOOT_M
from checker.water.pipes import root
from checker.water.weirs import GRAVITY_M_PER_S2, orifice_flow_m3_per_s

GRATE_WEIR_SI: Final = 1.66
GRATE_ORIFICE: Final = 0.67
_SLOT_WEIR_SI: Final = 1.4
_SLOT_ORIFICE: Final = 0.8
_CURB_WEIR_SI: Final = 1.66
_DEPRESSED_WEIR_SI: Final = 2.3 * FOOT_M**0.5


class Grate(Record, kw_only=True):
    """The grate of an area drain.

    Attributes:
        perimeter_m: Edge over which water comes; without a side that stands at a curb or wall.
        open_m2: Clear area of its openings.
        open_edge_fraction: Share of the edge left when clogged; 0.5 is common practice.
        open_area_fraction: Share of the area left when clogged; 0.5 is common practice.
    """

    perimeter_m: float
    open_m2: float
    open_edge_fraction: float = 0.5
    open_area_fraction: float = 0.5


@formula(
    source="hec-22",
    section="equation 4-26",
    valid={"perimeter_m": NOT_NEGATIVE, "depth_m": NOT_NEGATIVE},
)
def grate_weir_flow_m3_per_s(perimeter_m: float, depth_m: float) -> float:
    """Flow over the edge of a grate in a low point, Q = 1.66 P d^1.5."""
    return float(GRATE_WEIR_SI * perimeter_m * depth_m**1.5)


@formula(
    source="hec-22",
    section="equation 4-27",
    valid={"open_m2": NOT_NEGATIVE, "depth_m": NOT_NEGATIVE},
)
def grate_orifice_flow_m3_per_s(open_m2: float, depth_m: float) -> float:
    """Flow through a drowned grate in a low point, Q = 0.67 A sqrt(2 g d)."""
    return orifice_flow_m3_per_s(open_m2, depth_m, GRATE_ORIFICE)


def grate_flow_m3_per_s(grate: Grate, depth_m: float) -> float:
    """Flow into a grate in a low point: the weir or the orifice, whichever passes less.

    Args:
        grate: The grate with what clogging leaves of it.
        depth_m: Mean depth of water over the grate.

    Example:
        A square foot of grate, half of it open, clean: under 1 in of water the edge governs.

        >>> drain = Grate(perimeter_m=4 * 0.3048, open_m2=0.5 * 0.3048**2,
        ...               open_edge_fraction=1.0, open_area_fraction=1.0)
        >>> round(grate_flow_m3_per_s(drain, 0.0254) / 0.3048**3, 3)
        0.289
    """
    edge_m = grate.perimeter_m * grate.open_edge_fraction
    open_m2 = grate.open_m2 * grate.open_area_fraction
    return min(
        grate_weir_flow_m3_per_s(edge_m, depth_m), grate_orifice_flow_m3_per_s(open_m2, depth_m)
    )


def grate_depth_m(grate: Grate, flow_m3_per_s: float) -> float:
    """Depth of water over a grate in a low point that takes a flow.

    Raises:
        OutOfRange: Nothing of the grate is open, or the flow needs more than 10 m of water.
    """
    deepest_m = 10.0
    if grate_flow_m3_per_s(grate, deepest_m) < flow_m3_per_s:
        raise OutOfRange(f"grate_depth_m: the grate cannot take {flow_m3_per_s:g} m3/s")
    return root(lambda d: grate_flow_m3_per_s(grate, d) - flow_m3_per_s, 0.0, deepest_m)


@formula(
    source="hec-22",
    section="equation 4-26, solved for the perimeter",
    valid={"flow_m3_per_s": NOT_NEGATIVE, "depth_m": POSITIVE},
)
def needed_perimeter_m(flow_m3_per_s: float, depth_m: float) -> float:
    """Edge that a grate needs, after clogging, to take a flow as a weir at a depth."""
    return float(flow_m3_per_s / (GRATE_WEIR_SI * depth_m**1.5))


@formula(
    source="hec-22",
    section="equations 4-32 and 4-33, whichever passes less",
    valid={"length_m": NOT_NEGATIVE, "width_m": POSITIVE, "depth_m": NOT_NEGATIVE},
)
def slot_flow_m3_per_s(length_m: float, width_m: float, depth_m: float) -> float:
    """Flow into a slot in a low point: about a weir below 0.2 ft of water, an orifice above.

    The source advises against slots in low points, where they clog.

    Args:
        length_m: Length of the slot.
        width_m: Width of the slot.
        depth_m: Water above it.
    """
    as_orifice = orifice_flow_m3_per_s(length_m * width_m, depth_m, _SLOT_ORIFICE)
    return float(min(_SLOT_WEIR_SI * length_m * depth_m**1.5, as_orifice))


@formula(
    source="hec-22",
    section="equation 4-22",
    valid={
        "flow_m3_per_s": NOT_NEGATIVE,
        "slope_fraction": POSITIVE,
        "cross_slope_fraction": POSITIVE,
        "manning_coefficient": POSITIVE,
    },
)
def whole_capture_length_m(
    flow_m3_per_s: float,
    slope_fraction: float,
    cross_slope_fraction: float,
    manning_coefficient: float,
) -> float:
    """Length of slot or curb opening on a grade that takes all, 0.817 Q^0.42 S^0.3 (1/nSx)^0.6."""
    wide = (1 / (manning_coefficient * cross_slope_fraction)) ** 0.6
    return float(0.817 * flow_m3_per_s**0.42 * slope_fraction**0.3 * wide)


@formula(
    source="hec-22",
    section="equation 4-23",
    valid={"length_m": NOT_NEGATIVE, "whole_length_m": POSITIVE},
)
def capture_fraction(length_m: float, whole_length_m: float) -> float:
    """Share of the flow that a shorter slot or opening on a grade takes, 1 - (1 - L / LT)^1.8."""
    return float(1 - (1 - min(1.0, length_m / whole_length_m)) ** 1.8)


@formula(
    source="hec-22",
    section="page 4-52: 0.025 cubic feet a second per foot",
    valid={"length_m": NOT_NEGATIVE, "open_fraction": FRACTION},
)
def sheet_slot_flow_m3_per_s(length_m: float, open_fraction: float = 1.0) -> float:
    """Sheet flow that a slot across a slope takes without splashing over.

    Seen in tests with 0.38 to 0.56 in of water on 0.5 to 9 %; the metric figure printed beside
    it in the source is wrong, and the US one is used.
    """
    return 0.025 * FOOT_M**2 * length_m * open_fraction


@formula(
    source="hec-22",
    section="equations 4-28, 4-30 and 4-31",
    valid={
        "length_m": NOT_NEGATIVE,
        "height_m": POSITIVE,
        "depth_m": NOT_NEGATIVE,
        "depressed_m": NOT_NEGATIVE,
    },
)
def curb_opening_flow_m3_per_s(
    length_m: float, height_m: float, depth_m: float, depressed_m: float = 0.0
) -> float:
    """Flow into an opening in a curb or wall at a low point.

    A weir up to the height of the opening and an orifice from 1.4 times its height; between, the
    smaller of both, yet never less than when the water reached the top of the opening.

    Args:
        length_m: Length of the opening.
        height_m: Its height.
        depth_m: Water at the opening.
        depressed_m: Width of a depressed strip before it; 0 for none.
    """
    edge = _CURB_WEIR_SI * length_m
    if depressed_m > 0:
        edge = _DEPRESSED_WEIR_SI * (length_m + 1.8 * depressed_m)
    weir = edge * depth_m**1.5
    if depth_m <= height_m:
        return float(weir)
    head_m = depth_m - height_m / 2
    mouth = GRATE_ORIFICE * height_m * length_m * math.sqrt(2 * GRAVITY_M_PER_S2 * head_m)
    return float(min(weir, max(mouth, edge * height_m**1.5)))


@formula(
    source="hec-22",
    section="example 4-11: half of the width clogged",
    valid={
        "width_m": POSITIVE,
        "length_m": POSITIVE,
        "clogged_fraction": Range(0.0, 1.0, high_open=True),
    },
)
def open_edge_at_curb_m(width_m: float, length_m: float, clogged_fraction: float) -> float:
    """Edge of a grate beside a curb when a share of its width is clogged: L + 2 W left.

    Clogging of the width takes less from the edge than from the area.

    Example:
        2 ft by 6 ft, half the width clogged: 6 + 2 x 1 = 8 ft.

        >>> open_edge_at_curb_m(2.0, 6.0, 0.5)
        8.0
    """
    return length_m + 2 * width_m * (1 - clogged_fraction)
