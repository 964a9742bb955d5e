"""The ledger of areas: what became of every drawn square, and that the sum is the lot."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from checker.core.records import Record
from checker.core.showing import unit_for
from checker.core.units import AREA, Amount
from checker.findings.coverage_lines import has_change
from checker.site.model import REST
from checker.words.amounts import clean, decimals_that_add_up, fixed_text, sum_that_adds_up

if TYPE_CHECKING:
    from checker.findings.checked import Checked
    from checker.measure.partition import LedgerLine, Partition
    from checker.site.model import State
    from checker.words.letters import Keys


class Booked(NamedTuple):
    """One surface: drawn = outside + displaced + visible."""

    letter: str
    surface: str
    material: str
    drawn: str
    outside: str
    displaced: str
    displaced_by: str
    visible: str


class Ledger(Record):
    """A state of the lot: the ground adds up to the lot, decks and roofs lie over it."""

    title: str
    unit: str
    ground: tuple[Booked, ...]
    above: tuple[Booked, ...]
    visible: str
    rest: str
    rest_name: str
    total: str
    lot_area: str
    reconciles: bool


def ledgers_of(checked: Checked, keys: Keys) -> tuple[Ledger, ...]:
    """The ledger of the lot after the work and, where it differs, of the lot today."""
    states: list[tuple[State, str]] = [("proposed", "After the work")]
    if has_change(checked):
        states.append(("existing", "Today"))
    return tuple(_ledger(checked, keys, state, title) for state, title in states)


def _ledger(checked: Checked, keys: Keys, state: State, title: str) -> Ledger:
    partition: Partition = checked.survey.partition(state)
    unit, least = unit_for(AREA, checked.system)
    size_m2 = Amount(1.0, AREA).to(unit)
    ground = [line for line in partition.ledger if line.level == "ground"]
    visible_m2 = sum(line.visible_m2 for line in ground)
    total_m2 = visible_m2 + partition.rest_m2
    parts_m2 = [line.visible_m2 for line in ground]
    sums_m2 = [
        (parts_m2, visible_m2),
        ([visible_m2, partition.rest_m2], total_m2),
        *(
            ([line.outside_m2, line.displaced_m2, line.visible_m2], line.drawn_m2)
            for line in partition.ledger
        ),
    ]
    sums = [
        sum_that_adds_up([part * size_m2 for part in parts], total * size_m2)
        for parts, total in sums_m2
    ]
    decimals = decimals_that_add_up([sums], least)

    def area(value_m2: float) -> str:
        return fixed_text(value_m2 * size_m2, value_m2 * size_m2, decimals)

    def booked(line: LedgerLine) -> Booked:
        takers = (f"{keys.named(by)} {area(m2)}" for by, m2 in line.displaced_by.items())
        return Booked(
            letter=keys.letter(line.id),
            surface=keys.name(line.id),
            material=clean(line.material),
            drawn=area(line.drawn_m2),
            outside=area(line.outside_m2),
            displaced=area(line.displaced_m2),
            displaced_by="; ".join(takers),
            visible=area(line.visible_m2),
        )

    return Ledger(
        title=title,
        unit=unit,
        ground=tuple(booked(line) for line in ground),
        above=tuple(booked(line) for line in partition.ledger if line.level != "ground"),
        visible=area(visible_m2),
        rest=area(partition.rest_m2),
        rest_name=keys.name(REST),
        total=area(total_m2),
        lot_area=area(partition.lot_area_m2),
        reconciles=area(total_m2) == area(partition.lot_area_m2),
    )
