"""What is built to lead and hold water, as things with a place: dry wells, stone, pipes, drains.

Rules ask for them by their word `work` and measure them as they measure surfaces, from the outside
of the hole that is dug for them.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import shapely

from checker.algebra.scopes import SurfaceScope
from checker.algebra.values import Missing, unknown
from checker.core.formula import OutOfRange, lack_text
from checker.core.records import Record
from checker.core.units import LENGTH, Amount
from checker.core.words import WAS, WORK, WorkKind
from checker.measure.catalogue import SURFACE_MEASURES, NotMeasured, ask_for, value_of
from checker.measure.drainage.drawn import ground_of, need, ways_of
from checker.measure.drainage.reservoirs import widest_m2

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.values import Context
    from checker.measure.survey import Survey
    from checker.site.drainage import Pit, WaysOut, Xy
    from checker.site.model import Shape

STORES: Final[tuple[WorkKind, ...]] = ("dry-well", "reservoir")
"""Works that hold water and let it soak away."""

NO_MATERIAL: Final = ""
"""What a work says where a rule asks for the material, nature or purpose of a surface."""

_ROUND: Final = 64
_WITHOUT_WIDTH_M: Final = 0.001
_AS_SURFACES: Final = ("in_easement", "within_lot", "width")
_ABOVE_WATER: Final = "water_table_depth"


class BuiltWork(Record, kw_only=True):
    """One thing that is built for water.

    Attributes:
        id: Its name in the file.
        kind: What it is.
        shape: The ground that it takes up, metres; empty where the file does not place it.
        lacks: What to give to place it; empty when it is placed.
        axis: The line or point that a pipe, drain or outlet is drawn by; None for a store.
    """

    id: str
    kind: WorkKind
    shape: Shape
    lacks: str = ""
    axis: Shape | None = None


def works_of(survey: Survey) -> tuple[BuiltWork, ...]:
    """Everything built for water, in the order of the file; nothing where no way out is drawn."""
    if "ways_out" not in survey.site.parts:
        return ()

    def work_out(_data: object, _document: object) -> tuple[BuiltWork, ...]:
        return tuple(_works(survey, ways_of(survey)))

    return survey.part("built_works", work_out)


def dry_wells_count(survey: Survey) -> float:
    """Number of dry wells; 0 where no way out is drawn."""
    return float(sum(work.kind == "dry-well" for work in works_of(survey)))


def _works(survey: Survey, ways: WaysOut) -> Iterator[BuiltWork]:
    for pit in ways.pits:
        yield _pit(survey, pit)
    for pipe in ways.pipes:
        yield _run(pipe.id, "pipe", pipe.points, pipe.diameter_m, "along")
    for drain in ways.drains:
        if drain.kind != "roof-leader":
            key = "along" if drain.kind == "channel-drain" else "at"
            wide_m = drain.width_m if drain.grate is None else drain.grate.width_m
            yield _run(drain.id, "drain", drain.points, wide_m, key)
    for end in ways.outfalls:
        yield _run(end.id, "outlet", () if end.at is None else (end.at,), None, "at")


def _pit(survey: Survey, pit: Pit) -> BuiltWork:
    """A store by the hole that is dug for it."""
    kind: WorkKind = "dry-well" if pit.kind == "dry-well" else "reservoir"
    if pit.under:
        above = survey.site.surface_named(pit.under)
        if above is not None:
            return BuiltWork(id=pit.id, kind=kind, shape=above.shape)
        lacks = f"'under' of {pit.id} names '{pit.under}', which is no surface"
        return BuiltWork(id=pit.id, kind=kind, shape=shapely.Polygon(), lacks=lacks)
    try:
        radius_m, at = _radius_m(pit), _middle(pit)
    except NotMeasured as lacks:
        return BuiltWork(id=pit.id, kind=kind, shape=shapely.Polygon(), lacks=str(lacks))
    return BuiltWork(id=pit.id, kind=kind, shape=shapely.Point(at).buffer(radius_m, _ROUND))


def _middle(pit: Pit) -> Xy:
    if pit.at is None:
        raise NotMeasured(f"give 'at' of {pit.id}, its middle on the drawing")
    return pit.at


def _radius_m(pit: Pit) -> float:
    if pit.kind == "dry-well":
        return max(need(pit.pit_m, "pit", pit.id), pit.chamber_m or 0.0) / 2
    if pit.kind == "any-shape":
        # Its measures are not drawn: a round hole, as large as its widest row.
        return math.sqrt(widest_m2(pit) / math.pi)
    # The file does not say which way it lies: the circle round it holds it in every way.
    long_m, wide_m = need(pit.length_m, "length", pit.id), need(pit.width_m, "width", pit.id)
    if pit.kind == "basin":
        wider_m = 2 * (pit.side_slope_ratio or 0.0) * need(pit.depth_m, "depth", pit.id)
        long_m, wide_m = long_m + wider_m, wide_m + wider_m
    return math.hypot(long_m, wide_m) / 2


def _run(
    name: str, kind: WorkKind, points: tuple[Xy, ...], wide_m: float | None, key: str
) -> BuiltWork:
    if not points:
        lacks = f"give '{key}' of {name}, where it lies on the drawing"
        return BuiltWork(id=name, kind=kind, shape=shapely.Polygon(), lacks=lacks)
    line = shapely.Point(points[0]) if len(points) == 1 else shapely.LineString(points)
    shape = line.buffer((wide_m or _WITHOUT_WIDTH_M) / 2, _ROUND)
    return BuiltWork(id=name, kind=kind, shape=shape, axis=line)


def every_scope(survey: Survey) -> Iterator[Context]:
    """The scope of each surface of the proposed lot, then of each thing built for water."""
    yield from survey.surfaces()
    for work in works_of(survey):
        yield SurfaceScope(work.id, WorkFacts(survey, work), survey.lot, survey.words)


class WorkFacts:
    """What rules can ask of a work: where it lies, and how far its base is from high water."""

    def __init__(self, survey: Survey, work: BuiltWork) -> None:
        self._survey = survey
        self._work = work
        self._facts: dict[str, Any] = {WORK: work.kind, "stage": "proposed"} | dict.fromkeys(
            ("material", WAS, "nature", "purpose", "section", "use"), NO_MATERIAL
        )

    def get(self, name: str, /) -> Any:  # noqa: ANN401 - of any kind
        """The value of an attribute; None for what only a surface has."""
        if name not in self._facts:
            self._facts[name] = self._measured(name)
        return self._facts[name]

    def _measured(self, name: str) -> Any:  # noqa: ANN401 - of any kind
        known = SURFACE_MEASURES.get(name)
        is_place = name.startswith("distance_to_") or name in _AS_SURFACES
        if known is None or not (is_place or name == _ABOVE_WATER):
            return None
        try:
            if name == _ABOVE_WATER:
                return Amount(above_water_m(self._survey, self._work), LENGTH)
            return value_of(known, self._survey, _placed(self._work))
        except (NotMeasured, OutOfRange) as lacks:
            if known.kind != "amount":
                return None
            ask = ask_for(lack_text(lacks, self._survey.site.own_system), self._work.id)
            return unknown([Missing(name, self._work.id, ask)], known.dimension)


def _placed(work: BuiltWork) -> BuiltWork:
    if work.lacks:
        raise NotMeasured(work.lacks)
    return work


def above_water_m(survey: Survey, work: BuiltWork) -> float:
    """From the base of a store down to seasonal high water, m; below 0 in it.

    Raises:
        NotMeasured: The file lacks what it is worked out from.
    """
    pit = next((pit for pit in ways_of(survey).pits if pit.id == work.id), None)
    if pit is None:
        raise NotMeasured(f"{work.id} holds no water")
    water_m = ground_of(survey).water_table_depth_m
    if water_m is None:
        raise NotMeasured("give 'water_table_depth' under 'ground'")
    if pit.rim_m is not None:
        return water_m - (pit.rim_m - need(pit.bottom_m, "bottom", pit.id))
    depth_m = need(pit.depth_m, "depth", pit.id) + need(pit.cover_m, "cover", pit.id)
    return water_m - depth_m
