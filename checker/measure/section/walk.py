"""The walking surface of a section: falls, openings, steps, friction."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.courses.surface import level_change, opening, sphere_m
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import Bed, need_bed

if TYPE_CHECKING:
    from checker.measure.survey import Survey
    from checker.site.model import Surface


def _need(bed: Bed, value: float | None, key: str) -> float:
    if value is None:
        raise NotMeasured(f"give '{key}' of the walking surface, 'walk', of {bed.section.id}")
    return value


def slope_fraction(survey: Survey, surface: Surface) -> float:
    """The main fall of the surface."""
    bed = need_bed(survey, surface)
    return _need(bed, bed.section.walk.slope_fraction, "slope")


def cross_slope_fraction(survey: Survey, surface: Surface) -> float:
    """The fall across the main one."""
    bed = need_bed(survey, surface)
    return _need(bed, bed.section.walk.cross_slope_fraction, "cross_slope")


def falls_to(survey: Survey, surface: Surface) -> str:
    """Where its water runs."""
    bed = need_bed(survey, surface)
    if not bed.section.walk.falls_to:
        raise NotMeasured(f"give 'falls_to' of the walking surface of {bed.section.id}")
    return bed.section.walk.falls_to


def opening_m(survey: Survey, surface: Surface) -> float:
    """The largest sphere that its widest opening lets through."""
    bed = need_bed(survey, surface)
    walk = bed.section.walk
    return sphere_m(_need(bed, walk.opening_m, "opening"), walk.opening_length_m, walk.opening_lies)


def opening_turned_right(survey: Survey, surface: Surface) -> bool:
    """Its long openings lie across the way people walk."""
    bed = need_bed(survey, surface)
    walk = bed.section.walk
    width_m = _need(bed, walk.opening_m, "opening")
    return opening(width_m, walk.opening_length_m, lies=walk.opening_lies).turned_right


def step_m(survey: Survey, surface: Surface) -> float:
    """The highest change of level."""
    bed = need_bed(survey, surface)
    return _need(bed, bed.section.walk.step_m, "step")


def step_may_stay(survey: Survey, surface: Surface) -> bool:
    """Whether its highest change of level, bevelled as it is, needs no ramp."""
    return level_change(
        step_m(survey, surface), need_bed(survey, surface).section.walk.bevel_fraction
    )


def bevel_fraction(survey: Survey, surface: Surface) -> float:
    """Rise over run of the bevel of its changes of level."""
    bed = need_bed(survey, surface)
    return _need(bed, bed.section.walk.bevel_fraction, "bevel")


def unevenness_m(survey: Survey, surface: Surface) -> float:
    """The step between two units."""
    bed = need_bed(survey, surface)
    return _need(bed, bed.section.walk.unevenness_m, "unevenness")


def flatness_m(survey: Survey, surface: Surface) -> float:
    """The gap under a straightedge of 10 ft."""
    bed = need_bed(survey, surface)
    return _need(bed, bed.section.walk.flatness_m, "flatness")


def lip_m(survey: Survey, surface: Surface) -> float:
    """How far its drains lie below the paving."""
    bed = need_bed(survey, surface)
    return _need(bed, bed.section.walk.lip_m, "lip_at_drain")


def friction_fraction(survey: Survey, surface: Surface) -> float:
    """Wet dynamic friction of the surface."""
    bed = need_bed(survey, surface)
    return _need(bed, bed.section.walk.friction_fraction, "friction")
