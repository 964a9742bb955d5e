"""What drains of a site take at depths of water over them, from their grates, slots and leaders."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING, Final

from checker.core.units import INCH_M
from checker.files.tables import table
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.drawn import need
from checker.site.drainage_sizes import line_length_m
from checker.water.channels import Trench, trench_capacity_m3_per_s
from checker.water.network import Rating
from checker.water.openings import Grate, grate_flow_m3_per_s, slot_flow_m3_per_s
from checker.water.pipes import leader_flow_m3_per_s

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.site.drainage import Drain

DEPTHS_M: Final = (*(0.001 * i for i in range(31)), 0.04, 0.05, 0.075, 0.1, 0.15)
CHANNEL_COEFFICIENT: Final = 0.012
"""Manning's n of a channel drain (common practice, no source)."""

SPILL_DEPTH_M: Final = INCH_M
"""Water over a drain before it goes on, where the file does not say."""


def rating_of(drain: Drain, clogged_fraction: float) -> Rating:
    """What a drain takes at depths of water over it.

    Args:
        drain: As drawn.
        clogged_fraction: Share of its opening that is clogged, where it does not say itself.

    Raises:
        NotMeasured: The file lacks what is needed.
        OutOfRange: A measure of it is impossible.
    """
    clogged = drain.clogged_fraction
    open_fraction = 1.0 - (clogged_fraction if clogged is None else clogged)
    if drain.kind == "roof-leader":
        diameter_m = need(drain.diameter_m, "diameter", drain.id)
        most = leader_flow_m3_per_s(diameter_m)
        mouth = Grate(
            perimeter_m=math.pi * diameter_m,
            open_m2=math.pi * diameter_m**2 / 4,
            open_edge_fraction=1.0,
            open_area_fraction=1.0,
        )
        flows = tuple(min(grate_flow_m3_per_s(mouth, depth), most) for depth in DEPTHS_M)
        return Rating(depths_m=DEPTHS_M, flows_m3_per_s=flows)
    if drain.kind == "channel-drain":
        takes, most = _channel(drain, open_fraction)
    else:
        takes, most = partial(grate_flow_m3_per_s, _grate(drain, open_fraction)), math.inf
    flows = tuple(min(takes(depth), most) for depth in DEPTHS_M)
    return Rating(depths_m=DEPTHS_M, flows_m3_per_s=flows)


def grate_width_m(drain: Drain) -> float:
    """The longer side of the grate of an area drain.

    Raises:
        NotMeasured: The file does not say it.
    """
    asked = drain.grate
    if asked is None:
        raise NotMeasured(f"give 'grate' of {drain.id}")
    if asked.size:
        return max(_stocked(asked.size, drain.id)[:2])
    return max(asked.width_m or 0.0, need(asked.length_m, "length", f"the grate of {drain.id}"))


def _grate(drain: Drain, open_fraction: float) -> Grate:
    asked = drain.grate
    if asked is None:
        raise NotMeasured(f"give 'grate' of {drain.id}: a 'size' in stock, or its measures")
    width_m, long_m, open_m2 = asked.width_m, asked.length_m, asked.open_m2
    if asked.size:
        width_m, long_m, open_m2 = _stocked(asked.size, drain.id)
    width_m = need(width_m, "width", f"the grate of {drain.id}")
    long_m = need(long_m, "length", f"the grate of {drain.id}")
    return Grate(
        perimeter_m=2 * width_m + (1 if asked.is_against_wall else 2) * long_m,
        open_m2=need(open_m2, "open", f"the grate of {drain.id}"),
        open_edge_fraction=open_fraction,
        open_area_fraction=open_fraction,
    )


def _stocked(size: str, owner: str) -> tuple[float, float, float]:
    grates = {row["size"]: row for row in table("drainage-stock").rows if row["item"] == "grate"}
    if size not in grates:
        known = ", ".join(grates)
        raise NotMeasured(f"'{size}' of {owner} is no grate of 'drainage-stock', which has {known}")
    row = grates[size]
    return row["width"] * INCH_M, row["length"] * INCH_M, row["open"] * INCH_M**2


def _channel(drain: Drain, open_fraction: float) -> tuple[Callable[[float], float], float]:
    """What the top of a channel takes at a depth, and the most that it carries to its outlet."""
    long_m = line_length_m(drain.points)
    if long_m == 0:
        raise NotMeasured(f"draw the channel {drain.id} with 'along'")
    trench = Trench(
        width_m=need(drain.width_m, "width", drain.id),
        length_m=long_m,
        slope_fraction=drain.fall_fraction or 0.0,
        manning_coefficient=CHANNEL_COEFFICIENT,
    )
    most = trench_capacity_m3_per_s(trench, need(drain.depth_m, "depth", drain.id))
    if drain.slot_m is not None:
        slot_m = drain.slot_m

        def takes(depth_m: float) -> float:
            return slot_flow_m3_per_s(long_m * open_fraction, slot_m, depth_m)

        return takes, most
    grate = Grate(
        perimeter_m=2 * (long_m + trench.width_m),
        open_m2=need(drain.open_m2, "slot' or 'open", drain.id),
        open_edge_fraction=open_fraction,
        open_area_fraction=open_fraction,
    )
    return partial(grate_flow_m3_per_s, grate), most
