"""The walking surface: openings, changes of level, falls and their windows, drains on the deck."""

from __future__ import annotations

import math
from typing import Final, Literal

from checker.core.formula import NOT_NEGATIVE, POSITIVE, formula
from checker.core.records import Record
from checker.core.units import INCH_M, meets
from checker.courses.takeoff import rounded_whole

Travel = Literal["across", "along", "any"]
"""How the long dimension of an opening lies to the way people walk."""

Answer = Literal["passes", "borderline", "fails"]

SPHERE_M: Final = 0.5 * INCH_M
STEP_PLAIN_M: Final = 0.25 * INCH_M
STEP_BEVELLED_M: Final = 0.5 * INCH_M
STEEPEST_BEVEL_FRACTION: Final = 0.5


class Opening(Record, kw_only=True):
    """What two wordings of one rule say of an opening in a walking surface.

    Attributes:
        standard: Holds under "may not let through a sphere of more than 1/2 in".
        guide: Holds under "must stop a 1/2 in sphere".
        turned_right: Long openings lie across the way people walk, or are short both ways.
        answer: borderline when only the two wordings differ.
    """

    standard: bool
    guide: bool
    turned_right: bool

    @property
    def answer(self) -> Answer:
        """Passes, fails, or borderline where the two wordings differ."""
        if not (self.standard and self.turned_right):
            return "fails"
        return "passes" if self.guide else "borderline"


def sphere_m(width_m: float, length_m: float | None, lies: Travel) -> float:
    """The largest sphere that an opening lets through, or the largest that may meet its long side.

    The narrow side of a slot counts, or the long one where people walk in any direction.
    """
    if length_m is None:
        return width_m
    return max(width_m, length_m) if lies == "any" else min(width_m, length_m)


def opening(width_m: float, length_m: float | None = None, *, lies: Travel = "across") -> Opening:
    """Hold an opening against both wordings of the 1/2 in rule.

    Args:
        width_m: The smaller dimension; the diameter of a round hole, above 0.
        length_m: The larger one of a slot or joint; None for a round or square opening.
        lies: How the long dimension lies to the way people walk. With "any" (no main direction)
            both dimensions count.

    Example:
        >>> opening(0.5 * 0.0254).answer, opening(0.375 * 0.0254, 0.15, lies="along").answer
        ('borderline', 'fails')
    """
    through_m = sphere_m(width_m, length_m, lies)
    elongated = not meets(max(width_m, length_m or 0.0), SPHERE_M, "at most")
    return Opening(
        standard=meets(through_m, SPHERE_M, "at most"),
        guide=meets(through_m, SPHERE_M, "less than"),
        turned_right=lies != "along" or not elongated,
    )


def level_change(height_m: float, bevel_fraction: float | None) -> bool:
    """Whether a step in a walking surface may stay as it is, without a ramp.

    Up to 1/4 in it may be upright. From there to 1/2 in, what is above 1/4 in is bevelled no
    steeper than 1 in 2. Anything higher is a ramp.

    Args:
        height_m: The step, at least 0.
        bevel_fraction: Rise over run of the bevel; None for an upright edge.
    """
    if meets(height_m, STEP_PLAIN_M, "at most"):
        return True
    if not meets(height_m, STEP_BEVELLED_M, "at most"):
        return False
    return bevel_fraction is not None and meets(bevel_fraction, STEEPEST_BEVEL_FRACTION, "at most")


@formula(
    source="section-arithmetic",
    section="run x slope",
    valid={"run_m": NOT_NEGATIVE, "slope_fraction": NOT_NEGATIVE},
)
def fall_m(run_m: float, slope_fraction: float) -> float:
    """How far a surface falls over a level distance.

    Example:
        By hand: 4 ft at 1/4 in per ft falls 1 in.

        >>> round(fall_m(4 * 0.3048, 0.25 / 12) / 0.0254, 6)
        1.0
    """
    return run_m * slope_fraction


@formula(
    source="section-arithmetic",
    section="most less least",
    valid={"least_fraction": NOT_NEGATIVE, "most_fraction": NOT_NEGATIVE},
)
def slope_window_fraction(least_fraction: float, most_fraction: float) -> float:
    """Room between the least slope that drains and the most that may be walked; below 0 for none.

    A deck that must fall at least 1/4 in per ft and whose cross slope may be at most 1 in 48 has
    none at all: the two are the same number.

    Example:
        By hand: 1/48 less 0.25/12.

        >>> round(slope_window_fraction(0.25 / 12, 1 / 48), 12)
        0.0
    """
    return most_fraction - least_fraction


@formula(
    source="public-pool-deck-text",
    section="one row along the length, end distance half the spacing",
    valid={
        "length_m": POSITIVE,
        "width_m": POSITIVE,
        "area_each_m2": POSITIVE,
        "spacing_m": POSITIVE,
    },
)
def deck_drains_count(
    length_m: float, width_m: float, area_each_m2: float, spacing_m: float
) -> int:
    """Drains that a deck needs: the more of area by area and length by spacing.

    Example:
        By hand: 60 ft x 12 ft is 720 sq ft, 2 drains of 400; 60 ft at 25 ft is 3 drains.

        >>> deck_drains_count(60.0, 12.0, 400.0, 25.0)
        3
    """
    by_area_count = math.ceil(rounded_whole(length_m * width_m / area_each_m2))
    by_spacing_count = math.ceil(rounded_whole(length_m / spacing_m))
    return max(by_area_count, by_spacing_count)


@formula(
    source="picp-tolerances",
    section="units, length over thickness",
    valid={"length_m": POSITIVE, "thickness_m": POSITIVE},
)
def aspect_ratio(length_m: float, thickness_m: float) -> float:
    """Length of a unit over its thickness: at most 3 under vehicles, 4 under feet.

    Above that it is a paving slab, to another standard.

    Example:
        By hand: 16 in over 2-3/8 in.

        >>> round(aspect_ratio(16.0, 2.375), 2)
        6.74
    """
    return length_m / thickness_m
