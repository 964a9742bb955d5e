"""From what a tape can be held: the straight lines of the lot, and the walls of its buildings.

What is measured from one of them says so in the file (`measured_from`), so that it follows the wall
when that is moved.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from checker.board.cutting import BUILDINGS
from checker.board.outlines import DIGITS, Shown
from checker.core.showing import show
from checker.core.units import LENGTH, UNIT, Amount
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.board.plan import Plan
    from checker.site.model import Site, Surface

_SIDES: Final = ("right", "upper right", "top", "upper left",
                 "left", "lower left", "bottom", "lower right")  # fmt: skip
"""Where a wall looks to, by eighths of a turn from the right, counter-clockwise."""


def tapes_of(plan: Plan) -> list[Shown]:
    """What things of a design can be measured from.

    Returns:
        For each: what it is called, how the file names it, and how far its middle is from the end
        at which the tape is held, in the file's unit.
    """
    site = plan.site
    found = [*_lot_lines(site)]
    entries = {entry["id"]: entry for entry in plan.data["surfaces"]}
    for surface in site.surfaces:
        if surface.material.group == BUILDINGS and surface.stage != "removed":
            found += _walls(site, surface, entries[surface.id]["shape"])
    return found


def _lot_lines(site: Site) -> Iterator[Shown]:
    for line in site.lot.lines if site.lot.is_chosen else ():
        ends = list(line.line.coords)
        if len(ends) == 2:
            title = f"Line {line.number}{f', {line.side}' if line.side else ''}"
            yield _tape(site, title, {"lot_line": line.number}, math.dist(*ends))


def _walls(site: Site, surface: Surface, declared: dict[str, Any]) -> Iterator[Shown]:
    """The walls of a building whose outline is as the file counts it: straight, without a hole."""
    corners = declared.get("points", ())
    is_plain = "rectangle" in declared or (corners and all(isinstance(p, list) for p in corners))
    if not is_plain or declared.get("holes") or surface.shape.geom_type != "Polygon":
        return
    ring = surface.shape.exterior
    ends = list(ring.coords)
    turn = -1 if ring.is_ccw else 1
    for number, ((ax, ay), (bx, by)) in enumerate(pairwise(ends), start=1):
        outward_rad = math.atan2((bx - ax) * turn, (ay - by) * turn)
        side = _SIDES[round(outward_rad / (math.pi / 4)) % 8]
        long_m = math.hypot(bx - ax, by - ay)
        title = f"{clean(surface.title)}, {side} wall of {_length(site, long_m)}"
        yield _tape(site, title, {"wall_of": surface.id, "wall": number}, long_m)


def _tape(site: Site, title: str, measured_from: Shown, long_m: float) -> Shown:
    middle = round(long_m / 2 / UNIT[site.unit].size_si, DIGITS)
    return {"title": title, "measured_from": measured_from, "middle": middle}


def _length(site: Site, long_m: float) -> str:
    return show(Amount(long_m, LENGTH), site.system or site.own_system)
