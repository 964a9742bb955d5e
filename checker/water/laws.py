"""The one law of all links: flow from the levels on both sides, both ways.

Q = K(y) sqrt(h1 - e2): y is the depth of the higher side above the sill and K the conveyance at
that depth; e2 is the lower level, but never less than the level at which water leaves freely.
Pipes, orifices, weirs and grates differ in K and in that level alone. Q never falls as h1 rises
and never rises as h2 does, so more water anywhere never lowers a level anywhere.
"""

from __future__ import annotations

import functools
import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.water.pipes import wetted_section
from checker.water.weirs import GRAVITY_M_PER_S2

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.water.network import Pipe, Rating

GRID: Final = 128
"""Intervals of a conveyance table; between them it is a straight line."""

ENTRANCE_LOSS: Final = 0.5
"""Square edge of a pipe in a box (0.5 as in HEC-22, from memory)."""

EXIT_LOSS: Final = 1.0
"""The speed of the pipe is lost in the box below (1.0 as in HEC-22, from memory)."""

BEND_LOSS_PER_DEGREE: Final = 0.0033
"""Of a smooth bend (0.0033 for each degree as in HEC-22, from memory)."""

RISER_LOSS: Final = 1.1
"""A square turn upward into a riser, as of a mitred right angle (common practice, no source)."""

ENTRY_COEFFICIENT: Final = 0.6
_WEIR_REACH_M: Final = 1.0
_GRATE_REACH_M: Final = 0.15
_WET_M: Final = 0.001


class Law(Record, kw_only=True):
    """Conveyance of a link.

    Attributes:
        reach_m: Depth at the end of the table; beyond it K stays.
        conveyance: K at equal steps of depth from 0, never falling, m2.5/s, `GRID` + 1 values.
        free_share: Level at which water leaves freely, above the lower sill, as a share of y.
        limit_m3_per_s: Most that passes.
    """

    reach_m: float
    conveyance: tuple[float, ...]
    free_share: float
    limit_m3_per_s: float = math.inf


def _law(
    reach_m: float, at: Callable[[float], float], free_share: float, limit: float = math.inf
) -> Law:
    values, most = [], 0.0
    for place in range(GRID + 1):
        most = max(most, at(reach_m * place / GRID)) if place else 0.0
        values.append(most)
    return Law(
        reach_m=reach_m, conveyance=tuple(values), free_share=free_share, limit_m3_per_s=limit
    )


def losses_per_flow2(
    diameter_m: float, depth_m: float, length_m: float, roughness: float, loss: float
) -> tuple[float, float]:
    """Head lost by friction and by the losses of speed for a flow of 1, s2/m5.

    Args:
        diameter_m: Inside diameter.
        depth_m: Depth of flow.
        length_m: Length of the pipe.
        roughness: Manning's n.
        loss: Sum of the loss coefficients, of the speed head.
    """
    area_m2, perimeter_m = wetted_section(diameter_m, depth_m)
    radius_m = area_m2 / perimeter_m
    friction = roughness**2 * length_m / (area_m2**2 * radius_m ** (4 / 3))
    return friction, loss / (2 * GRAVITY_M_PER_S2 * area_m2**2)


@functools.lru_cache(maxsize=1024)
def barrel(pipe: Pipe, end_loss: float = 0.0) -> Law:
    """A pipe by its friction and losses: uniform flow while it falls freely, full under pressure.

    Args:
        pipe: The pipe.
        end_loss: Losses of what stands at its end, such as a riser.
    """
    loss = ENTRANCE_LOSS + EXIT_LOSS + pipe.bend_loss + end_loss

    def at(depth_m: float) -> float:
        parts = losses_per_flow2(
            pipe.diameter_m, depth_m, pipe.length_m, pipe.roughness_coefficient, loss
        )
        return float(sum(parts) ** -0.5)

    # Nearly full a pipe would carry 7 % more than full, until a wave closes it: that is left out.
    full = at(pipe.diameter_m)
    return _law(pipe.diameter_m, lambda depth_m: min(full, at(depth_m)), 1.0)


@functools.lru_cache(maxsize=1024)
def mouth(
    diameter_m: float, coefficient: float = ENTRY_COEFFICIENT, limit: float = math.inf
) -> Law:
    """A round opening: its wetted part as an orifice, drowned when the water stands above it."""

    def at(depth_m: float) -> float:
        area_m2, _ = wetted_section(diameter_m, depth_m)
        return float(coefficient * area_m2 * math.sqrt(2 * GRAVITY_M_PER_S2))

    return _law(diameter_m, at, 0.5, limit)


@functools.lru_cache(maxsize=1024)
def weir(length_m: float, coefficient_si: float, limit: float = math.inf) -> Law:
    """A broad edge, C L y sqrt(h1 - e2): C L y^1.5 while it falls freely."""
    return _law(_WEIR_REACH_M, lambda y: coefficient_si * length_m * y, 0.0, limit)


@functools.lru_cache(maxsize=1024)
def grate(rating: Rating) -> Law:
    """The top of a drain by its rating; drowned from below it passes the head that is left."""

    def at(depth_m: float) -> float:
        return rating.flow_m3_per_s(depth_m) / math.sqrt(depth_m)

    reach_m = min(_GRATE_REACH_M, rating.depths_m[-1])
    return _law(reach_m, at, 0.0, rating.flows_m3_per_s[-1])


@functools.lru_cache(maxsize=1024)
def joints(most_m3_per_s: float) -> Law:
    """The open surface of a store: all that it lets in from a thin film on."""
    return _law(
        _WET_M, lambda y: most_m3_per_s * y / _WET_M / math.sqrt(_WET_M), 0.0, most_m3_per_s
    )
