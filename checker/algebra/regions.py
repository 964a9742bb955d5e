"""How a rule set makes its regions, as data; `measure.regions` makes their geometry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from checker.core.records import Record

if TYPE_CHECKING:
    from checker.algebra import nodes as n

RegionMaking = Literal["overlay", "kind", "yard", "band", "lot"]


class RegionRule(Record, kw_only=True):
    """One region of a rule set.

    Attributes:
        id: Its name in the rule set.
        title: Its name on pages, starting in lower case.
        making: A region of the site by id, all of one kind, a yard, a band near something, or
            all of the lot.
        of: The id, kind, side or feature that it is made from.
        depth: Depth of a required yard; None for the actual one, up to the dwelling.
        over_m: Where a band begins.
        up_to_m: Where a band ends; None for the rest of the land.
        is_beyond_lot: It is the land outside the lot, none of the lot itself.
        is_touching: The whole lot, as soon as any part of the lot lies inside.
        least_width_m: Land narrower than this does not belong to it; 0 for any width.
    """

    id: str
    title: str
    making: RegionMaking
    of: str
    depth: n.Number | None = None
    over_m: float = 0.0
    up_to_m: float | None = None
    is_beyond_lot: bool = False
    is_touching: bool = False
    least_width_m: float = 0.0
