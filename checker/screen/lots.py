"""The lots of a town as columns: areas, the surfaces over each, and the spots they make.

Nothing here knows rules. A spot is a part of one lot over which the same surfaces lie, in the same
land of the overlays; its numbers are what `measure.partition` would give for that lot alone.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from checker.algebra.values import Missing
from checker.core.records import Record, field
from checker.screen.sides import WHY, LotSides

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from checker.screen.compare import Floats
    from checker.screen.outlines import Outlines
    from checker.site.model import Material, Value


class SurfaceClass(Record, kw_only=True):
    """What surfaces of one sort have in common.

    Attributes:
        material: What they are made of.
        attributes: What the mapping says of them, by attribute name.
        other_attributes: What it says besides, for the rule set to read.
    """

    material: Material
    attributes: Mapping[str, Value]
    other_attributes: Mapping[str, Any] = field(default_factory=dict)


class OverlayLand(Record):
    """Land that overlays tell apart: one by its id, all of one kind, a band, a yard.

    Attributes:
        by: Whether `name` is an id or a kind, what the band is near to, or the side of a yard.
        name: The id, the kind or the side.
        over_m: Where a band begins.
        up_to_m: Where it ends; None for the rest of the land, and for a yard up to the dwelling.
        depth_of: The fact that says how deep a yard is; empty where none does.
    """

    by: Literal["id", "kind", "band", "yard"]
    name: str
    over_m: float = 0.0
    up_to_m: float | None = None
    depth_of: str = ""


class Given(Record, eq=False):
    """What a column says of each lot, as a site file would write it.

    Attributes:
        values: The different values.
        index: The place of each lot in them, shape (n,) or (); -1 where the column is empty.
    """

    values: tuple[Any, ...]
    index: NDArray[np.intp]


class Town(Record, kw_only=True):
    """What holds for every lot of a town.

    Attributes:
        classes: The sorts of surface.
        lands: What the overlays tell apart, in the order of the marks of spots.
        rest_of_lot: The material of land that no surface covers; None when not said.
        none_found: Kinds of feature or region that were looked for and are not there.
        features: The kinds of feature that layers tell.
        has_every_front: A lot at a corner has a front on each street.
        on_file: Documents that exist for every lot.
        readings: How the office reads unclear clauses.
        unit: The unit of the layers' coordinates.
    """

    classes: Sequence[SurfaceClass]
    lands: tuple[OverlayLand, ...] = ()
    rest_of_lot: Material | None = None
    none_found: frozenset[str] = frozenset()
    features: frozenset[str] = frozenset()
    has_every_front: bool = False
    on_file: frozenset[str] = frozenset()
    readings: Mapping[str, str] = field(default_factory=dict)
    unit: str = "ft"


class Fronts(Record, eq=False):
    """The front, rear and sides of each lot.

    Attributes:
        sides: Their lines, and on which lots they are in doubt.
        without_depth: The yards up to a dwelling that is not there, or as deep as a fact that is
            not told, as bits of `town.lands`.
    """

    sides: LotSides
    without_depth: NDArray[np.int64]

    def lacks(self, side: str, name: str = "") -> dict[Missing, NDArray[np.bool_]]:
        """What is missing where a side is in doubt, and on which lots.

        Args:
            side: The front, the rear or the sides.
            name: What is asked for, for the gap.
        """
        doubt = self.sides.doubt[side]
        do = "check it with its own drawing"
        return {
            Missing(name, "", f"{why}, so its {side} is in doubt: {do}"): rows
            for code, why in WHY.items()
            if (rows := doubt == code).any()
        }


class DrawnLots(Record, eq=False, dict=True):
    """The geometry of some lots and of the surfaces over them.

    Attributes:
        surfaces: Outlines, in the unit of the layers.
        chosen: The outline of each surface, by its place among them.
        lots: The outline of each lot, in the unit of the layers.
        size_m: The size of that unit.
    """

    surfaces: Outlines
    chosen: NDArray[np.intp]
    lots: Outlines
    size_m: float

    @cached_property
    def shapes(self) -> NDArray[Any]:
        """The geometry of each surface, metres."""
        used, which = np.unique(self.chosen, return_inverse=True)
        return self._in_metres(self.surfaces.take(used).shapes)[which]

    @cached_property
    def outlines(self) -> NDArray[Any]:
        """The geometry of each lot, metres."""
        return self._in_metres(self.lots.shapes)

    def _in_metres(self, shapes: NDArray[Any]) -> NDArray[Any]:
        import shapely

        found: NDArray[Any] = shapely.transform(shapes, lambda points: points * self.size_m)
        return found


class Lots(Record, eq=False, kw_only=True, dict=True):
    """Some lots of a town, measured.

    Attributes:
        town: What holds for all of them.
        ids: Their names, shape (n,).
        area_m2: Shape (n,).
        surface_lot: The lot of each surface, shape (s,), ascending; a surface over a lot line
            stands once for each of its lots. Within a lot by level, then who is seen first.
        surface_class: Its sort, shape (s,).
        surface_place: Its place in the order of the layers, shape (s,).
        spot_lot: The lot of each spot, shape (r,), ascending.
        spot_area_m2: Shape (r,).
        spot_layers: The surfaces over it at ground, raised and roof level, as places in
            `surface_lot`, -1 for none; shape (r, 3).
        spot_marks: The lands it lies in, the bit of `town.lands[i]` being i; shape (r,).
        given: What columns say of the lots, by fact.
        recorded_m2: The area by deed or plat, nan where it is not given; None when no column is.
        fronts: The front, rear and sides of each lot; None where no layer tells them.
        features: What distances are measured to, by kind, in the unit of the layers.
        easements: The easements near the lots, likewise; None where no layer tells them.
        drawn: The geometry, made when somebody asks for it; None where there is none.
    """

    town: Town
    ids: NDArray[Any]
    area_m2: Floats
    surface_lot: NDArray[np.intp]
    surface_class: NDArray[np.intp]
    surface_place: NDArray[np.intp]
    spot_lot: NDArray[np.intp]
    spot_area_m2: Floats
    spot_layers: NDArray[np.intp]
    spot_marks: NDArray[np.int64]
    given: Mapping[str, Given] = field(default_factory=dict)
    recorded_m2: Floats | None = None
    fronts: Fronts | None = None
    features: Mapping[str, NDArray[Any]] = field(default_factory=dict)
    easements: NDArray[Any] | None = None
    drawn: DrawnLots | None = None

    @property
    def size_m(self) -> float:
        """The size of the unit of the layers, metres."""
        assert self.drawn is not None
        return self.drawn.size_m

    @property
    def count(self) -> int:
        """How many lots."""
        return len(self.area_m2)

    @property
    def visible_m2(self) -> Floats:
        """What is seen of each surface within its lot, shape (s,)."""
        found = np.zeros(len(self.surface_lot))
        for level in range(3):
            there = self.spot_layers[:, level] >= 0
            found += np.bincount(
                self.spot_layers[there, level],
                self.spot_area_m2[there],
                minlength=len(self.surface_lot),
            )
        return found

    def by_lot(self, values: Floats, spots: Any = None) -> Floats:
        """The sum over the spots of each lot, shape (n,)."""
        lots = self.spot_lot if spots is None else self.spot_lot[spots]
        return np.bincount(lots, values, minlength=self.count).astype(float)
