"""Formulas: each carries its source and the range it holds in as data, and keeps to it.

The range is enforced, never only described; nothing is extrapolated silently.
"""

from __future__ import annotations

import functools
import inspect
import math
from typing import TYPE_CHECKING, Any, Final, ParamSpec, TypeVar

from checker.core.problems import CheckerError
from checker.core.records import Record, field
from checker.core.units import AREA, FLOW, LENGTH, SPEED, TIME, VOLUME, Amount

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from checker.core.units import Dimension, System

P = ParamSpec("P")
R = TypeVar("R")


class OutOfRange(CheckerError):
    """A formula was asked outside the range that its source gives.

    Args:
        says: What is wrong, in SI.
        asked: The argument, its value, its range and where the range is given, where one argument
            is at fault.
    """

    def __init__(self, says: str, asked: tuple[str, Any, Range, str] | None = None) -> None:
        super().__init__(says)
        self.asked = asked

    def text(self, system: System) -> str:
        """What is wrong, in the units of a system."""
        if self.asked is None:
            return str(self)
        name, value, span, source = self.asked
        word, amount = _named(name)

        def shown(number: float) -> str:
            return amount(number, system)

        given = shown(value) if isinstance(value, int | float) else "one of its values"
        return f"{word}: {given} is outside {span.text(shown)}, the range given in {source}"


def lack_text(lacks: Exception, system: System) -> str:
    """What lacks or is out of range, in the units of a system."""
    return lacks.text(system) if isinstance(lacks, OutOfRange) else str(lacks)


SUFFIXES: Final = (
    ("_m3_per_s", FLOW),
    ("_m_per_s", SPEED),
    ("_m3", VOLUME),
    ("_m2", AREA),
    ("_m", LENGTH),
    ("_s", TIME),
)
"""How the name of an argument ends, and what it then is an amount of; the longest first."""


def _named(name: str) -> tuple[str, Callable[[float, System], str]]:
    """An argument in words, and how its values are written: `depth_m` is a depth, in feet."""
    for suffix, dimension in SUFFIXES:
        if name.endswith(suffix):

            def in_units(number: float, system: System, dimension: Dimension = dimension) -> str:
                from checker.core.showing import show

                return show(Amount(number, dimension), system)

            return name.removesuffix(suffix).replace("_", " "), in_units
    return name.removesuffix("_fraction").replace("_", " "), lambda number, _system: f"{number:g}"


class Range(Record):
    """The values for which a formula holds, both ends included unless said otherwise.

    It bounds what may be given and is no amount itself: a `Quantity` is one that may be uncertain.

    Attributes:
        low: The smallest value.
        high: The largest value.
        low_open: The smallest value itself is outside.
        high_open: The largest value itself is outside.
    """

    low: float = -math.inf
    high: float = math.inf
    low_open: bool = False
    high_open: bool = False

    def holds(self, value: Any) -> bool:  # noqa: ANN401 - a float or an array of floats
        """Whether a number, or every number of an array, lies in the range."""
        if isinstance(value, int | float):
            above = value > self.low if self.low_open else value >= self.low
            below = value < self.high if self.high_open else value <= self.high
            return above and below
        import numpy as np

        values = np.asarray(value, dtype=float)
        all_above = values > self.low if self.low_open else values >= self.low
        all_below = values < self.high if self.high_open else values <= self.high
        return bool(np.all(all_above & all_below))

    def __str__(self) -> str:
        return self.text(lambda number: f"{number:g}")

    def text(self, shown: Callable[[float], str]) -> str:
        """The range in words, its ends as they are shown."""
        if self.high == math.inf:
            return f"{'more than' if self.low_open else 'at least'} {shown(self.low)}"
        if self.low == -math.inf:
            return f"{'less than' if self.high_open else 'at most'} {shown(self.high)}"
        return f"{shown(self.low)} to {shown(self.high)}"


POSITIVE: Final = Range(0.0, low_open=True)
NOT_NEGATIVE: Final = Range(0.0)
FRACTION: Final = Range(0.0, 1.0)


class Formula(Record, kw_only=True):
    """What the register knows of one formula."""

    name: str
    function: Callable[..., Any]
    source: str
    section: str
    valid: Mapping[str, Range] = field(default_factory=dict)


FORMULAS: Final[dict[str, Formula]] = {}
"""Every formula that has been imported, by module and name."""


def formula(
    *, source: str, section: str, valid: Mapping[str, Range] | None = None
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Register a function as a formula and enforce its range on every call.

    Args:
        source: Key of a document in `rules/sources.yaml`.
        section: Equation, table or page in it.
        valid: The range of each argument that the source bounds, by argument name.

    Raises:
        TypeError: `valid` names something that is no argument.
        OutOfRange: On a call, an argument lies outside its range or is not finite.
    """
    ranges = dict(valid or {})

    def wrap(function: Callable[P, R]) -> Callable[P, R]:
        signature = inspect.signature(function)
        if unknown := set(ranges) - set(signature.parameters):
            raise TypeError(f"{function.__name__} has no argument {sorted(unknown)}")
        names = list(signature.parameters)

        @functools.wraps(function)
        def checked(*args: P.args, **kwargs: P.kwargs) -> R:
            given = dict(zip(names, args, strict=False)) | kwargs
            for name, span in ranges.items():
                if name in given and given[name] is not None and not span.holds(given[name]):
                    raise OutOfRange(
                        f"{function.__name__}: {name} = {_short(given[name])} is outside {span}, "
                        f"the range given in {source}, {section}",
                        (name, given[name], span, f"{source}, {section}"),
                    )
            return function(*args, **kwargs)

        FORMULAS[f"{function.__module__}.{function.__name__}"] = Formula(
            name=function.__name__,
            function=checked,
            source=source,
            section=section,
            valid=ranges,
        )
        return checked

    return wrap


def _short(value: Any) -> str:  # noqa: ANN401 - shown as text only
    return f"{value:g}" if isinstance(value, int | float) else str(value)
