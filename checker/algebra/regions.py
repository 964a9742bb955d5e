"""How a rule set makes its regions, as data; `measure.regions` makes their geometry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from checker.core.records import Record

if TYPE_CHECKING:
    from checker.algebra import nodes as n

RegionMaking = Literal["overlay", "kind", "yard", "band"]


class RegionRule(Record, kw_only=True):
    """One region of a rule set.

    Attributes:
        id: Its name in the rule set.
        title: Its name on pages, starting in lower case.
        making: A region of the site by id, all of one kind, a yard, or a band near something.
        of: The id, kind, side or feature that it is made from.
        depth: Depth of a required yard; None for the actual one, up to the dwelling.
        over_m: Where a band begins.
        up_to_m: Where a band ends; None for the rest of the land.
        is_beyond_lot: Land outside the lot belongs to it too.
        is_touching: The whole lot, as soon as any part of the lot lies inside.
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
