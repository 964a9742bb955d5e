"""The register of measures: every name that rules may ask a drawing for.

A measure is a function of the surveyed lot. One that lacks something raises `NotMeasured` and
says what to give; the rule that needed it then answers "cannot tell".
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.core.units import RATIO, Amount, Dimension

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.algebra.vocabulary import Kind
    from checker.measure.survey import Survey
    from checker.site.model import Shape, Surface


NONE_NEAR_M: Final = 1e7
"""The distance to something that was looked for and is not there; pages say "none found"."""


class NotMeasured(CheckerError):
    """The drawing lacks what a measure needs; the message says what to give."""


class Measure(Record, kw_only=True):
    """What the register knows of one measure.

    Attributes:
        name: As rules write it.
        title: What it is, starting in lower case.
        kind: What values it gives.
        dimension: For amounts.
        has_regions: It can be cut to a region.
        choices: For texts from a fixed set.
        source: Where its definition comes from; empty for plain geometry.
        ask: What a person must give when it is missing; empty for the usual words.
    """

    name: str
    title: str
    kind: Kind
    dimension: Dimension
    has_regions: bool
    choices: tuple[str, ...]
    source: str
    function: Callable[..., object]
    ask: str = ""


LOT_MEASURES: Final[dict[str, Measure]] = {}
"""Measures of the whole lot: functions of (survey, region or None)."""

SURFACE_MEASURES: Final[dict[str, Measure]] = {}
"""Measures of one surface: functions of (survey, surface)."""


def lot_measure(
    name: str,
    title: str,
    dimension: Dimension = RATIO,
    *,
    kind: Kind = "amount",
    has_regions: bool = False,
    choices: tuple[str, ...] = (),
    source: str = "",
) -> Callable[[Callable[[Survey, Shape | None], object]], Callable[[Survey, Shape | None], object]]:
    """Register a measure of the lot; the function gives SI numbers, a Quantity, text or truth."""

    def wrap(
        function: Callable[[Survey, Shape | None], object],
    ) -> Callable[[Survey, Shape | None], object]:
        LOT_MEASURES[name] = Measure(
            name=name,
            title=title,
            kind=kind,
            dimension=dimension,
            has_regions=has_regions,
            choices=choices,
            source=source,
            function=function,
        )
        return function

    return wrap


def surface_measure(
    name: str,
    title: str,
    dimension: Dimension = RATIO,
    *,
    kind: Kind = "amount",
    choices: tuple[str, ...] = (),
    source: str = "",
    ask: str = "",
) -> Callable[[Callable[[Survey, Surface], object]], Callable[[Survey, Surface], object]]:
    """Register a measure of one surface; the function gives SI numbers, text or truth."""

    def wrap(
        function: Callable[[Survey, Surface], object],
    ) -> Callable[[Survey, Surface], object]:
        SURFACE_MEASURES[name] = Measure(
            name=name,
            title=title,
            kind=kind,
            dimension=dimension,
            has_regions=False,
            choices=choices,
            source=source,
            function=function,
            ask=ask,
        )
        return function

    return wrap


def as_value(found: object, measure: Measure) -> object:
    """What a measure's function gave, as the rule language holds it."""
    if isinstance(found, bool) or not isinstance(found, int | float):
        return found
    return Amount(float(found), measure.dimension)
