"""A drawing file that shapes refer to by layer."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

    from checker.core.problems import Place
    from checker.files.source import Document
    from checker.site.clean import Notes


@dataclass(slots=True)
class Drawing:
    """The layers of a drawing file.

    Attributes:
        materials: The material of each layer that the site file names.
    """

    materials: dict[str, str] = field(default_factory=dict)

    def material_of(self, layer: str) -> str | None:
        """The material that the table of layers gives; None when it gives none."""
        return self.materials.get(layer)

    def shape(self, layer: str, notes: Notes, place: Place, owner: str, *, areas_only: bool) -> Any:  # noqa: ANN401 - any geometry
        """What a layer holds, as one geometry; None after a problem."""
        del layer, areas_only
        notes.problem(place, f"{owner}: layers cannot be read yet", "give points")


def open_drawing(
    data: dict[str, Any], document: Document, path: Path, notes: Notes
) -> Drawing | None:
    """The drawing that a site file names; None after a problem."""
    del data, path
    notes.problem(document.place("drawing"), "drawings cannot be read yet", "give points")
    return None
