"""The walking surface of a section: falls, openings, steps, friction."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.courses.surface import level_change, opening, sphere_m
from checker.measure.catalogue import NotMeasured
from checker.measure.section.bed import Bed

if TYPE_CHECKING:
    pass


def _need(bed: Bed, value: float | None, key: str) -> float:
    if value is None:
        raise NotMeasured(f"give '{key}' of the walking surface, 'walk', of {bed.section.id}")
    return value


def slope_fraction(bed: Bed) -> float:
    """The main fall of the surface."""
    return _need(bed, bed.section.walk.slope_fraction, "slope")


def cross_slope_fraction(bed: Bed) -> float:
    """The fall across the main one."""
    return _need(bed, bed.section.walk.cross_slope_fraction, "cross_slope")


def falls_to(bed: Bed) -> str:
    """Where its water runs."""
    if not bed.section.walk.falls_to:
        raise NotMeasured(f"give 'falls_to' of the walking surface of {bed.section.id}")
    return bed.section.walk.falls_to


def opening_m(bed: Bed) -> float:
    """The largest sphere that its widest opening lets through."""
    walk = bed.section.walk
    return sphere_m(_need(bed, walk.opening_m, "opening"), walk.opening_length_m, walk.opening_lies)


def opening_turned_right(bed: Bed) -> bool:
    """Its long openings lie across the way people walk."""
    walk = bed.section.walk
    width_m = _need(bed, walk.opening_m, "opening")
    return opening(width_m, walk.opening_length_m, lies=walk.opening_lies).turned_right


def step_m(bed: Bed) -> float:
    """The highest change of level."""
    return _need(bed, bed.section.walk.step_m, "step")


def step_may_stay(bed: Bed) -> bool:
    """Whether its highest change of level, bevelled as it is, needs no ramp."""
    return level_change(step_m(bed), bed.section.walk.bevel_fraction)


def bevel_fraction(bed: Bed) -> float:
    """Rise over run of the bevel of its changes of level."""
    return _need(bed, bed.section.walk.bevel_fraction, "bevel")


def unevenness_m(bed: Bed) -> float:
    """The step between two units."""
    return _need(bed, bed.section.walk.unevenness_m, "unevenness")


def flatness_m(bed: Bed) -> float:
    """The gap under a straightedge of 10 ft."""
    return _need(bed, bed.section.walk.flatness_m, "flatness")


def lip_m(bed: Bed) -> float:
    """How far its drains lie below the paving."""
    return _need(bed, bed.section.walk.lip_m, "lip_at_drain")


def friction_fraction(bed: Bed) -> float:
    """Wet dynamic friction of the surface."""
    return _need(bed, bed.section.walk.friction_fraction, "friction")
