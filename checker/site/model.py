"""The lot as drawn: frozen records with the geometry inside, in metres on a local plane.

x runs to the right of the drawing and y up; `north_degrees` says where north is.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, Final, Literal

from checker.core.problems import Place
from checker.core.records import Record, field
from checker.core.showing import length_in, small_in, system_of
from checker.core.units import Amount, System, same
from checker.core.words import Stage

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from shapely import Geometry, LinearRing, LineString, MultiLineString, MultiPolygon, Polygon

    from checker.files.source import Document

State = Literal["existing", "proposed"]
"""The lot as it is today, or as it will be."""

Level = Literal["ground", "raised", "roof"]
"""Surfaces of one level displace each other; those of different levels lie over each other."""

Value = Amount | str | bool | date
"""A fact or attribute as the program holds it."""

Shape = Any
"""A shapely geometry in metres; which kind, the text beside it says."""


class Material(Record, kw_only=True):
    """A class of surface, from `rules/materials.yaml`.

    Attributes:
        id: Its name in files.
        title: Its name on pages.
        level: Where it lies.
        precedence: Which wins where two overlap at one level; the larger number.
        group: The heading under which worksheets list it.
        nature: What rain meets: sealed, porous (built to let water through), open or water.
        hatch: The pattern on plans.
        purpose: What it is for where the file does not say; empty where that must be asked.
    """

    id: str
    title: str
    level: Level
    precedence: int
    group: str
    nature: Literal["sealed", "porous", "open", "water"]
    hatch: str = ""
    purpose: str = ""


REST: Final = "rest-of-lot"
"""The id of land that no surface covers: in lists, and as water runs to it."""

POOL_WATER: Final = frozenset({"pool-water", "spa-water"})
"""The materials that are the water of a pool or spa."""


class Surface(Record, kw_only=True):
    """One surface of the drawing.

    Attributes:
        id: Its name in the file.
        title: Its name on pages.
        material: What it is made of once the work is done.
        was: What it is made of today; differs from `material` only where stage is "replaced".
        stage: Stays, goes, comes, or is rebuilt in place.
        shape: Polygon or multi-polygon, metres; exactly as drawn, overlaps included.
        attributes: What the file says of it, by attribute name.
        section: Id of its pavement section; may be empty.
        may_become: Materials that a search for the least change may turn it into.
        is_fixed: Never to be changed.
        measured_by: How its area was measured.
        other_attributes: What the file says besides, for the rule set to read.
        place: Where the file says so.
    """

    id: str
    title: str
    material: Material
    was: Material
    stage: Stage
    shape: Polygon | MultiPolygon
    attributes: Mapping[str, Value]
    place: Place
    section: str = ""
    may_become: tuple[Material, ...] = ()
    is_fixed: bool = False
    measured_by: str = ""
    other_attributes: Mapping[str, Any] = field(default_factory=dict)

    def material_in(self, state: State) -> Material | None:
        """What it is made of today or after the work; None when it is not there then."""
        if state == "existing":
            return None if self.stage == "proposed" else self.was
        return None if self.stage == "removed" else self.material


class Feature(Record, kw_only=True):
    """Something that rules measure to: a well, a shoreline, a tree.

    Attributes:
        height_m: Of a pool barrier; None when not said.
        ground_m: The level that its height is taken from.
    """

    id: str
    title: str
    kind: str
    shape: Geometry
    place: Place
    height_m: float | None = None
    ground_m: float | None = None


class Region(Record, kw_only=True):
    """A named part of the land: an overlay, an easement, a slope class."""

    id: str
    title: str
    kind: str
    shape: Polygon | MultiPolygon
    place: Place


class Repair(Record, kw_only=True):
    """Something in the drawing that was mended or is in doubt; told, never silent."""

    place: Place
    says: str


class Assumption(Record, kw_only=True):
    """Something taken as likely that nobody has confirmed; no verdict on it is a plain pass.

    Attributes:
        place: Where the site file says so.
        what: What it is about, e.g. `layer C-PATIO`.
        taken_as: What it is taken as, e.g. `concrete slab`.
    """

    place: Place
    what: str
    taken_as: str


class Closure(Record, kw_only=True):
    """How well a boundary of courses closes.

    Attributes:
        error_m: Length of the closing error.
        perimeter_m: Sum of the course lengths.
        balance: Whether and how the error was spread.
    """

    error_m: float
    perimeter_m: float
    balance: str = "none"

    @property
    def precision(self) -> float:
        """The n of "1 in n"; infinite for one that is exact but for rounding."""
        if same(self.error_m, 0.0, self.perimeter_m):
            return float("inf")
        return self.perimeter_m / self.error_m


class BoundaryLine(Record, kw_only=True):
    """One line or arc of the lot boundary.

    Attributes:
        number: Counted from 1 along the boundary as drawn.
        side: front, rear, left, right, street ... or empty.
        line: Its geometry, metres.
        label: Bearing and distance or curve data as a surveyor writes it.
    """

    number: int
    side: str
    line: LineString
    label: str


class Lot(Record, kw_only=True):
    """The lot.

    Attributes:
        boundary: Polygon or multi-polygon, metres; it may have holes.
        lines: Its lines and arcs in order, those of holes and further parts last.
        recorded_area_m2: What the deed or plat says; None when not given.
        recorded_half_m2: Half the last digit with which it is printed.
        closure: For a boundary of courses.
        is_chosen: False where the file names no boundary and a rectangle stands in for it.
    """

    boundary: Polygon | MultiPolygon
    lines: tuple[BoundaryLine, ...]
    place: Place
    recorded_area_m2: float | None = None
    recorded_half_m2: float = 0.0
    closure: Closure | None = None
    is_chosen: bool = True

    @property
    def rings(self) -> list[LinearRing]:
        """Every ring of the boundary, holes included."""
        from shapely import get_parts

        return [r for part in get_parts(self.boundary) for r in (part.exterior, *part.interiors)]

    @property
    def edge(self) -> MultiLineString:
        """All rings of the boundary as one geometry."""
        from shapely import MultiLineString

        return MultiLineString([ring.coords for ring in self.rings])

    def side(self, name: str) -> MultiLineString | None:
        """All boundary lines with a name as one geometry; None when there is none."""
        from shapely import MultiLineString

        found = [line.line for line in self.lines if line.side == name]
        return MultiLineString(found) if found else None


class FiledDocument(Record, kw_only=True):
    """A document that exists."""

    document: str
    title: str = ""
    of: str = ""
    by: str = ""
    date: str = ""
    reference: str = ""


class Site(Record, kw_only=True):
    """One lot and everything on it.

    Attributes:
        title: Its name on pages.
        place_id: The rule set it is under: an id or a path.
        as_of: The day whose law counts; None for the newest.
        system: Units for pages; None for the rule set's own.
        unit: The unit of bare coordinates in the file.
        rest_of_lot: The material of land that no surface covers; None when not said.
        rest_attributes: What the file says of that land besides.
        other_rest_attributes: The same, for the rule set to read.
        order: Surface ids that win over others at their level, first first.
        facts: What the file says for the rule set's questions.
        readings: How the office reads unclear clauses, by reading id.
        none_found: Kinds of feature or region that were looked for and are not there.
        repairs: Everything mended or in doubt in the drawing.
        assumed: What was taken as likely and nobody has confirmed.
        unread: Layers that may hold a surface but give no area; while there is one nothing passes.
        parts: The optional parts of the file as plain data (drainage, sections ...), each checked
            by the layer that uses it.
        document: The file, for places.
        file: Where the file lies, for paths in it.
    """

    title: str
    place_id: str
    lot: Lot
    surfaces: tuple[Surface, ...]
    document: Document
    file: Path
    unit: str
    is_invented: bool = False
    as_of: date | None = None
    system: System | None = None
    north_degrees: float = 0.0
    facts: Mapping[str, Any] = field(default_factory=dict)
    rest_of_lot: Material | None = None
    rest_attributes: Mapping[str, Value] = field(default_factory=dict)
    other_rest_attributes: Mapping[str, Any] = field(default_factory=dict)
    order: tuple[str, ...] = ()
    features: tuple[Feature, ...] = ()
    regions: tuple[Region, ...] = ()
    readings: Mapping[str, str] = field(default_factory=dict)
    on_file: tuple[FiledDocument, ...] = ()
    none_found: frozenset[str] = frozenset()
    repairs: tuple[Repair, ...] = ()
    assumed: tuple[Assumption, ...] = ()
    unread: tuple[Repair, ...] = ()
    parts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def own_system(self) -> System:
        """The system of the file's unit, in which messages about the file are said."""
        return system_of(self.unit)

    @property
    def pools(self) -> tuple[Surface, ...]:
        """The water of pools and spas that is there once the work is done."""
        return tuple(
            item
            for item in self.surfaces
            if item.material.id in POOL_WATER and item.stage != "removed"
        )

    def length(self, length_m: float) -> str:
        """A length as text in the unit of the file."""
        return length_in(length_m, self.unit)

    def small(self, length_m: float) -> str:
        """A small length, a pipe or a course of stone, in inches or in millimetres."""
        return small_in(length_m, self.own_system)

    def surface(self, surface_id: str) -> Surface:
        """The surface with an id.

        Raises:
            KeyError: There is none.
        """
        found = self.surface_named(surface_id)
        if found is None:
            raise KeyError(surface_id)
        return found

    def surface_named(self, surface_id: str) -> Surface | None:
        """The surface that another entry of the file names; None where it names none."""
        return next((item for item in self.surfaces if item.id == surface_id), None)
