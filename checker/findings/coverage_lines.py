"""Works the coverage worksheets of a check out: pairs what counts today with what will count."""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.algebra.walk import nodes
from checker.core.units import same
from checker.findings.coverage import (
    EXEMPT,
    NOT_DRAWN,
    CountLine,
    Coverage,
    Ends,
    MoveLine,
    Moves,
)
from checker.site.model import REST

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from checker.algebra.counting import Contribution
    from checker.algebra.tables import CountTable
    from checker.findings.checked import Checked
    from checker.findings.model import Finding
    from checker.site.model import Material, State, Surface

_TRACE_M2: Final = 1e-6
"""What only rounding left of an area."""


def coverages(checked: Checked) -> tuple[Coverage, ...]:
    """The worksheet of every counting table of the rule set."""
    return tuple(_coverage(checked, table) for table in checked.ruleset.counts.values())


def has_change(checked: Checked) -> bool:
    """Whether anything is removed, proposed or replaced."""
    return any(surface.stage != "existing" for surface in checked.site.surfaces)


def counted_in(finding: Finding, checked: Checked) -> tuple[str, ...]:
    """The counting tables that a finding's own comparison measures with."""
    found = [
        node.name
        for part in finding.parts
        for node in nodes(part.node.measured)
        if isinstance(node, n.Named) and node.name in checked.ruleset.counts
    ]
    return tuple(dict.fromkeys(found))


def is_of_whole_lot(finding: Finding, checked: Checked) -> bool:
    """Whether a finding compares one counted measure of the whole lot, not of a part of it."""
    names = counted_in(finding, checked)
    return len(names) == 1 and all(
        part.node.measured == n.Named(names[0]) for part in finding.parts
    )


def _wants_less(checked: Checked, name: str) -> bool:
    for finding in checked.verdict.findings:
        for part in finding.parts:
            if isinstance(part.node.measured, n.Named) and part.node.measured.name == name:
                return part.wants_less
    return True


def _coverage(checked: Checked, table: CountTable) -> Coverage:
    counted: dict[State, Counted] = {}
    states: tuple[State, ...] = ("existing", "proposed") if has_change(checked) else ("proposed",)
    missing = ""
    for state in states:
        found = checked.sheet.counted(n.Named(table.name, "" if state == "proposed" else state))
        if isinstance(found, Counted):
            counted[state] = found
        else:
            missing = found.ask
    lines = {}
    if not missing:
        lines = {state: tuple(_lines(checked, state, counted[state])) for state in states}
    return Coverage(
        table=table,
        lot_m2=checked.site.lot.boundary.area,
        wants_less=_wants_less(checked, table.name),
        counted={} if missing else counted,
        states={state: _by_group(own) for state, own in lines.items()},
        lines=tuple(_move_lines(checked, lines)) if lines else (),
        missing=missing,
    )


def _lines(checked: Checked, state: State, counted: Counted) -> Iterator[CountLine]:
    """The lines of a state, surfaces in the order of their levels."""
    partition = checked.survey.partition(state)
    own: dict[str, list[Contribution]] = {}
    for item in counted.contributions:
        own.setdefault(item.of, []).append(item)
    drawn_m2 = {line.id: line.drawn_m2 for line in partition.ledger}
    if partition.rest_m2:
        drawn_m2[REST] = partition.rest_m2
    surfaces = {surface.id: surface for surface in checked.site.surfaces}
    for of, measured_m2 in drawn_m2.items():
        surface = surfaces.get(of)
        material = surface.material_in(state) if surface else checked.site.rest_of_lot
        group = material.group if material else NOT_DRAWN
        items = own.get(of, [])
        taken_m2 = measured_m2 - sum(item.area_m2 for item in items)
        taken_m2 = taken_m2 if abs(taken_m2) > _TRACE_M2 else 0.0
        if not items:
            yield CountLine(of, group, material, measured_m2, taken_m2, 0.0, None, Ends(), "", "")
        for index, item in enumerate(items):
            areas = (None, 0.0) if index else (measured_m2, taken_m2)
            yield _line(item, group, material, *areas)
    for item in own.get("", []):
        yield _line(item, EXEMPT, None, None, 0.0)


def _line(
    item: Contribution,
    group: str,
    material: Material | None,
    drawn_m2: float | None,
    taken_m2: float,
) -> CountLine:
    return CountLine(
        of=item.of,
        group=group,
        material=material,
        drawn_m2=drawn_m2,
        taken_m2=taken_m2,
        used_m2=item.area_m2 if item.of else 0.0,
        weight=item.weight,
        counted=Ends(item.counted.low_si, item.counted.high_si),
        row=item.row,
        clause=item.clause,
        asks=tuple(missing.ask for missing in item.counted.missing),
    )


def _by_group(lines: Sequence[CountLine]) -> tuple[CountLine, ...]:
    groups = list(dict.fromkeys(line.group for line in lines))
    return tuple(sorted(lines, key=lambda line: groups.index(line.group)))


def _move_lines(checked: Checked, lines: Mapping[State, Sequence[CountLine]]) -> Iterator[MoveLine]:
    after = lines["proposed"]
    before = lines.get("existing", after)
    surfaces: dict[str, Surface | None] = {s.id: s for s in checked.site.surfaces}
    for of, surface in (surfaces | {REST: None, "": None}).items():
        material = surface.material if surface else checked.site.rest_of_lot
        group = (material.group if material else NOT_DRAWN) if of else EXEMPT
        stage = surface.stage if surface else "existing"
        for was, will in _paired(*([x for x in own if x.of == of] for own in (before, after))):
            existing, proposed = (line.counted if line else Ends() for line in (was, will))
            moves = _moves(of, stage, existing, proposed)
            yield MoveLine(of, group, stage, was, will, moves)


_Pair = tuple[CountLine | None, CountLine | None]


def _paired(before: Sequence[CountLine], after: Sequence[CountLine]) -> list[_Pair]:
    """What one surface counts before and after, the same row of the table side by side."""
    pairs: list[_Pair] = []
    left, alone = list(after), []
    for was in before:
        match = next((will for will in left if will.row == was.row), None)
        if match is None:
            alone.append(was)
        else:
            left.remove(match)
            pairs.append((was, match))
    return [*pairs, *zip_longest(alone, left)]


def _moves(of: str, stage: str, existing: Ends, proposed: Ends) -> Moves:
    if all(map(same, existing, proposed)):
        proposed = existing  # two ways of summing one area, not a change of it
    if stage == "replaced":
        return Moves(existing, Ends(), existing, proposed, Ends(), proposed)
    change = proposed.plus(existing, -1.0)
    if not of:
        return Moves(existing, new=change, proposed=proposed)
    # An existing surface loses what new work covers, and gains what a removal uncovers.
    removed = Ends(-change.low_m2, -change.high_m2).above_zero()
    return Moves(existing, removed, new=change.above_zero(), proposed=proposed)
