"""A sieve curve against the band of a stone size, and the grain sizes read off a curve.

A curve holds only what was tested. A sieve that the band asks for and nobody tested is answered
from its neighbours where they leave no choice, and is otherwise unknown; it is never interpolated.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Literal

from checker.core.formula import POSITIVE, Range, formula
from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.core.units import meets, same

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

SieveScale = Literal["log", "linear"]
"""How a size between two sieves is read: on the logarithm of the opening, or on the opening."""

BandEdge = Literal["fine", "mid", "coarse"]
"""Which curve inside a band: most passing, half way, least passing."""


class BadCurve(CheckerError):
    """Sieve results that no sample can give: a finer sieve passing more, or a share above 1."""


class CurveTooShort(CheckerError):
    """A curve does not reach the share that was asked for."""


class Sieve(Record):
    """One sieve of a test: its opening in metres and the share of the mass that passes, 0 to 1."""

    opening_m: float
    passing_fraction: float


class SieveLimits(Record):
    """One sieve of a band: its opening in metres and the least and most that may pass, 0 to 1."""

    opening_m: float
    low_fraction: float
    high_fraction: float


class SieveCurve(Record):
    """The result of a sieve test, coarsest sieve first."""

    sieves: tuple[Sieve, ...]

    @classmethod
    def of(cls, sieves: Iterable[tuple[float, float]]) -> SieveCurve:
        """A curve from pairs of opening in metres and share passing, in any order.

        Raises:
            BadCurve: Fewer than two sieves, an opening that is not positive or comes twice, a share
                outside 0 to 1, or a finer sieve that passes more than a coarser one.
        """
        pairs = sorted(sieves, reverse=True)
        if len(pairs) < 2:
            raise BadCurve("a sieve curve needs at least two sieves")
        for opening_m, passing_fraction in pairs:
            if not (math.isfinite(opening_m) and opening_m > 0):
                raise BadCurve(f"a sieve opening of {opening_m * 1000:g} mm is not positive")
            if not 0 <= passing_fraction <= 1:
                raise BadCurve(
                    f"{passing_fraction * 100:g} % passing the {opening_m * 1000:g} mm sieve "
                    "is outside 0 to 100 %"
                )
        for (coarse_m, coarse_share), (fine_m, fine_share) in itertools.pairwise(pairs):
            if same(coarse_m, fine_m):
                raise BadCurve(f"the {fine_m * 1000:g} mm sieve is given twice")
            if fine_share > coarse_share:
                raise BadCurve(
                    f"{fine_share * 100:g} % passes the {fine_m * 1000:g} mm sieve but only "
                    f"{coarse_share * 100:g} % the coarser {coarse_m * 1000:g} mm sieve"
                )
        return cls(tuple(Sieve(*pair) for pair in pairs))


class SieveBand(Record):
    """The limits of a stone size, coarsest sieve first.

    Attributes:
        size: What the size is called, such as "57".
        limits: The sieves that the size is defined on.
        evidence: How far the printed table was read.
    """

    size: str
    limits: tuple[SieveLimits, ...]
    evidence: str = "read"

    def curve(self, edge: BandEdge) -> SieveCurve:
        """The finest or coarsest curve that the band allows, or the one half way between."""
        if edge == "fine":
            return SieveCurve.of((one.opening_m, one.high_fraction) for one in self.limits)
        if edge == "coarse":
            return SieveCurve.of((one.opening_m, one.low_fraction) for one in self.limits)
        return SieveCurve.of(
            (one.opening_m, (one.low_fraction + one.high_fraction) / 2) for one in self.limits
        )


class SieveFit(Record, kw_only=True):
    """What one sieve of a band says of a curve.

    Attributes:
        limits: What the size asks on this sieve.
        measured_fraction: The share that passed; None when this sieve was not tested.
        holds: Inside, outside, or None when the untested sieve could be either.
    """

    limits: SieveLimits
    measured_fraction: float | None
    holds: bool | None


def fit(curve: SieveCurve, band: SieveBand) -> tuple[SieveFit, ...]:
    """Hold a tested curve against a band, sieve by sieve, coarsest first.

    What passes an untested sieve lies between what passes the next finer and the next coarser one
    that were tested. Where both ends of that span give one answer, it is the answer; else unknown.
    """
    return tuple(_fit_one(curve, limits) for limits in band.limits)


def fits(results: Iterable[SieveFit]) -> bool | None:
    """Whether a curve is of the size: no when any sieve is outside, unknown when any is unknown."""
    answers = [result.holds for result in results]
    if False in answers:
        return False
    return None if None in answers else True


def _fit_one(curve: SieveCurve, limits: SieveLimits) -> SieveFit:
    for sieve in curve.sieves:
        if same(sieve.opening_m, limits.opening_m):
            return SieveFit(
                limits=limits,
                measured_fraction=sieve.passing_fraction,
                holds=_inside(sieve.passing_fraction, limits),
            )
    finer = [s.passing_fraction for s in curve.sieves if s.opening_m < limits.opening_m]
    coarser = [s.passing_fraction for s in curve.sieves if s.opening_m > limits.opening_m]
    least_fraction = max(finer, default=0.0)
    most_fraction = min(coarser, default=1.0)
    holds: bool | None = None
    if _inside(least_fraction, limits) and _inside(most_fraction, limits):
        holds = True
    elif not meets(most_fraction, limits.low_fraction, "at least") or not meets(
        least_fraction, limits.high_fraction, "at most"
    ):
        holds = False
    return SieveFit(limits=limits, measured_fraction=None, holds=holds)


def _inside(passing_fraction: float, limits: SieveLimits) -> bool:
    return meets(passing_fraction, limits.low_fraction, "at least") and meets(
        passing_fraction, limits.high_fraction, "at most"
    )


@formula(
    source="section-arithmetic",
    section="grain sizes of the band edges",
    valid={"passing_fraction": Range(0.0, 1.0, low_open=True, high_open=True)},
)
def grain_size_m(curve: SieveCurve, passing_fraction: float, scale: SieveScale = "log") -> float:
    """The size that a given share of the stone is finer than, such as D15 for 0.15.

    Read on a straight line between the two sieves around it, percent against the logarithm of the
    opening. Some offices read percent against the opening itself, which moves D15 of a mid-band
    No. 57 from 6.15 to 6.82 mm, so a report must say which.

    Args:
        curve: A tested curve or the edge of a band.
        passing_fraction: The share finer than the size, above 0 and below 1.
        scale: "log" or "linear" in the opening.

    Returns:
        The size in metres. On a gap (several sieves passing the same share) the finest of them.

    Raises:
        CurveTooShort: The curve ends above the share asked for, or starts below it.
        OutOfRange: The share is not between 0 and 1.

    Example:
        The coarse edge of No. 57, worked by hand: 15 of the 25 points between the No. 4 sieve
        (4.75 mm) and the 1/2 in sieve (12.5 mm), so 4.75 x (12.5/4.75)^0.6.

        >>> edge = SieveCurve.of([(0.025, 0.95), (0.0125, 0.25), (0.00475, 0.0)])
        >>> round(grain_size_m(edge, 0.15) * 1000, 2)
        8.49
    """
    name = f"D{passing_fraction * 100:g}"
    coarsest, finest = curve.sieves[0], curve.sieves[-1]
    if finest.passing_fraction > passing_fraction and not same(
        finest.passing_fraction, passing_fraction
    ):
        raise CurveTooShort(
            f"{name} cannot be read: {finest.passing_fraction * 100:g} % still passes the finest "
            f"sieve, {finest.opening_m * 1000:g} mm; add a finer sieve"
        )
    if coarsest.passing_fraction < passing_fraction:
        raise CurveTooShort(
            f"{name} cannot be read: only {coarsest.passing_fraction * 100:g} % passes the "
            f"coarsest sieve, {coarsest.opening_m * 1000:g} mm; add a coarser sieve"
        )
    return _between(curve.sieves, passing_fraction, scale)


def _between(sieves: Sequence[Sieve], passing_fraction: float, scale: SieveScale) -> float:
    at_or_above = [s for s in sieves if meets(s.passing_fraction, passing_fraction, "at least")]
    above = at_or_above[-1]
    if same(above.passing_fraction, passing_fraction):
        return above.opening_m
    below = sieves[len(at_or_above)]
    share = (passing_fraction - below.passing_fraction) / (
        above.passing_fraction - below.passing_fraction
    )
    if scale == "linear":
        return below.opening_m + share * (above.opening_m - below.opening_m)
    return float(below.opening_m * (above.opening_m / below.opening_m) ** share)


@formula(
    source="section-arithmetic",
    section="definition, D60 over D10",
    valid={"d60_m": POSITIVE, "d10_m": POSITIVE},
)
def uniformity_coefficient(d60_m: float, d10_m: float) -> float:
    """How widely a soil or stone is graded: D60 over D10, 1 for a single size.

    Example:
        By hand: D60 of 3 mm over D10 of 1 mm.

        >>> round(uniformity_coefficient(0.003, 0.001), 6)
        3.0
    """
    return d60_m / d10_m
