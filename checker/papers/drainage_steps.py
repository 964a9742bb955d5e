"""Sizes and single steps of the drainage calculation, for a page of calculations."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import show, show_number
from checker.core.units import RATIO, UNIT, Amount
from checker.measure.drainage.sizing import sizes
from checker.measure.drainage.steps import CalculationStep, steps
from checker.pages.blocks import Column, Section, Table, Text, numbers, part, texts_of
from checker.papers.filled import filled
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.core.units import System
    from checker.findings.checked import Checked

CONFIRM: Final = (
    "Sizes are those of the table 'drainage-stock', which is made up: put in what your suppliers "
    "stock. A licensed engineer confirms every size."
)
_SMALL_UNITS: Final[dict[System, dict[str, tuple[str, int]]]] = {
    "us": {"sq in": ("sq in", 2), "ft/s": ("ft/s", 2)},
    "metric": {"sq in": ("m2", 5), "ft/s": ("m/s", 2)},
}


def sizes_section(checked: Checked) -> Section:
    """How big a pipe, drain, dry well or bed must be, and the storm that governs."""

    def made() -> Table:
        rows = tuple(
            (
                clean(item.id),
                item.kind.replace("-", " "),
                item.drawn,
                "yes" if item.is_enough else "no",
                item.needed or clean(item.because),
                item.stocked or "none in stock does" if item.needed else "",
                clean(item.governing),
            )
            for item in sizes(checked.survey, checked.system)
        )
        heads = ("Part", "Kind", "Drawn", "Is enough", "Needed", "Next stocked size",
                 "Governing storm")  # fmt: skip
        return Table("Sizes", texts_of(*heads), rows)

    return Section(
        "drainage-sizes", "Sizes", (*filled(checked.system, made), Text((CONFIRM,), "fine"))
    )


def steps_section(checked: Checked) -> Section:
    """Every step of the calculation of the design storm with its source."""

    def made() -> Table:
        found = steps(checked.survey, checked.system)
        return _steps_table("The calculation step by step", found, checked.system)

    return Section("drainage-steps", "Calculation", filled(checked.system, made))


def worked_formulas(checked: Checked) -> Section:
    """One line of each formula with its numbers, which a reader can work again by hand.

    Raises:
        NotMeasured: The file lacks something.
        BadInput: The network cannot work.
    """
    by_formula: dict[str, CalculationStep] = {}
    for step in steps(checked.survey, checked.system):
        if step.result.value_si > by_formula.get(step.formula, _NOTHING).result.value_si:
            by_formula[step.formula] = step
    sources = list(dict.fromkeys(clean(step.cites) for step in by_formula.values()))
    rows = tuple(
        (*_step_cells(step, checked.system), f"[{sources.index(clean(step.cites)) + 1}]")
        for step in by_formula.values()
    )
    columns = (
        Column("Of", width=1.0),
        Column("What", width=2.1),
        Column("Formula", width=1.9),
        Column("With", width=2.2),
        Column("Gives", is_number=True, width=0.9),
        Column("Source", width=0.5),
    )
    said = "; ".join(f"[{index}] {source}" for index, source in enumerate(sources, 1))
    return part(
        "Each formula worked once",
        Table("Where each formula gives most", columns, rows),
        Text((f"Sources: {said}.",), "fine"),
    )


_NOTHING: Final = CalculationStep(
    of="", what="", formula="", given=(), result=Amount(0.0), cites=""
)


def _steps_table(title: str, found: Iterable[CalculationStep], system: System) -> Table:
    columns = (*texts_of("Of", "What", "Formula", "With"), *numbers("Gives"), *texts_of("Source"))
    rows = tuple((*_step_cells(step, system), clean(step.cites)) for step in found)
    return Table(title, columns, rows)


def _step_cells(step: CalculationStep, system: System) -> tuple[str, ...]:
    """All of a step but its source."""
    given = "; ".join(f"{name} = {_shown(value, system)}" for name, value in step.given)
    return clean(step.of), step.what, step.formula, given, _shown(step.result, system)


def _shown(value: Amount, system: System) -> str:
    """An amount in the unit that a step asks for, where a page would use another."""
    if value.unit in _SMALL_UNITS[system]:
        unit, decimals = _SMALL_UNITS[system][value.unit]
        return f"{show_number(value.value_si / UNIT[unit].size_si, decimals)} {unit}"
    if value.dimension == RATIO and not value.unit:
        return show_number(value.value_si, 3)
    return show(value, system)
