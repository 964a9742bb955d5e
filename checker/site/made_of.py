"""What the surfaces of a site file are made of, and what of it nobody has confirmed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from checker.core.problems import did_you_mean
from checker.core.records import replace
from checker.site.materials import UNKNOWN, material_named, materials, without_mark
from checker.site.model import Assumption

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from checker.core.problems import Problems
    from checker.files.source import Document
    from checker.site.model import Material
    from checker.site.shape_layers import ShapeLayers


def title_of(name: str) -> str:
    """A title made of an id: `west-deck` is `West deck`."""
    return name.replace("-", " ").capitalize()


class MadeOf:
    """Reads materials.

    Args:
        document: The site file.
        problems: Where problems go.
        layers: The drawing, whose table of layers names materials.

    Attributes:
        assumed: What was taken as likely and nobody has confirmed.
    """

    def __init__(self, document: Document, problems: Problems, layers: ShapeLayers) -> None:
        self.document = document
        self.problems = problems
        self.layers = layers
        self.assumed: list[Assumption] = []

    def named(self, name: str, *at: str | int) -> Material | None:
        """The material of a name; None after a problem."""
        found = materials().get(name)
        if found is None:
            says = f"there is no material '{name[:60]}'"
            do = did_you_mean(name, materials())
            if not do.startswith("did"):
                do += "; 'soakline materials' lists all"
            self.problems.add(self.document.place(*at), says, do)
        return found

    def surface(self, item: dict[str, Any], index: int) -> Material | None:
        """What a surface is made of: as it says, or as the table of the drawing's layers says."""
        layer, drawing = item["shape"].get("layer"), self.layers.drawing
        listed = drawing.material_of(layer) if drawing and layer is not None else None
        if "material" not in item:
            if listed is None and layer is not None and self.layers.is_lost:
                return None
            if listed is None:
                place = self.document.place("surfaces", index)
                self.problems.add(place, f"'material' of {item['id']} is missing", "add it")
                return None
            # A word in the table that is no material was complained of there.
            return material_named(listed)
        given, _ = without_mark(item["material"])
        at = ("surfaces", index, "material")
        if listed is not None and listed != given:
            says = (
                f"{item['id']} is '{given}', but the table of layers says that "
                f"'{layer}' is '{listed}'"
            )
            do = "put each material on its own layer, or correct one"
            self.problems.add(self.document.place(*at), says, do)
        if given == UNKNOWN.id:
            return UNKNOWN
        return self.likely(item["material"], item.get("title") or title_of(item["id"]), *at)

    def likely(self, given: str, what: str, *at: str | int) -> Material | None:
        """A material that may bear the mark of what nobody has confirmed."""
        name, is_likely = without_mark(given)
        found = self.named(name, *at)
        if is_likely and found is not None:
            place, taken_as = self.document.place(*at), found.title.lower()
            self.assumed.append(Assumption(place=place, what=what, taken_as=taken_as))
        return found

    def add_layers(self, told: Iterable[Assumption], surfaces: Sequence[dict[str, Any]]) -> None:
        """Put what layers are taken for first, with what the surface on each is for."""
        purposes = {
            f"layer {entry['shape']['layer']}": entry["attributes"]["purpose"]
            for entry in surfaces
            if "layer" in entry["shape"] and "purpose" in entry.get("attributes", {})
        }
        self.assumed[:0] = [
            replace(item, taken_as=f"{item.taken_as} (purpose: {purposes[item.what]})")
            if item.what in purposes
            else item
            for item in told
        ]
