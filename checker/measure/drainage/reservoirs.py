"""The shapes of stores: dry wells, stone below paving, and stores given row by row."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.units import FOOT_M, meets
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import need
from checker.measure.section.bed import need_bed
from checker.measure.section.courses import depth_m
from checker.water.stores import StoreLevels, basin, dry_well, stone_bed

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.drainage import Pit
    from checker.site.model import Shape


LEAST_HELD_M2: Final = 0.01
"""A vent through what holds nothing, so that its water still has a level."""

LEVEL_STEP_M: Final = 0.01 * FOOT_M
"""Levels are written to a hundredth of a foot, so a bottom may be rounded by as much."""


def shape_of(pit: Pit, survey: Survey) -> StoreLevels:
    """The volume of a store by level.

    Raises:
        NotMeasured: The file lacks what is needed.
        OutOfRange: A measure of it is impossible.
    """
    if pit.kind == "any-shape":
        return _by_rows(pit)
    bottom_m = need(pit.bottom_m, "bottom", pit.id)
    if pit.kind == "basin":
        return basin(
            bottom_m,
            need(pit.depth_m, "depth", pit.id),
            need(pit.length_m, "length", pit.id),
            need(pit.width_m, "width", pit.id),
            need(pit.side_slope_ratio, "side_slope", pit.id),
            1.0 if pit.porosity_fraction is None else pit.porosity_fraction,
        )
    if pit.kind == "dry-well":
        return dry_well(
            bottom_m,
            need(pit.depth_m, "depth", pit.id),
            need(pit.chamber_m, "chamber", pit.id),
            need(pit.pit_m, "pit", pit.id),
            need(pit.porosity_fraction, "porosity", pit.id),
            pit.stone_below_m or 0.0,
        )
    depth_m, porosity_fraction = _stone(pit, survey)
    ground = ground_shape(pit, survey)
    if ground is None or pit.length_m is not None:
        long_m = need(pit.length_m, "length", pit.id)
        wide_m = pit.width_m
        if wide_m is None and ground is not None:
            wide_m = ground.area / long_m
        wide_m = need(wide_m, "width", pit.id)
        _hold_below_surface(pit, long_m * wide_m, survey)
        slope = pit.slope_fraction or 0.0
        return stone_bed(bottom_m, depth_m, long_m, wide_m, porosity_fraction, slope)
    if pit.slope_fraction:
        raise NotMeasured(f"give 'length' of {pit.id} along its fall")
    area_m2, edge_m = float(ground.area), float(ground.length)
    return StoreLevels(
        levels_m=(bottom_m, bottom_m + depth_m),
        stored_m3=(0.0, area_m2 * depth_m * porosity_fraction),
        base_m2=(area_m2, area_m2),
        walls_m2=(0.0, edge_m * depth_m),
    )


def _hold_below_surface(pit: Pit, area_m2: float, survey: Survey) -> None:
    """A bed is no larger than the surface over it, or the lot, with a foot of stone all round.

    Raises:
        NotMeasured: It is.
    """
    surface = survey.site.surface_named(pit.under)
    shape = survey.site.lot.boundary if surface is None else surface.shape
    most_m2 = float(shape.area + shape.length * FOOT_M)
    if not meets(area_m2, most_m2, "at most"):
        name = "the lot" if surface is None else f"'{surface.id}'"
        raise NotMeasured(
            f"{pit.id} is {area_m2 / most_m2:.3g} times as large as {name} it lies below; correct "
            f"'length' or 'width' of {pit.id}"
        )


def ground_shape(pit: Pit, survey: Survey) -> Shape | None:
    """The surface that a reservoir lies below, as far as it is seen; None without one."""
    if not pit.under:
        return None
    shape = survey.partition("proposed").visible.get(pit.under)
    if shape is None or shape.is_empty:
        raise NotMeasured(f"'under' of {pit.id} names '{pit.under}', which is no surface to come")
    return shape


def surface_area_m2(pit: Pit, survey: Survey) -> float | None:
    """Area of the open surface over a store: that of what it lies under, or of its own measures."""
    shape = ground_shape(pit, survey)
    if shape is not None:
        return float(shape.area)
    if pit.length_m is not None and pit.width_m is not None:
        return pit.length_m * pit.width_m
    return None


def to_the_rim(pit: Pit, survey: Survey) -> StoreLevels:
    """The store with what lies between it and its open surface: bedding and joints, or a riser.

    Only their own holes hold water. Where nobody says how many there are, they hold next to none.
    """
    shape = shape_of(pit, survey)
    high_m = need(pit.rim_m, "rim", pit.id) - shape.levels_m[-1]
    if high_m <= 0:
        return shape
    area_m2 = surface_area_m2(pit, survey)
    held_m2 = LEAST_HELD_M2
    if area_m2 is not None:
        held_m2 = max(held_m2, area_m2 * _cover_holes_m(pit, survey, high_m) / high_m)
    return shape.then(high_m, held_m2)


def _cover_holes_m(pit: Pit, survey: Survey, high_m: float) -> float:
    """Depth of water in the bedding and joints over the stone of a reservoir."""
    if pit.cover_porosity_fraction is not None:
        return pit.cover_porosity_fraction * high_m
    surface = survey.site.surface_named(pit.under)
    if surface is None or not surface.section:
        return 0.0
    bed = need_bed(survey, surface)
    filled = min((layer.porosity_fraction or 0.0 for layer in bed.of("joint")), default=0.0)
    held_m = 0.0
    for layer in bed.of("unit", "bedding"):
        is_units = layer.course.kind == "unit"
        open_fraction = (layer.course.open_fraction or 0.0) if is_units else 1.0
        porosity_fraction = filled if is_units else layer.porosity_fraction or 0.0
        held_m += (layer.course.thickness_m or 0.0) * open_fraction * porosity_fraction
    return held_m


def _stone(pit: Pit, survey: Survey) -> tuple[float, float]:
    """Depth and porosity of a reservoir: those of its section, within which a file may stay.

    Raises:
        NotMeasured: Neither gives them, or the file contradicts the section.
    """
    depth_m, porosity_fraction = pit.depth_m, pit.porosity_fraction
    drawn = section_store(pit, survey)
    if drawn is not None:
        if apart := contradictions(pit, drawn, survey):
            raise NotMeasured("; ".join(apart))
        depth_m = drawn.depth_m if depth_m is None else depth_m
        if porosity_fraction is None:
            porosity_fraction = drawn.porosity_fraction
    return need(depth_m, "depth", pit.id), need(porosity_fraction, "porosity", pit.id)


class SectionStore(Record, kw_only=True):
    """The store below paving as its section draws it.

    Attributes:
        section: Its id.
        depth_m: Stone below the bedding.
        porosity_fraction: Holes per volume of that stone; None where a course does not say.
        top_m: Level of its paving; None where the section has none.
        base_m: Level of its base below that; None where it is sloped.
        outlet_m: Height of the mouth of its pipe over the base; None without one.
    """

    section: str
    depth_m: float
    porosity_fraction: float | None
    top_m: float | None
    base_m: float | None
    outlet_m: float | None


def section_store(pit: Pit, survey: Survey) -> SectionStore | None:
    """The store that a section draws for a reservoir; None where it lies on none.

    Raises:
        NotMeasured: A course has no thickness.
    """
    surface = survey.site.surface_named(pit.under)
    if surface is None or not surface.section:
        return None
    bed = need_bed(survey, surface)
    stone_m = bed.thickness_m(bed.reservoir)
    if stone_m <= 0:
        return None
    holes = [layer.porosity_fraction for layer in bed.reservoir]
    water_m = sum(
        (layer.course.thickness_m or 0.0) * (layer.porosity_fraction or 0.0)
        for layer in bed.reservoir
    )
    top_m, pipe = bed.section.top_m, bed.section.pipe
    is_sloped = bool(bed.section.subgrade_slope_fraction or pit.slope_fraction)
    return SectionStore(
        section=bed.section.id,
        depth_m=stone_m,
        porosity_fraction=None if None in holes else water_m / stone_m,
        top_m=top_m,
        base_m=None if top_m is None or is_sloped else top_m - depth_m(bed),
        outlet_m=None if pipe is None else pipe.outlet_above_subgrade_m,
    )


def contradictions(pit: Pit, drawn: SectionStore, survey: Survey) -> list[str]:
    """Where a file asks more of a store than its section holds, each with what to do.

    A store may use less than the stone: water is let out before it is full.
    """
    length, small, found = survey.site.length, survey.site.small, []
    name = f"{pit.id} and its section '{drawn.section}' do not agree"
    if pit.depth_m is not None and not meets(pit.depth_m, drawn.depth_m, "at most"):
        found.append(
            f"{name}: {small(pit.depth_m)} of stone against {small(drawn.depth_m)}; leave "
            f"'depth' of {pit.id} out, or correct one of them"
        )
    given, own = pit.porosity_fraction, drawn.porosity_fraction
    if given is not None and own is not None and not meets(given, own, "at most"):
        found.append(f"{name}: {given:.3g} of it holes against {own:.3g}; correct one of them")
    if pit.bottom_m is not None and drawn.base_m is not None:
        # Paving falls and its stone may lie level below it: as far as the store's own rim says.
        fall_m = 0.0
        if pit.rim_m is not None and drawn.top_m is not None:
            fall_m = max(0.0, drawn.top_m - pit.rim_m)
        low_m = drawn.base_m - fall_m
        if not meets(pit.bottom_m, low_m - LEVEL_STEP_M, "at least"):
            found.append(
                f"{name}: its bottom lies {length(low_m - pit.bottom_m)} below the base of the "
                "section; correct 'bottom', or 'top' of the section"
            )
    return found


def widest_m2(pit: Pit) -> float:
    """Plan area that a store given row by row takes at least: of its ground, or for its water."""
    rows = pit.rows
    for_water = (
        (b.stored_m3 - a.stored_m3) / (b.level_m - a.level_m)
        for a, b in pairwise(rows)
        if b.level_m > a.level_m
    )
    return max((*(row.base_m2 for row in rows), *for_water), default=0.0)


def _by_rows(pit: Pit) -> StoreLevels:
    if len(pit.rows) < 2:
        raise NotMeasured(f"give 'rows' of {pit.id}: levels with the water below them")
    return StoreLevels(
        levels_m=tuple(row.level_m for row in pit.rows),
        stored_m3=tuple(row.stored_m3 for row in pit.rows),
        base_m2=tuple(row.base_m2 for row in pit.rows),
        walls_m2=tuple(row.walls_m2 for row in pit.rows),
    )
