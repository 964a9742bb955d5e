"""The coverage worksheet of a counting table as texts: areas, factors and changes, with totals."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from checker.core.records import Record
from checker.core.showing import unit_for
from checker.core.units import AREA, Amount
from checker.findings.coverage import Ends, Moves, sum_of, sum_of_moves
from checker.findings.coverage_lines import coverages
from checker.words.amounts import capital, clean, decimals_that_add_up, fixed_text, range_text
from checker.words.limits import LimitLine, limits_on

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.core.units import System
    from checker.findings.checked import Checked
    from checker.findings.coverage import CountLine, Coverage
    from checker.words.letters import Keys

UNDER_OTHERS: Final = "all of it lies under or beside other surfaces that count"
"""Stands in place of the row of the counting table where nothing of a surface is left."""

_STATES: Final = {"proposed": "After the work", "existing": "Today"}


class CountedRow(NamedTuple):
    """What one surface, or a part of it that another row decides, counts in a state."""

    letter: str
    surface: str
    group: str
    material: str
    measured: str
    taken_out: str
    used: str
    factor: str
    counted: str
    row: str
    clause: str


class CountState(Record):
    """The worksheet of one state of the lot."""

    title: str
    lines: tuple[CountedRow, ...]
    subtotals: tuple[tuple[str, str, str], ...]
    used: str
    counted: str
    not_counted: str
    share: str


class ChangeRow(NamedTuple):
    """How one surface's counted area changes."""

    letter: str
    surface: str
    group: str
    existing: str
    removed: str
    converted_from: str
    converted_to: str
    new: str
    proposed: str
    net: str


class CoverageView(Record):
    """The worksheet of one counting table."""

    name: str
    title: str
    clause: str
    unit: str
    states: tuple[CountState, ...]
    changes: tuple[ChangeRow, ...]
    change_subtotals: tuple[ChangeRow, ...]
    change_total: ChangeRow
    lot_area: str
    limits: tuple[LimitLine, ...]


def coverage_views(checked: Checked, keys: Keys) -> tuple[CoverageView, ...]:
    """A worksheet for each counting table that can be counted on this lot."""
    found = coverages(checked)
    return tuple(_Viewing(checked, keys, item).view() for item in found if not item.missing)


def decimals_of(coverage: Coverage, system: System) -> int:
    """The decimals at which the lines of a worksheet add up, as printed, to its sums."""
    unit, least = unit_for(AREA, system)
    size_m2 = Amount(1.0, AREA).to(unit)
    columns: list[Sequence[float]] = []
    for lines in coverage.states.values():
        columns += zip(*(line.counted for line in lines), strict=True)
        columns.append([line.used_m2 for line in lines])
    for what in zip(*(line.moves for line in coverage.lines), strict=True):
        columns += zip(*what, strict=True)
    sized = ([part * size_m2 for part in parts] for parts in columns)
    return decimals_that_add_up(((parts, sum(parts)) for parts in sized), least)


def surface_name(keys: Keys, of: str, group: str) -> str:
    """The name of a line: its surface, or that it is a part of a group."""
    return keys.name(of) if of else f"{clean(group)} part"


def row_text(line: CountLine) -> str:
    """Which row of the counting table decided."""
    return clean(line.row) if line.weight is not None else UNDER_OTHERS


