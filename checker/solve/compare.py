"""Two or more designs of one lot, or two revisions, side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.units import same
from checker.findings.checked import CHOOSE_LOT
from checker.measure.arrangement import common, joined
from checker.site.model import REST
from checker.solve.costs import costs_of
from checker.solve.measures import is_met

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.algebra.values import Quantity
    from checker.findings.checked import Checked
    from checker.findings.model import Finding
    from checker.site.model import Surface

_TRACE_M2: Final = 1e-6

_MOVED_FRACTION: Final = 1e-6
"""Shapes that differ by a smaller share of their area are the same shape."""


class SurfaceChange(Record, kw_only=True):
    """What became of one surface from the first design to another.

    Attributes:
        id: The surface; its id in the first design where it has one.
        design: The number of the other design, from 1.
        what: added, gone, renamed, reshaped, rebuilt in another material, or another stage.
        apart_m2: The area by which its shapes differ; 0 when they are the same.
        before: It in the first design; None when it is not there.
        after: It in the other one.
    """

    id: str
    design: int
    what: tuple[str, ...]
    apart_m2: float
    before: Surface | None
    after: Surface | None


class RuleRow(Record, kw_only=True):
    """One rule in every design.

    Attributes:
        rule: Its id.
        title: Its name on pages.
        findings: The finding in each design; None where the design does not ask the rule.
        flipped: Whether it is met in one design and not in another.
    """

    rule: str
    title: str
    findings: tuple[Finding | None, ...]
    flipped: bool


class Comparison(Record, kw_only=True):
    """Designs side by side.

    Attributes:
        designs: In the order given; the first is what the others are held against.
        names: What each is called on pages.
        surfaces: Every surface that differs from the first design.
        counts: Each counted measure of the proposed lot: its title and its number by design, a
            range where something is open.
        rules: Every rule.
        cents: What the work of each design costs; None where a material has no price.
    """

    designs: tuple[Checked, ...]
    names: tuple[str, ...]
    surfaces: tuple[SurfaceChange, ...]
    counts: tuple[tuple[str, tuple[Quantity | None, ...]], ...]
    rules: tuple[RuleRow, ...]
    cents: tuple[int | None, ...]

    @property
    def flipped(self) -> tuple[RuleRow, ...]:
        """The rules whose verdict turned."""
        return tuple(row for row in self.rules if row.flipped)

    @property
    def doubts(self) -> tuple[str, ...]:
        """What speaks against holding these designs side by side."""
        first = self.designs[0]
        said = [
            f"{name} has no lot, so nothing can be told of it: {CHOOSE_LOT}"
            for design, name in zip(self.designs, self.names, strict=True)
            if not design.site.lot.is_chosen
        ]
        for design, name in zip(self.designs[1:], self.names[1:], strict=True):
            lots = (design.site.lot, first.site.lot)
            if all(lot.is_chosen for lot in lots) and not same(
                *(lot.boundary.area for lot in lots)
            ):
                said.append(f"{name} is drawn on a lot of another size than {self.names[0]}")
            if design.ruleset.id != first.ruleset.id:
                said.append(f"{name} is judged under another rule set than {self.names[0]}")
        return tuple(said)


def compare_designs(designs: Sequence[Checked], names: Sequence[str] = ()) -> Comparison:
    """Hold designs against the first one.

    Args:
        designs: Two or more, each judged.
        names: What to call them; their titles when not given.

    Raises:
        ValueError: Fewer than two designs, or not a name for each.
        BadInput: A cost table cannot be used.
    """
    if len(designs) < 2 or (names and len(names) != len(designs)):
        raise ValueError("two or more designs are compared, each with a name or all without")
    first = designs[0]
    surfaces = [
        change
        for number, other in enumerate(designs[1:], 1)
        for change in _changes(first, other, number)
    ]
    return Comparison(
        designs=tuple(designs),
        names=tuple(names) or _titles(designs),
        surfaces=tuple(surfaces),
        counts=_counts(designs),
        rules=_rules(designs),
        cents=tuple(work_cents(design) for design in designs),
    )


def _titles(designs: Sequence[Checked]) -> tuple[str, ...]:
    titles = [design.site.title for design in designs]
    if len(set(titles)) == len(titles):
        return tuple(titles)
    return tuple(f"{title} ({number})" for number, title in enumerate(titles, 1))


def _changes(first: Checked, other: Checked, number: int) -> list[SurfaceChange]:
    old = {surface.id: surface for surface in first.site.surfaces}
    new = {surface.id: surface for surface in other.site.surfaces}
    pairs: list[tuple[Surface | None, Surface | None]] = []
    free = {name: surface for name, surface in new.items() if name not in old}
    for name, surface in old.items():
        match = new.get(name)
        if match is None:
            renamed = next((s for s in free.values() if _is_same_shape(surface, s)), None)
            if renamed is not None:
                match = free.pop(renamed.id)
        pairs.append((surface, match))
    pairs += [(None, surface) for surface in free.values()]
    found = [_change(before, after, number) for before, after in pairs]
    return [change for change in found if change is not None]


def _is_same_shape(one: Surface, other: Surface) -> bool:
    apart_m2 = one.shape.symmetric_difference(other.shape).area
    return bool(apart_m2 <= _MOVED_FRACTION * max(one.shape.area, other.shape.area))


def _change(before: Surface | None, after: Surface | None, number: int) -> SurfaceChange | None:
    what: list[str] = []
    apart_m2 = 0.0
    if before is None or after is None:
        what.append("added" if before is None else "gone")
    else:
        if before.id != after.id:
            what.append("renamed")
        if not _is_same_shape(before, after):
            apart_m2 = before.shape.symmetric_difference(after.shape).area
            what.append("reshaped")
        if before.material != after.material:
            what.append("rebuilt in another material")
        if before.stage != after.stage:
            what.append("another stage")
        if before.attributes != after.attributes:
            what.append("other attributes")
    if not what:
        return None
    known = before or after
    assert known is not None
    return SurfaceChange(
        id=known.id,
        design=number,
        what=tuple(what),
        apart_m2=apart_m2,
        before=before,
        after=after,
    )


def _counts(designs: Sequence[Checked]) -> tuple[tuple[str, tuple[Quantity | None, ...]], ...]:
    from checker.algebra.nodes import Named

    names = dict.fromkeys(name for design in designs for name in design.ruleset.counts)
    found: list[tuple[str, tuple[Quantity | None, ...]]] = []
    for name in names:
        tables = [design.ruleset.counts.get(name) for design in designs]
        title = next(table.title for table in tables if table is not None)
        values = tuple(
            design.sheet.number(Named(name))
            if table is not None and design.site.lot.is_chosen
            else None
            for design, table in zip(designs, tables, strict=True)
        )
        found.append((title, values))
    return tuple(found)


def _rules(designs: Sequence[Checked]) -> tuple[RuleRow, ...]:
    by_rule: dict[str, list[Finding | None]] = {}
    titles: dict[str, str] = {}
    for number, design in enumerate(designs):
        for finding in design.verdict.findings:
            row = by_rule.setdefault(finding.rule, [None] * len(designs))
            row[number] = finding
            titles.setdefault(finding.rule, finding.title)
    return tuple(
        RuleRow(
            rule=rule,
            title=titles[rule],
            findings=tuple(found),
            flipped=len({is_met(item) for item in found if item is not None}) > 1,
        )
        for rule, found in by_rule.items()
    )


def work_cents(design: Checked) -> int | None:
    """What the work that a design shows costs, where it is seen; None without a price or a lot.

    Where what is taken out leaves open ground, that is made as well: `rest_of_lot`.
    """
    if not design.site.lot.is_chosen:
        return None
    costs = costs_of(design.site)
    seen_m2 = {line.id: line.visible_m2 for line in design.survey.partition("proposed").ledger}
    there_m2 = {line.id: line.visible_m2 for line in design.survey.partition("existing").ledger}
    cents = 0
    for surface in design.site.surfaces:
        if surface.stage in {"removed", "replaced"}:
            price = costs.removal.get(surface.was.id)
            if price is None:
                return None
            cents += price.of(there_m2.get(surface.id, 0.0))
        if surface.stage in {"proposed", "replaced"}:
            price = costs.building.get(surface.material.id)
            if price is None:
                return None
            cents += price.of(seen_m2.get(surface.id, 0.0))
    if design.site.rest_of_lot is not None:
        price = costs.building.get(design.site.rest_of_lot.id)
        for area_m2 in _laid_open_m2(design):
            if price is None:
                return None
            cents += price.of(area_m2)
    return cents


def _laid_open_m2(design: Checked) -> Iterator[float]:
    """By surface that is taken out, how much of it becomes what the rest of the lot is."""
    gone = [surface.id for surface in design.site.surfaces if surface.stage == "removed"]
    if not gone:
        return
    pieces = design.survey.partition("proposed").pieces
    rest = joined([piece.shape for piece in pieces if piece.layers[0].id == REST])
    there = design.survey.partition("existing").visible
    for name in gone:
        if name in there:
            area_m2 = float(common(there[name], rest).area)
            if area_m2 > _TRACE_M2:
                yield area_m2
