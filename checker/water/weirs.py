"""Orifices, weirs and overflow edges: flow for a head, and head for a flow."""

from __future__ import annotations

import math
from typing import Final

from checker.core.formula import NOT_NEGATIVE, POSITIVE, Range, formula

GRAVITY_M_PER_S2: Final = 9.80665

SHARP_SI: Final = 1.84
"""Coefficient of a sharp weir under a low head, 3.33 in feet (HEC-22, equation 8-19)."""

BROAD_SI: Final = 1.66
"""Coefficient of a broad edge, 3.0 in feet, within the 2.34 to 3.32 of HEC-22, table 8-1."""

_COEFFICIENT: Final = Range(0.1, 1.0)
_WEIR: Final = Range(0.5, 4.0)


@formula(
    source="hec-22",
    section="equation 8-17",
    valid={"area_m2": NOT_NEGATIVE, "head_m": NOT_NEGATIVE, "discharge_coefficient": _COEFFICIENT},
)
def orifice_flow_m3_per_s(
    area_m2: float, head_m: float, discharge_coefficient: float = 0.6
) -> float:
    """Flow through an opening, Q = C A sqrt(2 g H).

    Args:
        area_m2: Area of the opening.
        head_m: Water above its middle; the difference of levels when it is drowned.
        discharge_coefficient: 0.6 for a square edge, 0.4 for a ragged one.
    """
    return discharge_coefficient * area_m2 * math.sqrt(2 * GRAVITY_M_PER_S2 * head_m)


@formula(
    source="water-arithmetic",
    section="wetted part as an orifice; HEC-22, equation 8-17, once it is drowned",
    valid={"diameter_m": POSITIVE, "depth_m": NOT_NEGATIVE, "discharge_coefficient": _COEFFICIENT},
)
def round_opening_flow_m3_per_s(
    diameter_m: float, depth_m: float, discharge_coefficient: float = 0.6
) -> float:
    """Flow through a round opening in a wall or into a pipe, from a trickle to drowned.

    Below the crown the wetted part is taken as an orifice under half its own depth, which meets
    the drowned orifice at the crown and never falls as the water rises.

    Args:
        diameter_m: Diameter of the opening.
        depth_m: Water above the lowest point of the opening.
        discharge_coefficient: 0.6 for a square edge, 0.4 for a ragged one.
    """
    full_m2 = math.pi * diameter_m**2 / 4
    if depth_m >= diameter_m:
        return orifice_flow_m3_per_s(full_m2, depth_m - diameter_m / 2, discharge_coefficient)
    angle = 2 * math.acos(1 - 2 * depth_m / diameter_m)
    wetted_m2 = diameter_m**2 * (angle - math.sin(angle)) / 8
    return orifice_flow_m3_per_s(wetted_m2, depth_m / 2, discharge_coefficient)


@formula(
    source="hec-22",
    section="equation 8-19",
    valid={"length_m": NOT_NEGATIVE, "head_m": NOT_NEGATIVE, "crest_m": POSITIVE},
)
def sharp_weir_flow_m3_per_s(
    length_m: float, head_m: float, crest_m: float | None = None, *, contracted: bool = False
) -> float:
    """Flow over a sharp-edged weir.

    Args:
        length_m: Length of the crest.
        head_m: Water above the crest.
        crest_m: Height of the crest above the bottom before it; None for a low head, where the
            coefficient no longer depends on it (head under 0.3 of the height).
        contracted: The ends stand free, so the length counts less by 0.2 of the head.
    """
    length_m = max(0.0, length_m - 0.2 * head_m) if contracted else length_m
    coefficient = SHARP_SI
    if crest_m is not None and head_m / crest_m >= 0.3:
        coefficient = 1.805 + 0.221 * head_m / crest_m
    return float(coefficient * length_m * head_m**1.5)


@formula(
    source="hec-22",
    section="equation 8-21",
    valid={"upper_m": POSITIVE, "lower_m": NOT_NEGATIVE},
)
def drowned_share_fraction(upper_m: float, lower_m: float) -> float:
    """What is left of a sharp weir's flow when the water below stands above its crest.

    Args:
        upper_m: Head before the weir.
        lower_m: Water above the crest behind it, not more than `upper_m`.
    """
    share = min(1.0, lower_m / upper_m)
    return float((1 - share**1.5) ** 0.385)


@formula(
    source="hec-22",
    section="equation 8-22 and table 8-1",
    valid={"length_m": NOT_NEGATIVE, "head_m": NOT_NEGATIVE, "weir_coefficient_si": _WEIR},
)
def broad_weir_flow_m3_per_s(
    length_m: float, head_m: float, weir_coefficient_si: float = BROAD_SI
) -> float:
    """Flow over a broad crest, such as the low edge of a deck, Q = C L H^1.5.

    Example:
        Example 8-8 of the source: 5 m, 0.3 m of head, 1.43: printed 1.17 m3/s.

        >>> round(broad_weir_flow_m3_per_s(5.0, 0.3, 1.43), 3)
        1.175
    """
    return float(weir_coefficient_si * length_m * head_m**1.5)


@formula(
    source="hec-22",
    section="equation 8-22, solved for the head",
    valid={"length_m": POSITIVE, "flow_m3_per_s": NOT_NEGATIVE, "weir_coefficient_si": _WEIR},
)
def broad_weir_head_m(
    length_m: float, flow_m3_per_s: float, weir_coefficient_si: float = BROAD_SI
) -> float:
    """Water above a broad crest for a flow: how high it stands over an overflow edge."""
    return float((flow_m3_per_s / (weir_coefficient_si * length_m)) ** (2 / 3))


@formula(
    source="hec-22",
    section="equation 8-23",
    valid={"head_m": NOT_NEGATIVE, "angle_degrees": Range(1.0, 179.0)},
)
def notch_flow_m3_per_s(head_m: float, angle_degrees: float = 90.0) -> float:
    """Flow through a V-shaped notch, Q = 1.38 tan(angle / 2) H^2.5.

    Example:
        >>> round(notch_flow_m3_per_s(0.1, 90.0), 6)
        0.004364
    """
    return float(1.38 * math.tan(math.radians(angle_degrees) / 2) * head_m**2.5)
