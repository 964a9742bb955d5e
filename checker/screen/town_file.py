"""Reads a town file: which layers there are, and what their columns mean."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from checker.core.answers import day_hint, day_of
from checker.core.problems import Problems, did_you_mean
from checker.core.records import Record, field
from checker.core.units import LENGTH, UNIT
from checker.files.shape import check_shape
from checker.files.source import read_document
from checker.screen.layer_files import LAYER_ENDINGS
from checker.site.materials import materials
from checker.site.values import read_attributes

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from checker.core.problems import Place
    from checker.files.source import Document
    from checker.site.model import Material


class LayerName(Record):
    """A layer of a file.

    Attributes:
        path: The file.
        layer: Its name; empty for the only one.
        place: Where it is named.
    """

    path: Path
    layer: str
    place: Place

    @property
    def shown(self) -> str:
        """How messages name it."""
        return f"{self.path.name} ({self.layer})" if self.layer else self.path.name


class FromColumn(Record, kw_only=True):
    """What a column says.

    Attributes:
        column: Its name.
        values: What each of its values means; as they are where there are none.
        unit: The unit of its numbers.
    """

    column: str
    values: Mapping[str, Any] = field(default_factory=dict)
    unit: str = ""

    def meaning(self, value: object) -> Any:
        """What a value means, as a site file would write it; None where it is not told."""
        if value is None or value == "":
            return None
        text = plain_text(value)
        if self.values:
            return self.values.get(text)
        if isinstance(value, bool):
            return value
        return f"{text} {self.unit}".strip() if self.unit else text


def plain_text(value: object) -> str:
    """A value of a column as a town file writes it: 3 for 3.0."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


class LotLayer(Record, kw_only=True):
    """The layer of the lots.

    Attributes:
        id: The column of their names.
        front: What their front looks at; empty when not said.
        has_every_front: A lot at a corner has a front on each street.
        recorded_area: Recorded areas.
        facts: What columns say of facts.
    """

    name: LayerName
    id: str
    front: str = ""
    has_every_front: bool = False
    recorded_area: FromColumn | None = None
    facts: Mapping[str, FromColumn] = field(default_factory=dict)

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that are read."""
        recorded = [self.recorded_area.column] if self.recorded_area else []
        return tuple(dict.fromkeys([self.id, *recorded, *(f.column for f in self.facts.values())]))


class SurfaceLayer(Record, kw_only=True):
    """A layer of surfaces.

    Attributes:
        material: One for all of them, or what a column says.
        skip: Values of that column that are no surface.
        attributes: Alike for all, or by a column.
        index: Its place in the file, for messages.
    """

    name: LayerName
    material: str | FromColumn
    skip: frozenset[str] = frozenset()
    attributes: Mapping[str, Any] = field(default_factory=dict)
    index: int = 0

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that are read."""
        found = [self.material, *self.attributes.values()]
        return tuple(dict.fromkeys(f.column for f in found if isinstance(f, FromColumn)))


