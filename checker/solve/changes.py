"""What a surface may become, what it is like then, and what that costs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput
from checker.core.records import Record, replace
from checker.solve.costs import UP
from checker.solve.goal import AsBuilt

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.site.model import Material, Site, Surface
    from checker.solve.costs import Costs, Price
    from checker.solve.goal import Goal

STAYS: Final = frozenset(
    {
        "use", "purpose", "treated_by", "drains_to", "onto_panel", "attached", "slope",
        "ground_slope", "water_table_depth", "stores_toxics", "in_easement", "lawful",
    }
)  # fmt: skip
"""Attributes that belong to the place and its use, so that they outlive a change of material."""


class Becomes(Record, kw_only=True):
    """One thing that a surface may become.

    Attributes:
        surface: As it is drawn.
        material: What it is made of then; None when it is taken out or left unbuilt.
        remade: The surface after the change; None when it is not there then.
        is_kept: Nothing changes.
        spent: Unit prices of what is taken out of all its land.
        built: Unit prices of what is built where it is seen then; elsewhere what lies below it
            comes to light.
        spared: Unit prices of what the design has and the change does not need.
    """

    surface: Surface
    material: Material | None
    remade: Surface | None
    is_kept: bool
    spent: tuple[Price, ...] = ()
    built: tuple[Price, ...] = ()
    spared: tuple[Price, ...] = ()

    @property
    def says(self) -> str:
        """What happens, as a phrase after the surface's name."""
        if self.is_kept:
            return "stays"
        if self.material is None:
            return "is left unbuilt" if self.surface.stage == "proposed" else "is taken out"
        return f"becomes {self.material.title[0].lower()}{self.material.title[1:]}"

    @property
    def is_paved(self) -> bool:
        """Whether people can still use it as a deck, walk or drive."""
        return self.material is not None and self.material.nature in {"sealed", "porous"}

    def cents(self, area_m2: float, built_m2: float) -> int:
        """What it costs beyond the design, in whole cents; below zero when it saves.

        Args:
            area_m2: The area that changes.
            built_m2: As much of it as is built anew.
        """
        spent = sum(price.of(area_m2) for price in self.spent)
        built = sum(price.of(built_m2) for price in self.built)
        return spent + built - sum(price.of(area_m2) for price in self.spared)

    def cents_each(self, areas_m2: Any, built_m2: Any, is_share: Any) -> Any:  # noqa: ANN401 - arrays
        """The costs of many areas; see `cents`.

        What is a share of a surface costs what it does rounded up and saves what it does rounded
        down: nobody cuts a surface in two because two areas round to less than their sum.
        """
        import numpy as np

        up, down = np.where(is_share, UP, 0.5), np.where(is_share, 0.0, 0.5)
        spent = sum(price.of_each(areas_m2, up) for price in self.spent)
        spent += sum(price.of_each(built_m2, up) for price in self.built)
        return spent - sum(price.of_each(areas_m2, down) for price in self.spared)


def ways_of(surface: Surface, site: Site, goal: Goal, costs: Costs) -> tuple[Becomes, ...]:
    """Everything that an open surface may become; staying as it is comes first.

    Raises:
        BadInput: A material has no costs.
    """
    others = dict.fromkeys(m for m in surface.may_become if m != surface.material)
    materials: list[Material | None] = list(others)
    if surface.id in goal.removable:
        materials.append(None)
    kept = Becomes(surface=surface, material=surface.material, remade=surface, is_kept=True)
    return kept, *(_way(surface, material, site, goal, costs) for material in materials)


def _way(
    surface: Surface, material: Material | None, site: Site, goal: Goal, costs: Costs
) -> Becomes:
    spent: list[tuple[str, Material]] = []
    built: list[tuple[str, Material]] = []
    spared: list[tuple[str, Material]] = []
    if surface.stage == "existing":
        spent.append(("removal", surface.material))
    else:
        spared.append(("building", surface.material))
    if material is not None and surface.stage == "replaced" and material == surface.was:
        spared.append(("removal", surface.was))
    elif material is not None:
        built.append(("building", material))
    elif surface.stage != "proposed" and site.rest_of_lot is not None:
        built.append(("building", site.rest_of_lot))
    return Becomes(
        surface=surface,
        material=material,
        remade=remade(surface, material, goal) if material is not None else None,
        is_kept=False,
        spent=_prices(spent, costs),
        built=_prices(built, costs),
        spared=_prices(spared, costs),
    )


def _prices(items: Iterable[tuple[str, Material]], costs: Costs) -> tuple[Price, ...]:
    found: list[Price] = []
    for key, material in items:
        prices = costs.building if key == "building" else costs.removal
        if material.id not in prices:
            title = f"{costs.document.file} does not price every change"
            raise BadInput(title, [costs.lacking(material.id)])
        found.append(prices[material.id])
    return tuple(found)


def remade(surface: Surface, material: Material, goal: Goal) -> Surface:
    """The surface in another material: what belongs to the place stays, the rest is as built.

    What becomes open ground is no deck, walk or drive any more, and rules on those do not ask for
    its fall.
    """
    built = goal.as_built.get(material.id, AsBuilt(attributes={}))
    stays = {key: value for key, value in surface.attributes.items() if key in STAYS}
    if material.nature == "open" and "purpose" in stays:
        stays["purpose"] = "other"
    stage = surface.stage
    if stage == "existing":
        stage = "replaced"
    elif stage == "replaced" and material == surface.was:
        stage = "existing"
    return replace(
        surface,
        material=material,
        was=surface.was if stage == "replaced" else material,
        stage=stage,
        attributes=stays | dict(built.attributes),
        other_attributes={},
        section=built.section,
        may_become=(),
    )
