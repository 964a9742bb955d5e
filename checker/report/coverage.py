"""The coverage worksheet of a counting table: each surface's area, factor and change, with totals.

Numbers are kept at both of their ends until they are printed: an attribute that nobody gave makes
a range, and the sums of the low ends and of the high ends each reconcile by themselves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.core.showing import unit_for
from checker.core.units import AREA, Amount
from checker.measure.partition import REST
from checker.report.ends import Ends, ends_of, in_order, sum_of, without_trace
from checker.report.limits import LimitLine, limits_on
from checker.report.wording import capital, clean, decimals_that_add_up, fixed_text, range_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from checker.algebra.counting import Contribution, CountTable
    from checker.findings.checked import Checked
    from checker.report.keys import Keys
    from checker.site.model import State


class CountLine(NamedTuple):
    """What one surface, or a part of it that another row decides, counts in a state."""

    letter: str
    surface: str
    material: str
    group: str
    measured: str
    taken_out: str
    used: str
    factor: str
    counted: str
    row: str
    clause: str


class CountState(NamedTuple):
    """The worksheet of one state of the lot."""

    title: str
    lines: tuple[CountLine, ...]
    subtotals: tuple[tuple[str, str, str], ...]
    used: str
    counted: str
    not_counted: str
    share: str


class ChangeLine(NamedTuple):
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


class Coverage(NamedTuple):
    """The worksheet of one counting table."""

    name: str
    title: str
    clause: str
    unit: str
    states: tuple[CountState, ...]
    changes: tuple[ChangeLine, ...]
    change_subtotals: tuple[ChangeLine, ...]
    change_total: ChangeLine
    lot_area: str
    limits: tuple[LimitLine, ...]


class _Line(NamedTuple):
    of: str
    group: str
    material: str
    measured_m2: float | None
    taken_out_m2: float | None
    used_m2: float
    factor: str
    counted: Ends
    row: str
    clause: str


def coverage_of(checked: Checked, keys: Keys) -> tuple[Coverage, ...]:
    """A worksheet for each counting table that can be counted on this lot."""
    made = (_Worksheet(checked, keys, table) for table in checked.ruleset.counts.values())
    return tuple(sheet.coverage() for sheet in made if sheet.is_whole)


def has_change(checked: Checked) -> bool:
    """Whether anything is removed, proposed or replaced."""
    return any(surface.stage != "existing" for surface in checked.site.surfaces)


class _Worksheet:
    def __init__(self, checked: Checked, keys: Keys, table: CountTable) -> None:
        self.checked = checked
        self.keys = keys
        self.table = table
        self.unit, self.least_decimals = unit_for(AREA, checked.system)
        self.size_m2 = Amount(1.0, AREA).to(self.unit)
        states: list[State] = ["existing", "proposed"] if has_change(checked) else ["proposed"]
        self.counted: dict[State, Counted] = {}
        for state in states:
            found = checked.sheet.counted(n.Named(table.name, "" if state == "proposed" else state))
            if isinstance(found, Counted):
                self.counted[state] = found
        self.is_whole = len(self.counted) == len(states)

    def coverage(self) -> Coverage:
        lines = {state: self.lines(state) for state in self.counted}
        changes = list(self.changes()) if "existing" in self.counted else []
        self.decimals = self.printed_decimals(lines.values(), changes)
        titles = {"existing": "Today", "proposed": "After the work"}
        groups = dict.fromkeys(group for _, group, _ in changes)
        return Coverage(
            name=self.table.name,
            title=capital(clean(self.table.title)),
            clause=clean(self.table.clause),
            unit=self.unit,
            states=tuple(self.state(titles[state], lines[state]) for state in reversed(lines)),
            changes=tuple(
                self.change(of, self.surface_name(of, group), group, [ends])
                for of, group, ends in changes
            ),
            change_subtotals=tuple(
                self.change("", "Subtotal", name, [e for _, g, e in changes if g == name])
                for name in groups
            ),
            change_total=self.change("", "Total", "", [ends for _, _, ends in changes]),
            lot_area=self.cell(Ends(*[self.checked.site.lot.boundary.area] * 2)),
            limits=limits_on(self.table.name, self.counted, self.checked),
        )

    # The lines of a state

    def lines(self, state: State) -> list[_Line]:
        partition = self.checked.survey.partition(state)
        own: dict[str, list[Contribution]] = {}
        for item in self.counted[state].contributions:
            own.setdefault(item.of, []).append(item)
        drawn_m2 = {line.id: line.drawn_m2 for line in partition.ledger}
        if partition.rest_m2:
            drawn_m2[REST] = partition.rest_m2
        found: list[_Line] = []
        for surface_id, measured_m2 in drawn_m2.items():
            found += self.surface_lines(state, surface_id, measured_m2, own.get(surface_id, []))
        for item in own.get("", []):
            ends = ends_of(item.counted)
            clause = self.short_clause(item.clause)
            found.append(
                _Line("", "Exempt", "", None, None, 0.0, "", ends, clean(item.row), clause)
            )
        return _by_group(found)

    def surface_lines(
        self, state: State, surface_id: str, measured_m2: float, own: Sequence[Contribution]
    ) -> Iterator[_Line]:
        surface = self.keys.surface(surface_id)
        material = surface.material_in(state) if surface else self.checked.site.rest_of_lot
        group = clean(material.group) if material else "Not drawn"
        title = clean(material.title) if material else ""
        used_m2 = sum(item.area_m2 for item in own)
        taken_out_m2 = without_trace(measured_m2 - used_m2)
        if not own:
            why = "all of it lies under or beside other surfaces that count"
            yield _Line(
                surface_id, group, title, measured_m2, taken_out_m2, 0.0, "", Ends(), why, ""
            )
        for index, item in enumerate(own):
            is_first = index == 0
            yield _Line(
                surface_id,
                group,
                title,
                measured_m2 if is_first else None,
                taken_out_m2 if is_first else None,
                item.area_m2,
                range_text(item.weight, self.checked.system),
                ends_of(item.counted),
                clean(item.row),
                self.short_clause(item.clause),
            )

    def state(self, title: str, lines: Sequence[_Line]) -> CountState:
        groups: dict[str, list[_Line]] = {}
        for line in lines:
            groups.setdefault(line.group, []).append(line)
        used_m2 = sum(line.used_m2 for line in lines)
        counted = sum_of(line.counted for line in lines)
        used = Ends(used_m2, used_m2)
        return CountState(
            title=title,
            lines=tuple(self.count_line(line) for line in lines),
            subtotals=tuple(
                (
                    group,
                    self.cell(Ends(*[sum(line.used_m2 for line in own)] * 2)),
                    self.cell(sum_of(line.counted for line in own)),
                )
                for group, own in groups.items()
            ),
            used=self.cell(used),
            counted=self.cell(counted),
            not_counted=self.cell(in_order(used.plus(counted, -1.0))),
            share=self.share(counted),
        )

    def count_line(self, line: _Line) -> CountLine:
        def area(value_m2: float | None) -> str:
            return "" if value_m2 is None else self.cell(Ends(value_m2, value_m2))

        return CountLine(
            letter=self.keys.letter(line.of),
            surface=self.surface_name(line.of, line.group),
            material=line.material,
            group=line.group,
            measured=area(line.measured_m2),
            taken_out=area(line.taken_out_m2),
            used=area(line.used_m2) if line.of else "",
            factor=line.factor,
            counted=self.cell(line.counted),
            row=line.row,
            clause=line.clause,
        )

    def surface_name(self, of: str, group: str) -> str:
        return self.keys.name(of) if of else f"{group} part"

    # From today to after the work

    def changes(self) -> Iterator[tuple[str, str, tuple[Ends, ...]]]:
        """Existing, removed, converted from, converted to, new, proposed, for each surface."""
        before = _by_surface(self.counted["existing"].contributions)
        after = _by_surface(self.counted["proposed"].contributions)
        order = [s.id for s in self.checked.site.surfaces] + [REST, ""]
        found: list[tuple[str, str, tuple[Ends, ...]]] = []
        for of in order:
            if of not in before and of not in after:
                continue
            surface = self.keys.surface(of)
            material = surface.material if surface else self.checked.site.rest_of_lot
            group = clean(material.group) if material else "Not drawn"
            existing, proposed = before.get(of, Ends()), after.get(of, Ends())
            nothing = Ends()
            if surface is not None and surface.stage == "replaced":
                parts = (existing, nothing, existing, proposed, nothing, proposed)
            elif not of:
                group = "Exempt"
                parts = (existing, nothing, nothing, nothing, proposed.plus(existing, -1), proposed)
            else:
                removed = existing.plus(proposed, -1).above_zero()
                new = proposed.plus(existing, -1).above_zero()
                parts = (existing, removed, nothing, nothing, new, proposed)
            found.append((of, group, parts))
        groups = list(dict.fromkeys(group for _, group, _ in found))
        yield from sorted(found, key=lambda item: groups.index(item[1]))

    def change(
        self, of: str, name: str, group: str, all_parts: Sequence[tuple[Ends, ...]]
    ) -> ChangeLine:
        sums = [sum_of(parts[index] for parts in all_parts) for index in range(6)]
        net = in_order(sums[5].plus(sums[0], -1))
        cells = [self.cell(ends) for ends in sums] + [self.cell(net, signed=True)]
        return ChangeLine(*[self.keys.letter(of), name, group, *cells])

    # Printing

    def cell(self, ends: Ends, *, signed: bool = False) -> str:
        low, high = ends.low_m2 * self.size_m2, ends.high_m2 * self.size_m2
        text = fixed_text(low, high, self.decimals)
        return f"+{text}" if signed and low > 0 and not text.startswith("0") else text

    def share(self, counted: Ends) -> str:
        lot_m2 = self.checked.site.lot.boundary.area
        low, high = (end / lot_m2 * 100 for end in counted)
        return fixed_text(low, high, 2)

    def printed_decimals(
        self,
        states: Iterable[Sequence[_Line]],
        changes: Sequence[tuple[str, str, tuple[Ends, ...]]],
    ) -> int:
        sums: list[tuple[list[float], float]] = []
        for lines in states:
            sums.append(self.column([line.counted.low_m2 for line in lines]))
            sums.append(self.column([line.counted.high_m2 for line in lines]))
            sums.append(self.column([line.used_m2 for line in lines]))
        sums += (
            self.column([parts[index].low_m2 for _, _, parts in changes]) for index in range(6)
        )
        return decimals_that_add_up(sums, self.least_decimals)

    def column(self, parts_m2: Sequence[float]) -> tuple[list[float], float]:
        parts = [part * self.size_m2 for part in parts_m2]
        return parts, sum(parts)

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
            if clean(self.table.clause).startswith(f"{document}, "):
                return document, clean(source.edition)
        return None


def _by_surface(contributions: Sequence[Contribution]) -> dict[str, Ends]:
    found: dict[str, Ends] = {}
    for item in contributions:
        found[item.of] = found.get(item.of, Ends()).plus(ends_of(item.counted))
    return found


def _by_group(lines: list[_Line]) -> list[_Line]:
    groups = list(dict.fromkeys(line.group for line in lines))
    return sorted(lines, key=lambda line: groups.index(line.group))
