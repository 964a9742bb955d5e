"""Sizes and single steps of the drainage calculation, for a page of calculations."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.formula import OutOfRange
from checker.core.showing import show, show_number
from checker.core.units import FLOW, RATIO, SPEED, UNIT, Amount
from checker.measure.catalogue import NotMeasured
from checker.measure.drainage.sizing import sizes
from checker.measure.drainage.steps import steps
from checker.pages.blocks import Column, Section, Table, TableRow, Text
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.core.units import System
    from checker.findings.checked import Checked
    from checker.pages.blocks import Block

CONFIRM: Final = (
    "Sizes are those of the table 'drainage-stock', which is made up: put in what your suppliers "
    "stock. A licensed engineer confirms every size."
)
_OWN_UNITS: Final = {"sq in": ("sq in", 2), "ft/s": ("ft/s", 2)}
_METRIC_UNITS: Final = {"sq in": ("m2", 5), "ft/s": ("m/s", 2)}


def _filled(make: Callable[[], list[Block]]) -> tuple[Block, ...]:
    try:
        return tuple(make())
    except (NotMeasured, OutOfRange) as lacks:
        return (Text((f"Cannot tell: {clean(str(lacks))}.",), "note"),)


def sizes_section(checked: Checked) -> tuple[Section, ...]:
    """How big a pipe, drain, dry well or bed must be, and the storm that governs."""

    def blocks() -> list[Block]:
        rows = tuple(
            TableRow(
                (
                    clean(item.id),
                    item.kind.replace("-", " "),
                    item.drawn,
                    "yes" if item.is_enough else "no",
                    item.needed or clean(item.because),
                    item.stocked or "none in stock does" if item.needed else "",
                    clean(item.governing),
                )
            )
            for item in sizes(checked.survey)
        )
        titles = ("Kind", "Drawn", "Is enough", "Needed", "Next stocked size", "Governing storm")
        columns = (Column("Part"), *(Column(title) for title in titles))
        return [Table("Sizes", columns, rows), Text((CONFIRM,), "fine")]

    return (Section("drainage-sizes", "Sizes", _filled(blocks)),)


def steps_section(checked: Checked) -> tuple[Section, ...]:
    """Every step of the calculation of the design storm with its source."""
    system = checked.system

    def blocks() -> list[Block]:
        rows = tuple(
            TableRow(
                (
                    clean(step.of),
                    step.what,
                    step.formula,
                    "; ".join(f"{name} = {_shown(value, system)}" for name, value in step.given),
                    _shown(step.result, system),
                    clean(step.cites),
                )
            )
            for step in steps(checked.survey)
        )
        titles = ("What", "Formula", "With")
        columns = (
            Column("Of"),
            *(Column(title) for title in titles),
            Column("Gives", is_number=True),
            Column("Source"),
        )
        return [Table("The calculation step by step", columns, rows)]

    return (Section("drainage-steps", "Calculation", _filled(blocks)),)


def _shown(value: Amount, system: System) -> str:
    """An amount in the unit that a step asks for, where a page would use another."""
    known = (_OWN_UNITS if system == "us" else _METRIC_UNITS).get(value.unit)
    if known is None and value.dimension == FLOW and system == "us":
        known = ("cu ft/s", 4)
    if known is None and value.dimension == RATIO and not value.unit:
        return show_number(value.value_si, 3)
    if known is None and value.dimension == SPEED:
        return show(value, system)
    if known is not None:
        unit, decimals = known
        return f"{show_number(value.value_si / UNIT[unit].size_si, decimals)} {unit}"
    return show(value, system)
