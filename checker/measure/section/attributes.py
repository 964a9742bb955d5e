"""Attributes of a surface that its section answers where the file does not give them.

So that a coverage credit follows the section that is drawn below it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core import lazily
from checker.core.units import RATIO, Amount
from checker.files.vocabulary import ATTRIBUTES
from checker.measure.catalogue import NotMeasured, surface_measure

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.measure.catalogue import Work
    from checker.measure.section import bed as beds
    from checker.measure.section import courses, walk, water
    from checker.measure.survey import Survey
    from checker.site.model import Surface
else:
    beds = lazily.module("checker.measure.section.bed")
    courses = lazily.module("checker.measure.section.courses")
    walk = lazily.module("checker.measure.section.walk")
    water = lazily.module("checker.measure.section.water")


def _attribute(name: str) -> Callable[[Work], Work]:
    """Register the answer to an attribute that the file does not give itself."""
    word = ATTRIBUTES[name]
    register = surface_measure(
        name, word.title, word.dimension, kind=word.kind, choices=word.choices
    )

    def wrap(function: Work) -> Work:
        def answered(survey: Survey, surface: Surface) -> object:
            if not surface.section:
                raise NotMeasured(f"give '{name}'")
            return function(survey, surface)

        register(answered)
        return function

    return wrap


@_attribute("washed_stone")
def washed_stone(survey: Survey, surface: Surface) -> object:
    return courses.is_washed(beds.need_bed(survey, surface))


@_attribute("gap")
def gap(survey: Survey, surface: Surface) -> object:
    return courses.joint_width_m(beds.need_bed(survey, surface))


@_attribute("open_share")
def open_share(survey: Survey, surface: Surface) -> object:
    return courses.open_fraction(beds.need_bed(survey, surface))


@_attribute("lined")
def lined(survey: Survey, surface: Surface) -> object:
    return courses.is_lined(beds.need_bed(survey, surface))


@_attribute("lined_beside")
def lined_beside(survey: Survey, surface: Surface) -> object:
    return courses.is_lined_beside(beds.need_bed(survey, surface))


@_attribute("base_compacted")
def base_compacted(survey: Survey, surface: Surface) -> object:
    return courses.is_compacted(beds.need_bed(survey, surface))


@_attribute("use")
def use(survey: Survey, surface: Surface) -> object:
    return courses.use(survey, surface)


@_attribute("slope")
def slope(survey: Survey, surface: Surface) -> object:
    return walk.slope_fraction(beds.need_bed(survey, surface))


@_attribute("run_on")
def run_on(survey: Survey, surface: Surface) -> object:
    return water.run_on_ratio(survey, surface)


@surface_measure("unscreened_run_on", ATTRIBUTES["unscreened_run_on"].title, RATIO)
def unscreened_run_on(survey: Survey, surface: Surface) -> object:
    given = surface.attributes.get("run_on")
    if isinstance(given, Amount):
        # All that is said to run on is no less than what is not screened.
        return given.value_si
    if not surface.section:
        raise NotMeasured("give 'unscreened_run_on'")
    return water.run_on_ratio(survey, surface, with_screened=False)


@_attribute("water_table_depth")
def water_table_depth(survey: Survey, surface: Surface) -> object:
    return water.above_water_m(survey, surface)


@_attribute("infiltration_rate")
def infiltration_rate(survey: Survey, surface: Surface) -> object:
    return water.surface_rate_m_per_s(survey, surface)