class _Viewing:
    def __init__(self, checked: Checked, keys: Keys, coverage: Coverage) -> None:
        self.checked = checked
        self.keys = keys
        self.coverage = coverage
        self.unit = unit_for(AREA, checked.system)[0]
        self.size_m2 = Amount(1.0, AREA).to(self.unit)
        self.decimals = decimals_of(coverage, checked.system)

    def view(self) -> CoverageView:
        coverage = self.coverage
        has_change = "existing" in coverage.states
        changes = list(self.changes()) if has_change else []
        groups = dict.fromkeys(group for _, group, _ in changes)
        return CoverageView(
            name=coverage.name,
            title=capital(clean(coverage.table.title)),
            clause=clean(coverage.table.clause),
            unit=self.unit,
            states=tuple(
                self.state(title, coverage.states[state])  # type: ignore[index]
                for state, title in _STATES.items()
                if state in coverage.states
            ),
            changes=tuple(
                self.change(self.keys.letter(of), surface_name(self.keys, of, group), group, moves)
                for of, group, moves in changes
            ),
            change_subtotals=tuple(
                self.change(
                    "", "Subtotal", name, sum_of_moves(m for _, g, m in changes if g == name)
                )
                for name in groups
            ),
            change_total=self.change("", "Total", "", coverage.total if changes else Moves()),
            lot_area=self.area(coverage.lot_m2),
            limits=limits_on(coverage, self.checked),
        )

    # A state

    def state(self, title: str, lines: Sequence[CountLine]) -> CountState:
        groups: dict[str, list[CountLine]] = {}
        for line in lines:
            groups.setdefault(line.group, []).append(line)
        used_m2 = sum(line.used_m2 for line in lines)
        counted = sum_of(line.counted for line in lines)
        low, high = (end / self.coverage.lot_m2 * 100 for end in counted)
        return CountState(
            title=title,
            lines=tuple(self.count_row(line) for line in lines),
            subtotals=tuple(
                (
                    clean(group),
                    self.area(sum(line.used_m2 for line in own)),
                    self.cell(sum_of(line.counted for line in own)),
                )
                for group, own in groups.items()
            ),
            used=self.area(used_m2),
            counted=self.cell(counted),
            not_counted=self.cell(Ends(used_m2, used_m2).plus(counted, -1.0).in_order()),
            share=fixed_text(low, high, 2),
        )

    def count_row(self, line: CountLine) -> CountedRow:
        is_first = line.drawn_m2 is not None
        return CountedRow(
            letter=self.keys.letter(line.of),
            surface=surface_name(self.keys, line.of, line.group),
            material=clean(line.material.title) if line.material else "",
            group=clean(line.group),
            measured="" if line.drawn_m2 is None else self.area(line.drawn_m2),
            taken_out=self.area(line.taken_m2) if is_first else "",
            used=self.area(line.used_m2) if line.of else "",
            factor=range_text(line.weight, self.checked.system) if line.weight and line.of else "",
            counted=self.cell(line.counted),
            row=row_text(line),
            clause=self.short_clause(line.clause),
        )

    # From today to after the work

    def changes(self) -> Iterator[tuple[str, str, Moves]]:
        """The moves of each surface that counts, by group."""
        found: dict[str, tuple[str, list[Moves]]] = {}
        for line in self.coverage.lines:
            if line.counts:
                found.setdefault(line.of, (line.group, []))[1].append(line.moves)
        groups = list(dict.fromkeys(group for group, _ in found.values()))
        for of, (group, moves) in sorted(found.items(), key=lambda x: groups.index(x[1][0])):
            yield of, group, sum_of_moves(moves)

    def change(self, letter: str, name: str, group: str, moves: Moves) -> ChangeRow:
        cells = [*map(self.cell, moves), self.cell(moves.net, signed=True)]
        return ChangeRow(letter, name, clean(group), *cells)

    # Printing

    def area(self, area_m2: float) -> str:
        return self.cell(Ends(area_m2, area_m2))

    def cell(self, ends: Ends, *, signed: bool = False) -> str:
        low, high = ends.low_m2 * self.size_m2, ends.high_m2 * self.size_m2
        text = fixed_text(low, high, self.decimals)
        return f"+{text}" if signed and low > 0 and not text.startswith("0") else text

    def short_clause(self, clause: str) -> str:
        """The section alone where it stands in the document that the table itself cites."""
        text, own = clean(clause), self.own_document()
        if not own or not text.startswith(f"{own[0]}, "):
            return text
        return text.removeprefix(f"{own[0]}, ").removesuffix(f"({own[1]})").strip()

    def own_document(self) -> tuple[str, str] | None:
        """Title and edition of the document that the table cites."""
        for source in self.checked.ruleset.sources.values():
            document = clean(source.document)
            if clean(self.coverage.table.clause).startswith(f"{document}, "):
                return document, clean(source.edition)
        return None
