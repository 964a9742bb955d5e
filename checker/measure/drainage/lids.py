"""Lids of pop-up emitters: one that lies below the ground beside it is covered and cannot open."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.units import FOOT_M, same
from checker.measure.drainage.drawn import ways_of
from checker.measure.drainage.ground_over import ground_beside_m

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.measure.survey import Survey
    from checker.water.network import Network

COVERED_M: Final = 0.1 * FOOT_M
"""Set so much below the grass a lid still opens (common practice, no source)."""


class LowLid(Record, kw_only=True):
    """A lid that lies lower than it can.

    Attributes:
        end: Id of its outlet.
        least_m: As low as it can lie: level to reckon with.
        says: What is wrong.
        do: What to mend.
    """

    end: str
    least_m: float
    says: str
    do: str


def low_lids(survey: Survey, network: Network) -> Iterator[LowLid]:
    """The lids below the end of their pipe, the paving they stand in, or the ground as it will be.

    A riser stands on the end of its pipe, and a lid that is covered opens at the ground over it.

    Args:
        survey: The site.
        network: Its network as drawn.
    """
    length = survey.site.length
    for end in ways_of(survey).outfalls:
        if end.kind != "pop-up" or end.level_m is None:
            continue
        says, least_m = [], end.level_m
        for pipe in network.pipes:
            lies_below = end.level_m < pipe.lower_m and not same(end.level_m, pipe.lower_m)
            if pipe.to == end.id and lies_below:
                says.append(f"the end of its pipe '{pipe.id}' at {length(pipe.lower_m)}")
                least_m = max(least_m, pipe.lower_m)
        ground_m = None if end.at is None else ground_beside_m(survey, end.at)
        if ground_m is not None and end.level_m < ground_m - COVERED_M:
            says.append(f"the ground there, {length(ground_m)}")
            least_m = max(least_m, ground_m)
        if says:
            yield LowLid(
                end=end.id,
                least_m=least_m,
                says=f"the lid of '{end.id}' at {length(end.level_m)} lies below "
                + " and ".join(says),
                do=f"correct 'level' of {end.id}, or lower its pipe",
            )
