"""Do neighbouring courses hold each other: retention, choke, spread and permeability; pipe holes.

Everywhere the *finer* layer is the one that could wash into the *coarser* one, whichever of the two
lies on top: No. 8 bedding over No. 57 base, or a sandy subgrade under No. 57.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.formula import POSITIVE, formula
from checker.core.records import Record
from checker.courses.gradation import (
    BandEdge,
    CurveTooShort,
    SieveBand,
    SieveCurve,
    SieveScale,
    grain_size_m,
)

if TYPE_CHECKING:
    from collections.abc import Callable

_SIZES = {"d15_coarser_m": POSITIVE, "d85_finer_m": POSITIVE}


@formula(source="airport-drainage", section="filter criteria, p. 379", valid=_SIZES)
def retention_ratio(d15_coarser_m: float, d85_finer_m: float) -> float:
    """D15 of the coarser layer over D85 of the finer one; the usual limit is at most 5.

    Example:
        By hand: D15 of mid-band No. 57 is 6.149 mm, over a soil with D85 of 1.2 mm.

        >>> round(retention_ratio(0.006149, 0.0012), 2)
        5.12
    """
    return d15_coarser_m / d85_finer_m


@formula(
    source="airport-drainage",
    section="filter criteria, p. 379",
    valid={"d50_coarser_m": POSITIVE, "d50_finer_m": POSITIVE},
)
def spread_ratio(d50_coarser_m: float, d50_finer_m: float) -> float:
    """D50 of the coarser layer over D50 of the finer one.

    The drainage texts ask for at most 25 between soil and filter. The choke rule of permeable
    paving asks for more than 2 between open-graded courses; that one is cited from memory.

    Example:
        By hand: 13.73 mm over a soil with D50 of 0.5 mm.

        >>> round(spread_ratio(0.01373, 0.0005), 1)
        27.5
    """
    return d50_coarser_m / d50_finer_m


@formula(
    source="choke-rule",
    section="D15 of the lower course over D50 of the upper",
    valid={"d15_coarser_m": POSITIVE, "d50_finer_m": POSITIVE},
)
def choke_ratio(d15_coarser_m: float, d50_finer_m: float) -> float:
    """D15 of the coarser course over D50 of the finer one; below 5 for open-graded courses.

    Example:
        By hand, the edges that make it worst: No. 57 coarse edge 8.49 mm over No. 8 fine edge 5.79.

        >>> round(choke_ratio(0.00849, 0.00579), 2)
        1.47
    """
    return d15_coarser_m / d50_finer_m


@formula(
    source="airport-drainage",
    section="filter criteria, p. 379",
    valid={"d15_coarser_m": POSITIVE, "d15_finer_m": POSITIVE},
)
def permeability_ratio(d15_coarser_m: float, d15_finer_m: float) -> float:
    """D15 of the coarser layer over D15 of the finer one; at least 5 where soil drains into stone.

    Between two free-draining stones a low value is no defect.

    Example:
        By hand: 0.6 mm over 0.17 mm.

        >>> round(permeability_ratio(0.0006, 0.00017), 2)
        3.53
    """
    return d15_coarser_m / d15_finer_m


@formula(
    source="ufc-3-270-04",
    section="12.5, filter beside perforated pipe",
    valid={"d85_surround_m": POSITIVE, "opening_m": POSITIVE},
)
def pipe_opening_ratio(d85_surround_m: float, opening_m: float) -> float:
    """D85 of the stone round a pipe over the width of its holes or slots.

    More than 1.0 for round holes and 1.2 for slots; some agencies ask 1.2 and 1.4.

    Example:
        By hand: D85 of the fine edge of No. 57 is 19.3 mm, over a 9.5 mm hole.

        >>> round(pipe_opening_ratio(0.0193, 0.0095), 2)
        2.03
    """
    return d85_surround_m / opening_m


@formula(
    source="coastal-filter",
    section="graded filter, worked example",
    valid={"d15_soil_m": POSITIVE, "d85_soil_m": POSITIVE},
)
def filter_d15_limits_m(d15_soil_m: float, d85_soil_m: float) -> tuple[float, float]:
    """The least and the most D15 of a filter on a soil.

    At least 5 times the soil's D15, so that it drains; at most 5 times its D85, so that it holds,
    and at most 40 times its D15, so that it does not come apart in placing.

    Example:
        The source's own: D15 0.17 mm and D85 1.5 mm give 0.85 to 6.8 mm.

        >>> [round(size_m * 1000, 2) for size_m in filter_d15_limits_m(0.00017, 0.0015)]
        [0.85, 6.8]
    """
    return 5 * d15_soil_m, min(5 * d85_soil_m, 40 * d15_soil_m)


class Grains(Record, kw_only=True):
    """The three sizes that filter rules use, in metres; None where the curve does not reach."""

    d15_m: float | None
    d50_m: float | None
    d85_m: float | None


class GrainSpan(Record, kw_only=True):
    """A material's sizes at the fine edge, half way and the coarse edge of what it may be.

    For a tested curve, or a soil given by its sizes, all three are the same.
    """

    fine: Grains
    mid: Grains
    coarse: Grains


def grains(curve: SieveCurve, scale: SieveScale = "log") -> Grains:
    """D15, D50 and D85 of a curve."""
    return Grains(
        d15_m=_size_m(curve, 0.15, scale),
        d50_m=_size_m(curve, 0.50, scale),
        d85_m=_size_m(curve, 0.85, scale),
    )


def grain_span(material: SieveBand | SieveCurve | Grains, scale: SieveScale = "log") -> GrainSpan:
    """The sizes that a stone size, a tested curve, or a soil given by its sizes may have."""
    if isinstance(material, SieveBand):
        edges: tuple[BandEdge, ...] = ("fine", "mid", "coarse")
        fine, mid, coarse = (grains(material.curve(edge), scale) for edge in edges)
        return GrainSpan(fine=fine, mid=mid, coarse=coarse)
    one = grains(material, scale) if isinstance(material, SieveCurve) else material
    return GrainSpan(fine=one, mid=one, coarse=one)


def _size_m(curve: SieveCurve, passing_fraction: float, scale: SieveScale) -> float | None:
    try:
        return grain_size_m(curve, passing_fraction, scale)
    except CurveTooShort:
        return None


class Neighbours(Record, kw_only=True):
    """The ratios between two layers; each None when a size behind it is not known.

    Attributes:
        retention_mid_ratio: D15 coarser over D85 finer, both half way in their bands.
        retention_worst_ratio: The same with the coarsest coarser and the finest finer material.
        choke_mid_ratio: D15 coarser over D50 finer, half way.
        choke_worst_ratio: The same at its worst.
        spread_low_ratio: D50 over D50 at its least, finest coarser over coarsest finer material.
        spread_mid_ratio: D50 over D50, half way.
        spread_high_ratio: D50 over D50 at its most.
        permeability_low_ratio: D15 over D15 at its least.
        permeability_mid_ratio: D15 over D15, half way.
        permeability_high_ratio: D15 over D15 at its most.
    """

    retention_mid_ratio: float | None
    retention_worst_ratio: float | None
    choke_mid_ratio: float | None
    choke_worst_ratio: float | None
    spread_low_ratio: float | None
    spread_mid_ratio: float | None
    spread_high_ratio: float | None
    permeability_low_ratio: float | None
    permeability_mid_ratio: float | None
    permeability_high_ratio: float | None


def neighbours(coarser: GrainSpan, finer: GrainSpan) -> Neighbours:
    """All ratios between a coarser layer and the finer one that could wash into it."""
    least, mid, most = (
        (coarser.fine, finer.coarse),
        (coarser.mid, finer.mid),
        (coarser.coarse, finer.fine),
    )
    return Neighbours(
        retention_mid_ratio=_ratio(retention_ratio, mid[0].d15_m, mid[1].d85_m),
        retention_worst_ratio=_ratio(retention_ratio, most[0].d15_m, most[1].d85_m),
        choke_mid_ratio=_ratio(choke_ratio, mid[0].d15_m, mid[1].d50_m),
        choke_worst_ratio=_ratio(choke_ratio, most[0].d15_m, most[1].d50_m),
        spread_low_ratio=_ratio(spread_ratio, least[0].d50_m, least[1].d50_m),
        spread_mid_ratio=_ratio(spread_ratio, mid[0].d50_m, mid[1].d50_m),
        spread_high_ratio=_ratio(spread_ratio, most[0].d50_m, most[1].d50_m),
        permeability_low_ratio=_ratio(permeability_ratio, least[0].d15_m, least[1].d15_m),
        permeability_mid_ratio=_ratio(permeability_ratio, mid[0].d15_m, mid[1].d15_m),
        permeability_high_ratio=_ratio(permeability_ratio, most[0].d15_m, most[1].d15_m),
    )


def is_coarser(first: GrainSpan, second: GrainSpan) -> bool | None:
    """Whether the first material is the coarser one, by D50 half way; None when unknown."""
    if first.mid.d50_m is None or second.mid.d50_m is None:
        return None
    return first.mid.d50_m > second.mid.d50_m


def _ratio(
    formula_of: Callable[[float, float], float], above_m: float | None, below_m: float | None
) -> float | None:
    if above_m is None or below_m is None:
        return None
    return formula_of(above_m, below_m)
