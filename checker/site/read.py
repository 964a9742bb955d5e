"""A site file as a `Site`: the one door through which lots come in."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any, Final, cast

from checker.core.answers import day_of
from checker.core.problems import BadInput, Place, Problem, Problems, did_you_mean
from checker.core.units import LENGTH, UNIT
from checker.core.words import Stage
from checker.files.shape import check_shape
from checker.files.source import read_document
from checker.site.beside import is_drawing
from checker.site.clean import Notes
from checker.site.doubts import check_lot_size, check_outside
from checker.site.drawn_fields import DrawnFields
from checker.site.lot import read_lot, stand_in
from checker.site.made_of import MadeOf, title_of
from checker.site.model import (
    Feature,
    FiledDocument,
    Lot,
    Material,
    Region,
    Repair,
    Site,
    Surface,
)
from checker.site.overlaps import check_hidden, coping_as_rings
from checker.site.shape_layers import ShapeLayers
from checker.site.shapes import Shapes
from checker.site.sides import named_sides
from checker.site.takers import check_takers
from checker.site.values import read_attributes, read_day, read_yes_or_no

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from shapely import MultiPolygon, Polygon

    from checker.files.source import Document
    from checker.site.drawn_layers import Drawing
    from checker.site.model import Value

PARTS: Final = (
    "project", "panels", "ways_out", "sections", "ground", "storms", "levels", "costs", "goal",
)  # fmt: skip
"""Parts of the file that other layers check."""


def read_site(path: Path, shown: str | None = None) -> Site:
    """Read a site file.

    Args:
        path: A YAML or JSON file of the format `site/1`.
        shown: How messages name it; the path as given when None.

    Returns:
        The lot with all shapes in metres; what was mended or is in doubt stands in `repairs`.

    Raises:
        BadInput: With every problem found.
    """
    shown = shown or path.as_posix()
    if is_drawing(path):
        says = "is a drawing, not a site file"
        do = "judge it with 'soakline check', which makes a site file that refers to it"
        raise BadInput(f"{shown} cannot be read", [Problem(Place(shown), says, do)])
    return site_of(read_document(path, shown), path)


def site_of(document: Document, path: Path) -> Site:
    """The site of a document that has been read; see `read_site`."""
    data = check_shape("site", document.data, document)
    site = _Reading(document, path, data).site()
    assert site is not None
    return site


class _Reading:
    """One walk over the plain data of a site file."""

    def __init__(self, document: Document, path: Path, data: dict[str, Any]) -> None:
        self.document = document
        self.path = path
        self.data = data
        self.notes = Notes(unit=self.unit())
        self.problems: Problems = self.notes.problems
        self.unread: list[Repair] = []
        self.drawing = self.read_drawing()
        is_lost = "drawing" in data and self.drawing is None
        self.layers = ShapeLayers(document, self.notes, self.drawing, is_lost=is_lost)
        self.made_of = MadeOf(document, self.problems, self.layers)
        self.shapes = Shapes(
            document,
            self.notes,
            layers=self.layers,
            rings={
                item["id"]: (item["shape"], ("surfaces", i, "shape"))
                for i, item in enumerate(data["surfaces"])
            },
            north_degrees=float(data.get("north", 0.0)),
        )

    def unit(self) -> str:
        given = self.data["units"]
        found = UNIT.get(given.strip().lower())
        if found is None or found.dimension != LENGTH:
            lengths = [unit.name for unit in UNIT.values() if unit.dimension == LENGTH]
            says, do = (
                f"'units' is '{given}', which is no unit of length",
                did_you_mean(given, lengths),
            )
            raise BadInput(
                f"{self.document.file} cannot be used",
                [Problem(self.document.place("units"), says, do)],
            )
        return found.name

    def read_drawing(self) -> Drawing | None:
        if "drawing" not in self.data:
            return None
        from checker.site.drawing import open_drawing

        shapes = list(_shapes(self.data))
        fields = dict.fromkeys(key for shape in shapes for key in shape.get("where", {}))
        return open_drawing(
            self.data["drawing"], self.document, self.path, self.notes,
            lot_where=self.lot_where(), fields=tuple(fields),
        )  # fmt: skip

    def lot_where(self) -> tuple[str, dict[str, Any]] | None:
        """The layer of the lot with the values that pick it out; None when it is not picked so."""
        boundary = self.data.get("lot", {}).get("boundary", {})
        if "layer" in boundary and "where" in boundary:
            return boundary["layer"], boundary["where"]
        return None

    def site(self) -> Site | None:
        data = self.data
        self.unique_ids()
        lot = read_lot(data["lot"], self.shapes) if "lot" in data else None
        self.shapes.lot = lot
        if lot is not None and self.lot_where() is not None:
            self.layers.near = lot.boundary
        read = [self.surface(item, i) for i, item in enumerate(data["surfaces"])]
        surfaces = coping_as_rings([s for s in read if s is not None], self.notes)
        features = [self.feature(item, i) for i, item in enumerate(data.get("features", []))]
        regions = [self.region(item, i) for i, item in enumerate(data.get("regions", []))]
        rest, rest_attributes, other_rest = self.rest_of_lot()
        as_of = None
        if "date" in data:
            as_of = read_day(data["date"], "'date'", self.document.place("date"), self.problems)
        is_invented = "invented" in data and read_yes_or_no(
            data["invented"], "'invented'", self.document.place("invented"), self.problems
        )
        on_file = self.on_file()
        self.check_order()
        self.check_none_found()
        check_takers(data, self.document, self.problems)
        self.check_whole(lot, surfaces)
        self.problems.stop_if_any(f"{self.document.file} cannot be used")
        if lot is None:
            lot = stand_in(surfaces, self.shapes)
        else:
            lot = named_sides(lot, data["lot"], features, self.shapes)
            self.problems.stop_if_any(f"{self.document.file} cannot be used")
        return Site(
            title=data["title"],
            place_id=data["place"],
            lot=lot,
            surfaces=tuple(surfaces),
            document=self.document,
            file=self.path,
            unit=self.notes.unit,
            is_invented=is_invented,
            as_of=as_of,
            system=data.get("shown_in"),
            north_degrees=self.shapes.north_degrees,
            facts=dict(data.get("facts", {})),
            rest_of_lot=rest,
            rest_attributes=rest_attributes,
            other_rest_attributes=other_rest,
            order=tuple(data.get("order", ())),
            features=tuple(feature for feature in features if feature is not None),
            regions=tuple(region for region in regions if region is not None),
            readings=dict(data.get("readings", {})),
            on_file=on_file,
            none_found=frozenset(data.get("none_found", ())),
            repairs=tuple(self.notes.repairs),
            assumed=tuple(self.made_of.assumed),
            unread=tuple(self.unread),
            parts={name: data[name] for name in PARTS if name in data},
        )

    def rest_of_lot(self) -> tuple[Material | None, dict[str, Value], dict[str, Any]]:
        """What covers the land that no surface covers, and what is known of it."""
        given = self.data.get("rest_of_lot")
        if given is None:
            return None, {}, {}
        if isinstance(given, str):
            return self.made_of.likely(given, "the rest of the lot", "rest_of_lot"), {}, {}
        others: dict[str, Any] = {}
        attributes = read_attributes(
            given.get("attributes", {}),
            self.document,
            ("rest_of_lot", "attributes"),
            "the rest of the lot",
            self.problems,
            others,
        )
        at = ("rest_of_lot", "material")
        return (
            self.made_of.likely(given["material"], "the rest of the lot", *at),
            attributes,
            others,
        )

    def check_whole(self, lot: Lot | None, surfaces: list[Surface]) -> None:
        """Doubts that only the whole drawing shows."""
        if self.drawing is not None:
            from checker.site.drawing import check_layers_used

            told = check_layers_used(self.drawing, self.document, lot, self.notes)
            self.made_of.add_layers(told.assumed, self.data["surfaces"])
            self.unread += told.unread
        if lot is None:
            return
        is_layer = self.drawing is not None and "layer" in self.data["lot"]["boundary"]
        unit = self.drawing.unit if self.drawing is not None and is_layer else self.notes.unit
        check_lot_size(lot, unit, self.notes)
        self.made_of.assumed += check_outside(lot, surfaces, self.notes)
        check_hidden(surfaces, self.data.get("order", ()), self.notes)

    def unique_ids(self) -> None:
        for group in ("surfaces", "features", "regions"):
            items = self.data.get(group, [])
            counts = Counter(item["id"] for item in items)
            for index, item in enumerate(items):
                if counts[item["id"]] > 1:
                    place = self.document.place(group, index, "id")
                    says = f"the id '{item['id']}' stands {counts[item['id']]} times in '{group}'"
                    self.problems.add(place, says, "give each its own id")

    def check_order(self) -> None:
        ids = {item["id"] for item in self.data["surfaces"]}
        for index, name in enumerate(self.data.get("order", [])):
            if name not in ids:
                place = self.document.place("order", index)
                says = f"'order' names '{name}', which is not a surface"
                self.problems.add(place, says, did_you_mean(name, ids))

    def check_none_found(self) -> None:
        """What is drawn was found."""
        for index, name in enumerate(self.data.get("none_found", [])):
            for group in ("features", "regions"):
                for number, item in enumerate(self.data.get(group, [])):
                    if name in (item["id"], item.get("kind")):
                        place = self.document.place("none_found", index)
                        says = f"'none_found' lists '{name}', but '{group}' draws '{item['id']}'"
                        line = self.document.place(group, number).line
                        self.problems.add(place, says, f"take it out here, or in line {line}")

    def surface(self, item: dict[str, Any], index: int) -> Surface | None:
        at = ("surfaces", index)
        name = item["id"]
        material = self.made_of.surface(item, index)
        stage: Stage = item.get("stage", "existing")
        was = material
        if "was" in item:
            was = self.made_of.named(item["was"], *at, "was")
            if stage != "replaced":
                says = f"'was' of {name} has no meaning where 'stage' is '{stage}'"
                do = "remove it, or say 'stage: replaced'"
                self.problems.add(self.document.key_place(*at, "was"), says, do)
        drawn = self.shapes.surface(name, (*at, "shape"), name)
        may_become = [
            self.made_of.named(other, *at, "may_become", i)
            for i, other in enumerate(item.get("may_become", []))
        ]
        others: dict[str, Any] = {}
        attributes = read_attributes(
            item.get("attributes", {}),
            self.document,
            (*at, "attributes"),
            name,
            self.problems,
            others,
        )
        is_fixed = "fixed" in item and read_yes_or_no(
            item["fixed"], f"'fixed' of {name}", self.document.place(*at, "fixed"), self.problems
        )
        if material is None or was is None or drawn is None:
            return None
        return Surface(
            id=name,
            title=item.get("title") or title_of(name),
            material=material,
            was=was,
            stage=stage,
            shape=drawn.shape,
            attributes=attributes,
            other_attributes=others,
            place=self.document.place(*at),
            section=item.get("section", ""),
            may_become=tuple(other for other in may_become if other is not None),
            is_fixed=is_fixed,
            measured_by=item.get("measured_by", ""),
        )

    def feature(self, item: dict[str, Any], index: int) -> Feature | None:
        at = ("features", index)
        shape = self.shapes.geometry(item["shape"], (*at, "shape"), item["id"])
        if shape is None:
            return None
        title = item.get("title") or title_of(item["id"])
        place = self.document.place(*at)
        fields = DrawnFields(item, self.document, at, item["id"], self.problems)
        return Feature(
            id=item["id"],
            title=title,
            kind=item["kind"],
            shape=shape,
            place=place,
            height_m=fields.size("height", LENGTH),
            ground_m=fields.level_m("ground"),
        )

    def region(self, item: dict[str, Any], index: int) -> Region | None:
        at = ("regions", index)
        drawn = self.shapes.area(item["shape"], (*at, "shape"), item["id"])
        if drawn is None:
            return None
        shape: Polygon | MultiPolygon = drawn.shape
        title = item.get("title") or title_of(item["id"])
        place = self.document.place(*at)
        return Region(id=item["id"], title=title, kind=item["kind"], shape=shape, place=place)

    def on_file(self) -> tuple[FiledDocument, ...]:
        found = []
        for index, item in enumerate(self.data.get("on_file", [])):
            if "date" in item and day_of(item["date"]) is None:
                place = self.document.place("on_file", index, "date")
                read_day(item["date"], f"the date of {item['document']}", place, self.problems)
            found.append(FiledDocument(**cast("dict[str, str]", item)))
        return tuple(found)


def _shapes(data: Any) -> Iterator[dict[str, Any]]:  # noqa: ANN401 - plain data
    """Every group of the file that names a layer."""
    if isinstance(data, dict):
        if "layer" in data:
            yield data
        for value in data.values():
            yield from _shapes(value)
    elif isinstance(data, list):
        for value in data:
            yield from _shapes(value)
