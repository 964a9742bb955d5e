"""Makes the geometry of the regions that a rule set defines: yards, bands, overlays."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import shapely

from checker.core.problems import CheckerError
from checker.measure.arrangement import SLIVER_M2, common, without
from checker.measure.widths import wide_part

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.algebra import nodes as n
    from checker.algebra.regions import RegionRule
    from checker.site.model import Shape, Site

FAR_M: Final = 10_000.0
"""Farther than any lot reaches; stands for "the rest of the land"."""

ARC_SEGMENTS: Final = 32


class NoRegion(CheckerError):
    """A region cannot be made because the drawing lacks something; says what to give."""


def make_region(
    rule: RegionRule, site: Site, length_m: Callable[[n.Number], float | None]
) -> Shape:
    """The geometry of a region.

    Args:
        rule: How it is made.
        site: The lot.
        length_m: Evaluates a length, e.g. the depth of a required yard; None when unknown.

    Returns:
        A polygon or multi-polygon in metres: within the lot, or outside it where the rule is of
        the land there.

    Raises:
        NoRegion: The drawing lacks what it is made from.
    """
    land = _cut(rule, site, _uncut(rule, site, length_m))
    return wide_part(land, rule.least_width_m) if rule.least_width_m else land


def _cut(rule: RegionRule, site: Site, whole: Shape) -> Shape:
    """What of a region is asked for, narrow land included."""
    lot = site.lot.boundary
    if rule.is_touching:
        touches = common(whole, lot).area > SLIVER_M2
        return lot if touches else shapely.Polygon()
    if rule.is_beyond_lot:
        if whole.is_empty:
            _check_nothing_beyond(rule, site)
        return without(whole, lot)
    return whole if rule.making == "lot" else common(whole, lot)


def _check_nothing_beyond(rule: RegionRule, site: Site) -> None:
    """Land beyond the lot that nobody found has nothing drawn on it."""
    for surface in site.surfaces:
        if without(surface.shape, site.lot.boundary).area > SLIVER_M2:
            raise NoRegion(
                f"draw the region '{rule.of}' under 'regions': {surface.id} reaches beyond the lot "
                "line, though 'none_found' lists it"
            )


def _uncut(rule: RegionRule, site: Site, length_m: Callable[[n.Number], float | None]) -> Shape:
    if rule.making == "lot":
        return site.lot.boundary
    if rule.making == "overlay":
        for region in site.regions:
            if region.id == rule.of:
                return region.shape
        if rule.of in site.none_found:
            return shapely.Polygon()
        raise NoRegion(
            f"draw the region '{rule.of}' under 'regions', or list it under 'none_found'"
        )
    if rule.making == "kind":
        shapes = [region.shape for region in site.regions if region.kind == rule.of]
        if shapes or rule.of in site.none_found:
            return shapely.union_all(shapes) if shapes else shapely.Polygon()
        raise NoRegion(
            f"draw the regions of kind '{rule.of}' under 'regions', or list '{rule.of}' under "
            "'none_found'"
        )
    if rule.making == "yard":
        return _yard(rule, site, length_m)
    return _band(rule, site)


def _yard(rule: RegionRule, site: Site, length_m: Callable[[n.Number], float | None]) -> Shape:
    line = site.lot.side(rule.of)
    if line is None:
        raise NoRegion(f"name the {rule.of} lot line under 'lot: sides: {{{rule.of}: [...]}}'")
    if rule.depth is not None:
        depth_m = length_m(rule.depth)
        if depth_m is None:
            raise NoRegion(f"give what the depth of the {rule.title} depends on")
        return line.buffer(depth_m, quad_segs=ARC_SEGMENTS)
    dwelling = dwelling_shape(site)
    if dwelling is None:
        raise NoRegion(
            "say which surface is the dwelling: 'attributes: {purpose: dwelling}' of a roof"
        )
    return _in_front(line, dwelling, site.lot.boundary)


def _in_front(line: Shape, dwelling: Shape, lot: Shape) -> Shape:
    """The actual yard: all land nearer to its lot line than the nearest wall, side to side."""
    depth_m = line.distance(dwelling)
    return _parallel_band(line, 0.0, depth_m, lot)


def _parallel_band(line: Shape, over_m: float, up_to_m: float, lot: Shape) -> Shape:
    near = line.buffer(up_to_m, quad_segs=ARC_SEGMENTS)
    if over_m > 0:
        near = near.difference(line.buffer(over_m, quad_segs=ARC_SEGMENTS))
    return near.intersection(lot.buffer(FAR_M)) if lot is not None else near


def _band(rule: RegionRule, site: Site) -> Shape:
    near = site.lot.side(rule.of)
    shapes: list[Shape] = [near] if near is not None else []
    shapes += [item.shape for item in site.features if rule.of in (item.id, item.kind)]
    shapes += [item.shape for item in site.regions if rule.of in (item.id, item.kind)]
    if not shapes:
        if rule.of in site.none_found:
            return shapely.Polygon()
        raise NoRegion(f"draw '{rule.of}' under 'features', or list '{rule.of}' under 'none_found'")
    source = shapely.union_all(shapes)
    up_to_m = rule.up_to_m if rule.up_to_m is not None else FAR_M
    return _parallel_band(source, rule.over_m, up_to_m, None)


def dwelling_shape(site: Site) -> Shape | None:
    """The outline of the dwelling as it will be; None when no surface says it is one."""
    shapes = [
        surface.shape
        for surface in site.surfaces
        if surface.attributes.get("purpose") == "dwelling" and surface.stage != "removed"
    ]
    return shapely.union_all(shapes) if shapes else None
