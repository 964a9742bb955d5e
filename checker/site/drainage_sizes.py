"""Measures of drains that contradict each other: an opening larger than what it is in."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from checker.core.units import meets

if TYPE_CHECKING:
    from checker.site.drainage import Drain, Xy
    from checker.site.drawn_fields import DrawnFields


def line_length_m(points: tuple[Xy, ...]) -> float:
    """Length of a line of points."""
    return sum(math.dist(a, b) for a, b in pairwise(points))


def check_openings(drain: Drain, fields: DrawnFields) -> None:
    """No grate is more open than it is large, no slot wider than its channel.

    Args:
        drain: As read.
        fields: Its entry, whose problems grow.
    """
    do = "correct one of them"
    grate, wide_m = drain.grate, drain.width_m
    if grate is not None and grate.width_m and grate.length_m:
        whole_m2 = grate.width_m * grate.length_m
        if grate.open_m2 is not None and not meets(grate.open_m2, whole_m2, "at most"):
            says = f"the grate of {fields.owner} is more open than it is large"
            fields.problems.add(fields.place("grate"), says, do)
    if drain.kind != "channel-drain" or not wide_m:
        return
    if drain.slot_m is not None and not meets(drain.slot_m, wide_m, "at most"):
        says = f"the slot of {fields.owner} is wider than its channel"
        fields.problems.add(fields.place("slot"), says, do)
    whole_m2 = wide_m * line_length_m(drain.points)
    if drain.open_m2 is not None and whole_m2 > 0 and not meets(drain.open_m2, whole_m2, "at most"):
        says = f"{fields.owner} is more open than it is large"
        fields.problems.add(fields.place("open"), says, do)
