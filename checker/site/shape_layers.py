"""Shapes that are layers of a drawing: which drawing, which layer, how far it is the lot's."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from shapely import Geometry, MultiPolygon, Polygon

    from checker.core.words import DataPath
    from checker.files.source import Document
    from checker.site.arcs import VertexPath
    from checker.site.clean import Notes
    from checker.site.drawn_layers import Drawing, Layer
    from checker.site.layers import LayerUse


class ShapeLayers:
    """The layers that the shapes of one file refer to.

    Attributes:
        near: The lot, when it was picked out of many: layers are cut off at its edge.
    """

    def __init__(
        self,
        document: Document,
        notes: Notes,
        drawing: Drawing | None = None,
        *,
        is_lost: bool = False,
    ) -> None:
        """The layers of a drawing.

        Args:
            document: The file that names them.
            notes: Where problems and repairs go.
            drawing: The drawing file; None when there is none.
            is_lost: The file names a drawing that cannot be read, which was said.
        """
        self.document = document
        self.notes = notes
        self.drawing = drawing
        self.is_lost = is_lost
        self.near: Polygon | MultiPolygon | None = None

    def area(
        self, data: dict[str, Any], at: DataPath, owner: str
    ) -> tuple[Polygon | MultiPolygon, VertexPath | None] | None:
        """All areas of a layer, and their outline where it is a single ring; None after a problem.

        Nothing is told of a layer that lies beyond the lot but that it does.
        """
        from checker.site.clean import areas_of
        from checker.site.layers import layer_area

        layer, asked = self._named(data, at, owner)
        if layer is None or not self._reaches_in(layer, asked):
            return None
        found = layer_area(layer, self.notes, asked)
        if found is None or self.near is None:
            return found
        inside = areas_of(found[0].intersection(self.near))
        return (inside, None) if inside is not None else None

    def geometry(self, data: dict[str, Any], at: DataPath, owner: str) -> Geometry | None:
        """All that lies on a layer, points and lines too; None after a problem."""
        from checker.site.layers import layer_geometry

        layer, asked = self._named(data, at, owner)
        return layer_geometry(layer, self.notes, asked) if layer else None

    def _reaches_in(self, layer: Layer, asked: LayerUse) -> bool:
        """Whether anything of a layer comes near the lot, where that was picked out of many."""
        from checker.site.drawn_layers import box_of, overlap

        if self.near is None:
            return True
        box = self.near.bounds
        if any(overlap(box_of(piece), box) for piece in layer.pieces if piece.kind != "point"):
            return True
        self.notes.repair(asked.place, f"{asked.owner}: nothing of it lies on the lot")
        return False

    def _named(
        self, data: dict[str, Any], at: DataPath, owner: str
    ) -> tuple[Layer | None, LayerUse]:
        """The layer that a shape names, None after a problem, and what is asked of it."""
        from checker.site.layers import LayerUse, find_layer

        asked = LayerUse(
            owner=owner,
            place=self.document.place(*at, "layer"),
            pattern=data.get("pattern"),
            nested=data.get("nested"),
            method=data.get("repair"),
            where=data.get("where"),
            near=self.near,
        )
        if self.drawing is not None:
            return find_layer(self.drawing, data["layer"], self.notes, asked), asked
        if not self.is_lost:
            says = f"{owner} refers to the layer '{data['layer']}', but there is no drawing"
            self.notes.problem(asked.place, says, "name the file under 'drawing:'")
        return None, asked