class OverlayLayer(Record, kw_only=True):
    """A layer of overlays or features, with their kind or id, alike for all or by a column."""

    name: LayerName
    by: str
    names: str | FromColumn

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that are read."""
        return (self.names.column,) if isinstance(self.names, FromColumn) else ()


class TownFile(Record, kw_only=True):
    """A town file.

    Attributes:
        title: Its name on pages.
        place_id: The rule set: an id or a path.
        is_invented: It is no real town.
        unit: The unit of coordinates where layers name no reference; empty when not given.
        facts: What holds for every lot.
        document: The file, for places.
    """

    path: Path
    title: str
    place_id: str
    lots: LotLayer
    surfaces: tuple[SurfaceLayer, ...]
    document: Document
    overlays: tuple[OverlayLayer, ...] = ()
    features: tuple[OverlayLayer, ...] = ()
    is_invented: bool = False
    unit: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)
    rest_of_lot: Material | None = None
    none_found: frozenset[str] = frozenset()
    on_file: frozenset[str] = frozenset()
    readings: Mapping[str, str] = field(default_factory=dict)
    day: date | None = None

    @property
    def files(self) -> tuple[LayerName, ...]:
        """Every layer, the lots first."""
        return (
            self.lots.name,
            *(own.name for own in self.surfaces),
            *(own.name for own in self.overlays),
            *(own.name for own in self.features),
        )


def read_town(path: Path, shown: str | None = None) -> TownFile:
    """Read a town file.

    Raises:
        BadInput: With every problem found.
    """
    document = read_document(path, shown)
    data = check_shape("town", document.data, document)
    return _Reading(path, document, data).town()


class _Reading:
    """One walk over a town file."""

    def __init__(self, path: Path, document: Document, data: Any) -> None:
        self.path = path
        self.document = document
        self.data = data
        self.problems = Problems()

    def town(self) -> TownFile:
        """The town; stops with every problem found."""
        data = self.data
        lots = data["lots"]
        recorded = lots.get("recorded_area")
        found = TownFile(
            path=self.path,
            title=data["title"],
            place_id=data["place"],
            lots=LotLayer(
                name=self._layer(lots, "lots"),
                id=lots["id"],
                front=lots.get("front", ""),
                has_every_front=lots.get("corner_lots") == "front on each street",
                recorded_area=self._column(recorded, "lots", "recorded_area") if recorded else None,
                facts={
                    name: self._column(own, "lots", "facts", name)
                    for name, own in lots.get("facts", {}).items()
                },
            ),
            surfaces=tuple(self._surfaces(own, i) for i, own in enumerate(data["surfaces"])),
            overlays=tuple(
                self._overlay(own, "overlays", i) for i, own in enumerate(data.get("overlays", []))
            ),
            features=tuple(
                self._overlay(own, "features", i) for i, own in enumerate(data.get("features", []))
            ),
            document=self.document,
            is_invented=bool(data.get("invented", False)),
            unit=self._unit(data.get("unit", "")),
            facts=data.get("facts", {}),
            rest_of_lot=self._material(data.get("rest_of_lot"), "rest_of_lot"),
            none_found=frozenset(data.get("none_found", [])),
            on_file=frozenset(data.get("on_file", [])),
            readings=data.get("readings", {}),
            day=self._day(data.get("date")),
        )
        self.problems.stop_if_any(f"{self.document.file} cannot be used")
        return found

    def _wrong(self, at: tuple[str | int, ...], says: str, do: str = "") -> None:
        self.problems.add(self.document.place(*at), says, do)

    def _layer(self, data: Any, *at: str | int) -> LayerName:
        name = data["file"]
        path = self.path.parent / name
        if path.is_dir():
            do = f"name the file in it, or export the layer as one of {', '.join(LAYER_ENDINGS)}"
            self._wrong((*at, "file"), f"'{name}' is a folder, and a layer is one file", do)
        elif path.suffix.lower() not in LAYER_ENDINGS:
            do = f"name a file that ends in {', '.join(LAYER_ENDINGS)}"
            self._wrong((*at, "file"), f"'{name}' is no layer that can be read", do)
        return LayerName(path, data.get("layer", ""), self.document.place(*at, "file"))

    def _column(self, data: Any, *at: str | int) -> FromColumn:
        unit = data.get("unit", "")
        if unit and unit not in UNIT:
            self._wrong((*at, "unit"), f"'{unit}' is not a known unit", did_you_mean(unit, UNIT))
        return FromColumn(column=data["column"], values=data.get("values", {}), unit=unit)

    def _unit(self, unit: str) -> str:
        lengths = [name for name, own in UNIT.items() if own.dimension == LENGTH]
        if unit and unit not in lengths:
            self._wrong(("unit",), f"'{unit}' is no unit of length", did_you_mean(unit, lengths))
        return unit

    def _material(self, name: str | None, *at: str | int) -> Material | None:
        if name is None:
            return None
        found = materials().get(name)
        if found is None:
            says = f"'{name}' is no material"
            self._wrong(at, says, did_you_mean(name, materials()))
        return found

    def _surfaces(self, data: Any, index: int) -> SurfaceLayer:
        at = ("surfaces", index)
        given = data["material"]
        if isinstance(given, str):
            self._material(given, *at, "material")
            material: str | FromColumn = given
        else:
            for value, name in given["values"].items():
                self._material(name, *at, "material", "values", value)
            material = FromColumn(column=given["column"], values=given["values"])
        attributes: dict[str, Any] = {}
        for name, own in data.get("attributes", {}).items():
            where = (*at, "attributes", name)
            if isinstance(own, dict):
                attributes[name] = self._column(own, *where)
                tried = list(attributes[name].values.values())
            else:
                attributes[name], tried = own, [own]
            for value in tried:
                others: dict[str, Any] = {}
                read_attributes(
                    {name: value}, self.document, where[:-1], "the layer", self.problems, others
                )
        skip = frozenset() if isinstance(given, str) else frozenset(given.get("skip", []))
        return SurfaceLayer(
            name=self._layer(data, *at), material=material, skip=skip, attributes=attributes,
            index=index,
        )  # fmt: skip

    def _overlay(self, data: Any, group: str, index: int) -> OverlayLayer:
        at = (group, index)
        given = [key for key in ("kind", "id") if key in data]
        if len(given) != 1:
            self._wrong(at, "an overlay has either a 'kind' or an 'id'", "give one of them")
            return OverlayLayer(name=self._layer(data, *at), by="kind", names="")
        by = "feature" if group == "features" else given[0]
        names = data[given[0]]
        if isinstance(names, dict):
            names = self._column(names, *at, given[0])
        return OverlayLayer(name=self._layer(data, *at), by=by, names=names)

    def _day(self, given: object) -> date | None:
        if given is None:
            return None
        day = day_of(given)
        if day is None:
            self._wrong(("date",), f"'{given}' is no day", day_hint(given))
        return day
