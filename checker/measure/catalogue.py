"""The register of measures: every name that rules may ask a drawing for.

A measure is a function of the surveyed lot. One that lacks something raises `NotMeasured` and
says what to give; the rule that needed it then answers "cannot tell".
"""

from __future__ import annotations

import math
import re
from functools import wraps
from typing import TYPE_CHECKING, Final, TypeVar

from checker.core.problems import CheckerError
from checker.core.units import RATIO, Amount, Dimension
from checker.core.words import Word

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from checker.core.words import Subject, WordKind

NONE_NEAR_M: Final = math.inf
"""The distance to something that was looked for and is not there; pages say "none found"."""


class NotMeasured(CheckerError):
    """The drawing lacks what a measure needs; the message says what to give."""


LOT_MEASURES: Final[dict[str, Word]] = {}
"""Measures of the whole lot: functions of (survey, region or None)."""

SURFACE_MEASURES: Final[dict[str, Word]] = {}
"""Measures of one surface: functions of (survey, surface)."""

_ROOMS: Final[dict[str, Subject]] = {
    "checker.measure.section": "section",
    "checker.measure.drainage": "drainage",
}
"""What the measures of a package are about."""

Work = TypeVar("Work", bound="Callable[..., object]")


def lot_measure(
    name: str,
    title: str,
    dimension: Dimension = RATIO,
    unit: str = "",
    *,
    kind: WordKind = "amount",
    has_regions: bool = False,
    choices: tuple[str, ...] = (),
    source: str = "",
    each: Callable[..., Mapping[str, float]] | None = None,
) -> Callable[[Work], Work]:
    """Register a measure of the lot; the function gives SI numbers, a Quantity, text or truth.

    Args:
        name: As rules write it.
        title: What it is, starting in lower case.
        dimension: For amounts.
        unit: What pages show it in; empty for the usual unit of its dimension.
        kind: What values it gives.
        has_regions: It can be cut to a region.
        choices: For texts from a fixed set.
        source: Where its definition comes from; empty for plain geometry.
        each: The same number, SI, of each thing that the measure is taken over, by id, so that
            a finding can say which of them do not meet a limit.
    """

    def register(function: Work) -> Work:
        LOT_MEASURES[name] = Word(
            name,
            kind,
            title,
            dimension,
            choices,
            has_regions=has_regions,
            source=source,
            work=_shown_in(function, dimension, unit),
            each=each,
            subject=_ROOMS.get(function.__module__.rpartition(".")[0], "cover"),
        )
        return function

    return register


def surface_measure(
    name: str,
    title: str,
    dimension: Dimension = RATIO,
    unit: str = "",
    *,
    kind: WordKind = "amount",
    choices: tuple[str, ...] = (),
    source: str = "",
    ask: str = "",
) -> Callable[[Work], Work]:
    """Register a measure of one surface; see `lot_measure`."""

    def register(function: Work) -> Work:
        SURFACE_MEASURES[name] = Word(
            name,
            kind,
            title,
            dimension,
            choices,
            source=source,
            ask=ask,
            work=_shown_in(function, dimension, unit),
            subject=_ROOMS.get(function.__module__.rpartition(".")[0], "cover"),
        )
        return function

    return register


def _shown_in(function: Work, dimension: Dimension, unit: str) -> Callable[..., object]:
    """The function, its number with the unit that pages show it in."""
    if not unit:
        return function

    @wraps(function)
    def measured(survey: object, of: object) -> object:
        found = function(survey, of)
        return Amount(found, dimension, unit) if isinstance(found, float) else found

    return measured


def ask_for(says: str, of: str) -> str:
    """What to give, with what it is for where it does not say so itself."""
    return says if re.search(rf"(?<![\w-]){re.escape(of)}(?![\w-])", says) else f"{says} (for {of})"


def value_of(word: Word, survey: object, of: object) -> object:
    """What a measure gives, as the rule language holds it.

    Args:
        word: The measure.
        survey: The surveyed lot.
        of: A region or None for a measure of the lot; a surface for one of surfaces.

    Raises:
        NotMeasured: The drawing lacks what it needs.
    """
    assert word.work is not None
    found = word.work(survey, of)
    if isinstance(found, bool) or not isinstance(found, int | float):
        return found
    return Amount(float(found), word.dimension)
