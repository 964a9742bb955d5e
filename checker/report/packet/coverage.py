"""The coverage ledger: what each surface counts today and after the work, and what becomes of it.

For every line: proposed = existing - removed - converted from + converted to + new. Where a fact
is missing the unfavourable end stands in the sums, and the line says what would settle it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import zip_longest
from typing import TYPE_CHECKING, Any, Final

from checker.algebra import nodes as n
from checker.algebra.counting import Counted
from checker.algebra.walk import nodes
from checker.core.formula import Range, formula
from checker.core.units import same
from checker.measure.partition import REST

if TYPE_CHECKING:
    from checker.algebra.counting import Contribution
    from checker.findings.checked import Checked
    from checker.findings.model import Finding
    from checker.measure.partition import LedgerLine
    from checker.report.keys import Keys
    from checker.site.model import State, Surface

MOVES: Final = ("existing", "removed", "converted_from", "converted_to", "new", "proposed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the ledger, areas in m2; factors are the share that counts.

    Attributes:
        key: The letter on the plan; empty for the rest of the lot and for exemptions.
        id: The surface; empty for an exemption.
        title: Its name.
        material: What it is made of, today and afterwards where that differs.
        group: The heading it is listed under.
        stage: existing, removed, proposed or replaced.
        drawn_m2: As drawn.
        taken_m2: Overlaps given away and parts outside the lot.
        used_m2: What is left; drawn = taken + used.
        was_factor: What counts of it today.
        factor: What counts of it after the work.
        existing_m2: Counted today.
        removed_m2: Goes.
        converted_from_m2: Counted of what is rebuilt, before.
        converted_to_m2: Counted of what is rebuilt, after.
        new_m2: Comes.
        proposed_m2: Counted after the work.
        row: The row of the counting table that decided.
        clause: Where that stands.
        asks: What is not verified: what must be given to settle the factor.
        measured_by: How it was measured.
    """

    key: str
    id: str
    title: str
    material: str
    group: str
    stage: str
    row: str
    clause: str
    drawn_m2: float = 0.0
    taken_m2: float = 0.0
    used_m2: float = 0.0
    was_factor: float | None = None
    factor: float | None = None
    existing_m2: float = 0.0
    removed_m2: float = 0.0
    converted_from_m2: float = 0.0
    converted_to_m2: float = 0.0
    new_m2: float = 0.0
    proposed_m2: float = 0.0
    asks: tuple[str, ...] = ()
    measured_by: str = ""

    @property
    def is_free(self) -> bool:
        """It is listed, but counts nothing before or after: exempt or excluded."""
        return same(self.existing_m2, 0.0) and same(self.proposed_m2, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """All lines of one counted measure, areas in m2.

    Attributes:
        name: The measure.
        title: What it is.
        lines: In the order of the site file; the rest of the lot and exemptions last.
        least_proposed_m2: What it may be at best, when all that is open turns out well.
        is_open: Something is not settled, or the measure could not be counted.
        missing: Why it could not be counted; empty when it was.
    """

    name: str
    title: str
    lines: tuple[Line, ...]
    least_proposed_m2: float = 0.0
    is_open: bool = False
    missing: str = ""

    def total_m2(self, what: str) -> float:
        """The sum of a column, named as in `MOVES`."""
        total: float = sum(getattr(line, f"{what}_m2") for line in self.lines)
        return total

    def groups(self) -> dict[str, tuple[Line, ...]]:
        """Lines by group, groups in the order of their first line."""
        found: dict[str, list[Line]] = {}
        for line in self.lines:
            found.setdefault(line.group, []).append(line)
        return {group: tuple(lines) for group, lines in found.items()}


def ledgers(checked: Checked, keys: Keys) -> tuple[Ledger, ...]:
    """The ledger of every counting table of the rule set, those that rules compare first."""
    used = [name for finding in checked.verdict.findings for name in counted_in(finding, checked)]
    names = dict.fromkeys([*used, *checked.ruleset.counts])
    return tuple(_ledger(checked, keys, name) for name in names)


def counted_in(finding: Finding, checked: Checked) -> tuple[str, ...]:
    """The counting tables that a finding's own comparison measures with."""
    found = [
        node.name
        for part in finding.parts
        for node in nodes(part.node.measured)
        if isinstance(node, n.Named) and node.name in checked.ruleset.counts
    ]
    return tuple(dict.fromkeys(found))


def wants_less(checked: Checked, name: str) -> bool:
    """Whether rules want the measure small; so the larger number is the unfavourable one."""
    for finding in checked.verdict.findings:
        for part in finding.parts:
            if isinstance(part.node.measured, n.Named) and part.node.measured.name == name:
                return part.wants_less
    return True


def _ledger(checked: Checked, keys: Keys, name: str) -> Ledger:
    title = checked.ruleset.counts[name].title
    counted = {
        state: checked.sheet.counted(n.Named(name, state=state))
        for state in ("existing", "proposed")
    }
    before, after = counted["existing"], counted["proposed"]
    if not isinstance(before, Counted) or not isinstance(after, Counted):
        lacking = before if not isinstance(before, Counted) else after
        assert not isinstance(lacking, Counted)
        return Ledger(name=name, title=title, lines=(), is_open=True, missing=lacking.ask)
    high = wants_less(checked, name)
    lines: list[Line] = []
    for surface in checked.site.surfaces:
        pairs = _paired(
            [item for item in before.contributions if item.of == surface.id],
            [item for item in after.contributions if item.of == surface.id],
        )
        for index, (was, will) in enumerate(pairs):
            lines.append(
                _surface_line(
                    checked, name, surface, keys.letter(surface.id), (was, will), is_first=not index
                )
            )
        if not pairs:
            lines.append(_hidden_line(checked, surface, keys.letter(surface.id)))
    for was, will in _paired(
        [item for item in before.contributions if item.of in {"", REST}],
        [item for item in after.contributions if item.of in {"", REST}],
    ):
        lines.append(_other_line(checked, keys, was, will, high=high))
    least = after.total.low_si if high else after.total.high_si
    return Ledger(
        name=name,
        title=title,
        lines=tuple(lines),
        least_proposed_m2=least,
        is_open=not after.total.is_certain,
    )


_Pair = tuple["Contribution | None", "Contribution | None"]


def _paired(before: list[Contribution], after: list[Contribution]) -> list[_Pair]:
    """What one surface counts before and after, the same row of the table side by side."""
    pairs: list[_Pair] = []
    left = list(after)
    alone: list[Contribution] = []
    for was in before:
        match = next((will for will in left if (will.of, will.row) == (was.of, was.row)), None)
        if match is None:
            alone.append(was)
        else:
            left.remove(match)
            pairs.append((was, match))
    return [*pairs, *zip_longest(alone, left)]


def _end_m2(item: Contribution | None, *, high: bool) -> float:
    if item is None:
        return 0.0
    return item.counted.high_si if high else item.counted.low_si


def _factor(item: Contribution | None, *, high: bool) -> float | None:
    if item is None:
        return None
    return item.weight.high_si if high else item.weight.low_si


def _moves(stage: str, was_m2: float, will_m2: float) -> dict[str, Any]:
    if same(was_m2, will_m2):
        will_m2 = was_m2  # two ways of summing one area, not a change of it
    found = {"existing_m2": was_m2, "proposed_m2": will_m2}
    if stage == "replaced":
        return found | {"converted_from_m2": was_m2, "converted_to_m2": will_m2}
    if stage == "existing":
        # An existing surface loses what new work covers, and gains what a removal uncovers.
        change = will_m2 - was_m2
        return found | ({"new_m2": change} if change > 0 else {"removed_m2": abs(change)})
    return found | {"removed_m2": was_m2, "new_m2": will_m2}


def _ledger_line(checked: Checked, surface_id: str, state: State) -> LedgerLine | None:
    lines = checked.survey.partition(state).ledger
    return next((line for line in lines if line.id == surface_id), None)


def _material(surface: Surface) -> str:
    if surface.stage == "replaced" and surface.was.id != surface.material.id:
        return f"{surface.material.title}, today {surface.was.title.lower()}"
    return surface.material.title


def _surface_line(
    checked: Checked, name: str, surface: Surface, key: str, pair: _Pair, *, is_first: bool
) -> Line:
    was, will = pair
    high = wants_less(checked, name)
    shown = will or was
    assert shown is not None
    state: State = "existing" if surface.stage == "removed" else "proposed"
    drawn = _ledger_line(checked, surface.id, state) if is_first else None
    counts = checked.sheet.counted(n.Named(name, state=state))
    used_m2 = shown.area_m2
    if drawn is not None and isinstance(counts, Counted):
        all_m2 = sum(item.area_m2 for item in counts.contributions if item.of == surface.id)
        taken_m2 = max(drawn.drawn_m2 - all_m2, 0.0)
    else:
        taken_m2 = 0.0
    asks = dict.fromkeys(m.ask for item in pair if item for m in item.counted.missing)
    return Line(
        key=key,
        id=surface.id,
        title=surface.title,
        material=_material(surface),
        group=surface.material.group,
        stage=surface.stage,
        row=shown.row,
        clause=shown.clause,
        drawn_m2=used_m2 + taken_m2,
        taken_m2=0.0 if same(used_m2 + taken_m2, used_m2) else taken_m2,
        used_m2=used_m2,
        was_factor=_factor(was, high=high),
        factor=_factor(will, high=high),
        asks=tuple(asks),
        measured_by=surface.measured_by,
        **_moves(surface.stage, _end_m2(was, high=high), _end_m2(will, high=high)),
    )


def _hidden_line(checked: Checked, surface: Surface, key: str) -> Line:
    """A surface that lies wholly under others, or outside the lot: listed, counting nothing."""
    state: State = "existing" if surface.stage == "removed" else "proposed"
    drawn = _ledger_line(checked, surface.id, state)
    drawn_m2 = drawn.drawn_m2 if drawn else surface.shape.area
    return Line(
        key=key,
        id=surface.id,
        title=surface.title,
        material=_material(surface),
        group=surface.material.group,
        stage=surface.stage,
        row="lies wholly under other surfaces, which are counted instead",
        clause="",
        drawn_m2=drawn_m2,
        taken_m2=drawn_m2,
        measured_by=surface.measured_by,
    )


def _other_line(
    checked: Checked,
    keys: Keys,
    was: Contribution | None,
    will: Contribution | None,
    *,
    high: bool,
) -> Line:
    shown = will or was
    assert shown is not None
    is_rest = shown.of == REST
    rest = checked.site.rest_of_lot
    asks = dict.fromkeys(m.ask for item in (was, will) if item for m in item.counted.missing)
    return Line(
        key="",
        id=REST if is_rest else "",
        title=keys.name(REST) if is_rest else "Exemption of the whole row",
        material=(rest.title if rest else "not said") if is_rest else "",
        group=(rest.group if rest else "Not said") if is_rest else "Exemptions",
        stage="existing",
        row=shown.row,
        clause=shown.clause,
        drawn_m2=shown.area_m2,
        used_m2=shown.area_m2,
        was_factor=_factor(was, high=high) if is_rest else None,
        factor=_factor(will, high=high) if is_rest else None,
        asks=tuple(asks),
        **_moves("existing", _end_m2(was, high=high), _end_m2(will, high=high)),
    )


@formula(
    source="conversion-by-hand",
    section="area to convert",
    valid={"over_m2": Range(0.0), "factor_fraction": Range(0.0, 1.0, high_open=True)},
)
def area_to_convert_m2(over_m2: float, factor_fraction: float) -> float:
    """Fully counted area to rebuild as a surface of a smaller factor, so that the excess goes.

    Each square metre rebuilt takes 1 - factor off the count::

        area = over / (1 - factor)

    A factor of 1 gives nothing, whatever the area: it is outside the range.

    Args:
        over_m2: How much the limit is exceeded.
        factor_fraction: Share of the new surface that counts.

    Example:
        160 sq ft too much, rebuilt as a surface that counts a quarter: 160 / 0.75.

        >>> round(area_to_convert_m2(160.0, 0.25), 2)
        213.33
    """
    return over_m2 / (1 - factor_fraction)
