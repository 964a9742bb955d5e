"""The figures that a packet has beside those of the report: lot, distances, earlier work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.units import AREA, LENGTH, Amount
from checker.words.view import precision_text

if TYPE_CHECKING:
    from checker.findings.checked import Checked
    from checker.site.model import Surface
    from checker.site.project import Project
    from checker.words.figures import Figures


def add_lot(figures: Figures, checked: Checked) -> None:
    """Area, perimeter, recorded area and closure of the lot."""
    lot = checked.site.lot
    figures.add("lot.area", "lot area", Amount(lot.boundary.area, AREA))
    acres = Amount(lot.boundary.area, AREA).to("acre")
    figures.add_text("lot.acres", "lot area in acres", f"{acres:.3f} acre")
    figures.add("lot.perimeter", "perimeter", Amount(lot.edge.length, LENGTH))
    if lot.recorded_area_m2 is not None:
        figures.add("lot.recorded", "recorded lot area", Amount(lot.recorded_area_m2, AREA))
        figures.add(
            "lot.difference",
            "drawn less recorded lot area",
            Amount(lot.boundary.area - lot.recorded_area_m2, AREA),
            signed=True,
        )
    if lot.closure is not None:
        figures.add("lot.closure", "closing error", Amount(lot.closure.error_m, LENGTH))
        precision = precision_text(lot.closure.precision)
        figures.add_text("lot.precision", "precision of the closure", precision)


def add_distance(figures: Figures, surface: Surface, checked: Checked) -> None:
    """Distances of a surface to the lot lines."""
    lot = checked.site.lot
    at = f"distance.{surface.id}"
    nearest_m = surface.shape.distance(lot.edge)
    figures.add(f"{at}.line", f"{surface.title} to the nearest lot line", Amount(nearest_m, LENGTH))
    for side in dict.fromkeys(line.side for line in lot.lines if line.side):
        line = lot.side(side)
        if line is not None:
            amount = Amount(float(surface.shape.distance(line)), LENGTH)
            figures.add(f"{at}.{side}", f"{surface.title} to the {side} lot line", amount)


def add_earlier(figures: Figures, project: Project) -> None:
    """Cover added since the place began to count."""
    for index, item in enumerate(project.earlier):
        figures.add(f"earlier.{index}", item.says, Amount(item.added_m2, AREA))
    if project.earlier:
        total = Amount(sum(item.added_m2 for item in project.earlier), AREA)
        figures.add("earlier.total", "added earlier, in all", total)
