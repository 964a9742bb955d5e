"""Unit costs of building and taking out surfaces, and what an area costs to the cent."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import Place, Problem, Problems, did_you_mean
from checker.core.records import Record
from checker.core.units import MONEY_PER_AREA, UNIT, UnreadableAmount, read_amount
from checker.files import library
from checker.files.shape import check_shape
from checker.site.materials import materials
from checker.site.values import read_yes_or_no

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.files.source import Document
    from checker.site.model import Site

EXAMPLE: Final = "invented-costs"
"""The table that is used when a site names none; invented, and said so wherever it is used."""

MOST_PER_M2: Final = 10_000_000.0
"""Dollars; beyond it sums of cents are no longer exact, and no surface costs a hundredth of it."""

_FINEST: Final = {"$/sq ft": ("sq ft", 10), "$/m2": ("m2", 100)}
"""The unit in which an area is counted for a price, and in how many steps each."""

_MICRO: Final = 1_000_000

UP: Final = 1 - 1e-6
"""Added to a number of steps before it is cut off: a part of a step is a step."""


class Price(Record, kw_only=True):
    """What an area costs.

    Attributes:
        cents: Per unit of area, >= 0.
        unit: "$/sq ft" or "$/m2".
    """

    cents: Decimal
    unit: str

    def of(self, area_m2: float) -> int:
        """The cost of an area in whole cents: its area in tenths of a square foot times the price.

        Areas go in steps of 0.1 sq ft or 0.01 m2, halves away from zero, so that anybody who
        multiplies the printed area by the printed price arrives at the printed cost.
        """
        return int(self.of_each([area_m2])[0])

    def of_each(self, areas_m2: Any, shift: Any = 0.5) -> Any:  # noqa: ANN401 - arrays
        """The costs of many areas, in whole cents; see `of`.

        Args:
            areas_m2: The areas.
            shift: What is added to the steps of an area before it is cut off to whole ones: 0.5
                for the nearest, 0 for the one below, `UP` for the one above.
        """
        import numpy as np

        area, parts = _FINEST[self.unit]
        # A half step that arithmetic put a hair below itself is a half step.
        counts = np.round(np.asarray(areas_m2) / UNIT[area].size_si * parts, 6)
        steps = np.floor(counts + shift).astype(np.int64)
        whole = parts * _MICRO
        return (steps * int(self.cents * _MICRO) + whole // 2) // whole

    def __str__(self) -> str:
        return f"${self.cents / 100:,.2f}{self.unit[1:]}"


class Costs(Record, kw_only=True):
    """A cost table.

    Attributes:
        title: Its name on pages.
        is_invented: The prices are made up.
        building: What it costs to build each material.
        removal: What it costs to take each material out.
        document: Its file, for places.
        note: What the reader must know.
    """

    title: str
    is_invented: bool
    building: Mapping[str, Price]
    removal: Mapping[str, Price]
    document: Document
    note: str = ""

    def lacking(self, material: str) -> Problem:
        """The problem of a material that has no price."""
        return Problem(
            self.document.place("costs"),
            f"'{material}' has no costs",
            f"add a line: {{material: {material}, building: ..., removal: ...}}",
        )


def costs_of(site: Site) -> Costs:
    """The cost table that a site names, or the invented one that comes with the program.

    Raises:
        BadInput: There is no such table, or it has problems.
    """
    known = library.listed(library.rules_folder() / "costs")
    if "costs" not in site.parts:
        return read_costs(library.library_document(known[EXAMPLE]))
    name, place = str(site.parts["costs"]), site.document.place("costs")
    path = library.find(name, known, site.file, place, "cost table")
    return read_costs(library.named_document(path, "costs", "cost table", place))


def read_costs(document: Document) -> Costs:
    """Read a cost table.

    Raises:
        BadInput: With every problem found.
    """
    data: dict[str, Any] = check_shape("costs", document.data, document)
    problems = Problems()
    found: dict[str, dict[str, Price]] = {"building": {}, "removal": {}}
    for index, row in enumerate(data["costs"]):
        name, at = row["material"], ("costs", index)
        if name not in materials():
            hint = did_you_mean(name, materials())
            problems.add(document.place(*at, "material"), f"there is no material '{name}'", hint)
        if name in found["building"]:
            stands = document.place(*at, "material")
            problems.add(stands, f"the costs of '{name}' stand twice", "keep one")
        for key, prices in found.items():
            what = f"'{key}' of {name}"
            price = _price(row[key], what, document.place(*at, key), problems)
            if price is not None:
                prices[name] = price
    is_invented = "invented" in data and read_yes_or_no(
        data["invented"], "'invented'", document.place("invented"), problems
    )
    problems.stop_if_any(f"{document.file} cannot be used")
    return Costs(
        title=data["title"],
        is_invented=is_invented,
        building=found["building"],
        removal=found["removal"],
        document=document,
        note=data.get("note", ""),
    )


def _price(given: object, what: str, place: Place, problems: Problems) -> Price | None:
    try:
        amount = read_amount(given, MONEY_PER_AREA)
    except UnreadableAmount as error:
        problems.add(place, f"{what}: {error}")
        return None
    if amount.value_si < 0:
        problems.add(place, f"{what} is '{given}', below zero", "give it without a minus sign")
        return None
    if not amount.to("$/m2") <= MOST_PER_M2:
        says = f"{what} is '{str(given)[:60]}', which no paving costs"
        problems.add(place, says, "check the number and its unit")
        return None
    unit = amount.unit if amount.unit in _FINEST else "$/m2"
    cents = Decimal(repr(round(amount.to(unit) * 100, 6)))
    return Price(cents=cents, unit=unit)
