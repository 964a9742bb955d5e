"""The yards along the sides of every lot, as overlays of that lot alone."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from checker.core.records import replace
from checker.core.units import LENGTH, UnreadableAmount, read_amount
from checker.measure.arrangement import SLIVER_M2
from checker.measure.regions import ARC_SEGMENTS
from checker.screen.lots import Fronts
from checker.screen.outlines import over
from checker.screen.sides import WHOLE, sides_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from checker.screen.compare import Floats
    from checker.screen.lots import Town
    from checker.screen.members import TownLayers


def with_yards(town: Town, layers: TownLayers) -> tuple[TownLayers, Fronts | None]:
    """The layers with the yards along the sides of each lot as overlays of that lot alone."""
    count = len(layers.lots)
    if layers.streets is None or not count:
        return layers, None
    sides = sides_of(
        layers.lots.shapes, layers.streets, layers.size_m, layers.neighbours,
        every_street=town.has_every_front,
    )  # fmt: skip
    shapes: list[Any] = [layers.overlays]
    lands = [layers.overlay_land]
    own = [np.full(len(layers.overlays), -1)]
    without_depth = np.zeros(count, np.int64)
    for bit, land in enumerate(town.lands):
        if land.by != "yard":
            continue
        lines, mark = sides.lines[land.name], np.int64(1) << np.int64(bit)
        is_told = (sides.doubt[land.name] == WHOLE) & ~shapely.is_missing(lines)
        if land.depth_of:
            depth = _told(layers, land.depth_of)
        elif land.up_to_m is None:
            depth = _to_dwelling(town, layers, lines, is_told)
        else:
            depth = np.full(count, land.up_to_m / layers.size_m)
        without_depth[is_told & ~np.isfinite(depth)] |= mark
        known = np.flatnonzero(is_told & np.isfinite(depth))
        yards = shapely.buffer(lines[known], depth[known], quad_segs=ARC_SEGMENTS)
        there = ~shapely.is_empty(yards)
        shapes.append(yards[there])
        lands.append(np.full(int(there.sum()), mark))
        own.append(known[there])
    extended = replace(
        layers,
        overlays=np.concatenate(shapes),
        overlay_land=np.concatenate(lands).astype(np.int64),
        overlay_lot=np.concatenate(own).astype(np.intp),
    )
    return extended, Fronts(sides, without_depth)


def _told(layers: TownLayers, fact: str) -> Floats:
    """What a column says of a length on each lot, in the unit of the layers; nan where nothing."""
    count, own = len(layers.lots), layers.given.get(fact)
    if own is None:
        return np.full(count, np.nan)
    ends = np.full(len(own.values) + 1, np.nan)
    for place, value in enumerate(own.values):
        with suppress(UnreadableAmount):
            ends[place] = read_amount(value, LENGTH).value_si / layers.size_m
    return np.asarray(np.broadcast_to(ends[own.index], count))


def _to_dwelling(
    town: Town, layers: TownLayers, lines: NDArray[Any], is_told: NDArray[np.bool_]
) -> Floats:
    """How far the nearest dwelling of each lot stands from a side of it; nan without one."""
    is_dwelling = np.array(
        [own.attributes.get("purpose") == "dwelling" for own in town.classes] or [False]
    )
    rows = np.flatnonzero(is_dwelling[layers.surface_class])
    found = np.full(len(layers.lots), np.inf)
    dwellings = layers.surfaces.take(rows)
    lot, dwelling = over(layers.lots, dwellings)
    shapes = dwellings.shapes[dwelling]
    own = shapely.area(shapely.intersection(shapes, layers.lots.shapes[lot])) * layers.size_m**2
    kept = (own > SLIVER_M2) & is_told[lot]
    np.minimum.at(found, lot[kept], shapely.distance(lines[lot[kept]], shapes[kept]))
    return np.where(np.isfinite(found), found, np.nan)
