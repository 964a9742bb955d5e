"""Surfaces over each other: a coping drawn by its outer line, and what is wholly hidden."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import replace
from checker.site.clean import areas_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.site.clean import Notes
    from checker.site.model import State, Surface

HIDDEN_FRACTION: Final = 1e-6
COPING: Final = "pool-coping"


def coping_as_rings(surfaces: list[Surface], notes: Notes) -> list[Surface]:
    """Copings that cover their pool wholly, made the ring round it.

    Surveyors draw the water's edge and the outer edge of the coping: two outlines, one ring.
    """
    from shapely import union_all

    water = [s for s in surfaces if s.material.nature == "water" and s.material.group == "Pool"]
    found = []
    for surface in surfaces:
        inside = [
            pool
            for pool in water
            if surface.material.id == COPING
            and surface.shape.buffer(1e-3).covers(pool.shape)
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
    from shapely import STRtree, union_all

    here = []
    for position, surface in enumerate(surfaces):
        material = surface.material_in(state)
        if material is not None:
            here.append(
                (rank(surface.id, material.precedence, order, position), material.level, surface)
            )
    tree = STRtree([surface.shape for _, _, surface in here])
    for own_rank, level, surface in here:
        over = [
            other
            for other_rank, other_level, other in (
                here[i] for i in sorted(tree.query(surface.shape, predicate="intersects"))
            )
            if other_level == level and other_rank < own_rank
        ]
        hiding = [o for o in over if o.shape.intersection(surface.shape).area > 0]
        if not hiding:
            continue
        left_m2 = surface.shape.difference(union_all([o.shape for o in hiding])).area
        if left_m2 > HIDDEN_FRACTION * surface.shape.area:
            continue
        names = " and ".join(other.id for other in hiding)
        notes.repair(
            surface.place,
            f"{surface.id} ({notes.area(surface.shape.area)}) lies wholly under {names}, so "
            "nothing of it counts; compare both with the survey",
        )
