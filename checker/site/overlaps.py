"""Surfaces over each other: a coping drawn by its outer line, and what is wholly hidden."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING, Final

from checker.core.records import replace
from checker.site.clean import areas_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.site.clean import Notes
    from checker.site.model import Shape, State, Surface

HIDDEN_FRACTION: Final = 1e-6
COPING: Final = "pool-coping"
_NEAR_M: Final = 1e-4
"""How far a corner may stand out and still be taken for covered; areas decide afterwards."""


def coping_as_rings(surfaces: list[Surface], notes: Notes) -> list[Surface]:
    """Copings that cover their pool wholly, made the ring round it.

    Surveyors draw the water's edge and the outer edge of the coping: two outlines, one ring.
    """
    from shapely import union_all

    water = [s for s in surfaces if s.material.nature == "water" and s.material.group == "Pool"]
    found = []
    for surface in surfaces:
        if surface.material.id != COPING:
            found.append(surface)
            continue
        inside = [
            pool
            for pool in water
            if surface.shape.buffer(1e-3).covers(pool.shape)
            and surface.shape.intersection(pool.shape).area > 0.5 * pool.shape.area
        ]
        ring = areas_of(surface.shape.difference(union_all([p.shape for p in inside])))
        if not inside or ring is None:
            found.append(surface)
            continue
        names = " and ".join(pool.id for pool in inside)
        notes.repair(
            surface.place,
            f"{surface.id} is drawn by its outer edge ({notes.area(surface.shape.area)}) round "
            f"{names}; the ring between them counts, {notes.area(ring.area)}",
        )
        found.append(replace(surface, shape=ring))
    return found


def rank(
    surface_id: str, precedence: int, order: Sequence[str], position: int
) -> tuple[int, int, int]:
    """What wins at one level sorts first.

    The file's own order decides, then the material's precedence, then the later drawn.
    """
    listed = order.index(surface_id) if surface_id in order else len(order)
    return listed, -precedence, -position


def check_hidden(surfaces: list[Surface], order: Sequence[str], notes: Notes) -> None:
    """Tell of each surface that others of its level cover wholly, so that nothing of it counts."""
    states: tuple[State, ...] = ("existing", "proposed")
    for state in states:
        _check_state(surfaces, order, state, notes)


def _check_state(surfaces: list[Surface], order: Sequence[str], state: State, notes: Notes) -> None:
    from shapely import covers, touches, union_all

    here = [
        (surface, material.level, rank(surface.id, material.precedence, order, position))
        for position, surface in enumerate(surfaces)
        if (material := surface.material_in(state)) is not None
    ]
    for number, own in over_each(
        [surface.shape for surface, _, _ in here],
        [level for _, level, _ in here],
        [own_rank for _, _, own_rank in here],
    ):
        surface, over = here[number][0], [here[other][0] for other in own]
        above = [other.shape for other in over]
        if not _is_under(surface.shape, above):
            continue
        if not covers(above, surface.shape).any():
            left_m2 = surface.shape.difference(union_all(above)).area
            if left_m2 > HIDDEN_FRACTION * surface.shape.area:
                continue
        beside = touches(above, surface.shape)
        hiding = [other for other, is_beside in zip(over, beside, strict=True) if not is_beside]
        names = " and ".join(other.id for other in hiding)
        notes.repair(
            surface.place,
            f"{surface.id} ({notes.area(surface.shape.area)}) lies wholly under {names}, so "
            "nothing of it counts; compare both with the survey",
        )


def over_each(
    shapes: list[Shape], levels: Sequence[str], ranks: Sequence[tuple[int, int, int]]
) -> Iterator[tuple[int, list[int]]]:
    """For each shape over which others of its level lie: its number, and theirs."""
    import numpy as np
    from shapely import STRtree

    place = np.empty(len(ranks), dtype=np.int64)
    place[sorted(range(len(ranks)), key=ranks.__getitem__)] = np.arange(len(ranks))
    level = np.array([sorted(set(levels)).index(own) for own in levels], dtype=np.int64)
    drawn = np.array(shapes, dtype=object)
    one, other = STRtree(drawn).query(drawn, predicate="intersects")
    is_over = (level[one] == level[other]) & (place[other] < place[one])
    pairs = sorted(zip(one[is_over].tolist(), other[is_over].tolist(), strict=True))
    for number, own in groupby(pairs, key=itemgetter(0)):
        yield number, [over for _, over in own]


def _is_under(shape: Shape, over: list[Shape]) -> bool:
    """Whether every corner of a shape lies on some of others, as it must where they hide it.

    One corner in the open settles it, which spares most surfaces the union of all above them.
    """
    from shapely import dwithin, get_coordinates, points

    corners = [points(x, y) for x, y in get_coordinates(shape)]
    return all(dwithin(over, corner, _NEAR_M).any() for corner in corners)
