"""Sizes and single steps of the drainage calculation, for a page of calculations."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.showing import show, show_number
from checker.core.units import RATIO, UNIT, Amount
from checker.measure.drainage.sizing import sizes
from checker.measure.drainage.steps import steps
from checker.pages.blocks import Section, Table, Text, numbers, texts_of
from checker.papers.filled import filled
from checker.words.amounts import clean

if TYPE_CHECKING:
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
    system = checked.system

    def made() -> Table:
        rows = tuple(
            (
                clean(step.of),
                step.what,
                step.formula,
                "; ".join(f"{name} = {_shown(value, system)}" for name, value in step.given),
                _shown(step.result, system),
                clean(step.cites),
            )
            for step in steps(checked.survey, checked.system)
        )
        columns = (*texts_of("Of", "What", "Formula", "With"), *numbers("Gives"))
        return Table("The calculation step by step", (*columns, *texts_of("Source")), rows)

    return Section("drainage-steps", "Calculation", filled(checked.system, made))


def _shown(value: Amount, system: System) -> str:
    """An amount in the unit that a step asks for, where a page would use another."""
    if value.unit in _SMALL_UNITS[system]:
        unit, decimals = _SMALL_UNITS[system][value.unit]
        return f"{show_number(value.value_si / UNIT[unit].size_si, decimals)} {unit}"
    if value.dimension == RATIO and not value.unit:
        return show_number(value.value_si, 3)
    return show(value, system)
