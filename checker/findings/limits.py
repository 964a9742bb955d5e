"""The limits on what a table counts as areas: maximum, existing, proposed, increase, remaining.

A limit may be on the whole total, on the part of it in a region, or on an amount that the rules
make from it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.algebra import evaluate
from checker.algebra import nodes as n
from checker.algebra.ranges import difference
from checker.algebra.values import Quantity
from checker.algebra.walk import changed, nodes
from checker.core.records import Record
from checker.core.units import AREA, RATIO, Amount

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.values import Judged
    from checker.findings.checked import Checked
    from checker.findings.coverage import Coverage
    from checker.findings.model import Finding


class Limit(Record):
    """A limit that a rule sets on what a counting table counts.

    Attributes:
        finding: The rule, judged.
        part: The comparison.
        most: What is allowed, as an area also where the rule says a share.
        existing: What counts today.
        proposed: What counts after the work.
        increase: What comes on balance.
        remaining_m2: Room left at the unfavourable ends; negative when it is exceeded, None where
            an end is not known.
        whole_m2: The land that shares are taken of: the lot, or the region.
        is_of_total: The limit is on the whole total of the table.
    """

    finding: Finding
    part: Judged
    most: Quantity
    existing: Quantity
    proposed: Quantity
    increase: Quantity
    remaining_m2: float | None
    whole_m2: float
    is_of_total: bool

    @property
    def of_worst(self) -> tuple[Amount, Amount, Amount] | None:
        """Proposed, allowed and left at the unfavourable ends; None where one is not known."""
        worst, least, left_m2 = (
            self.proposed.end(high=True),
            self.most.end(high=False),
            self.remaining_m2,
        )
        if worst is None or least is None or left_m2 is None:
            return None
        return worst, least, Amount(left_m2, AREA)


def limits_of(coverage: Coverage, checked: Checked) -> tuple[Limit, ...]:
    """The limit of each finding that sets one on what a worksheet counts."""
    return tuple(_limits(coverage, checked)) if coverage.counted else ()


def _limits(coverage: Coverage, checked: Checked) -> Iterator[Limit]:
    for finding in checked.verdict.findings:
        # The comparison that decided where it is one of these, else the first that is.
        parts = sorted(finding.parts, key=lambda part: part != finding.decides)
        found = (_limit(coverage, finding, part, checked) for part in parts)
        yield from [limit for limit in found if limit is not None][:1]


def _limit(coverage: Coverage, finding: Finding, part: Judged, checked: Checked) -> Limit | None:
    """The limit as an area; None when the comparison is about other things."""
    if part.of or not part.wants_less:
        return None
    measured = part.node.measured
    top = measured.top if isinstance(measured, n.Ratio) else measured
    made_of = _opened(top, checked)
    counts = [
        node for node in nodes(made_of) if isinstance(node, n.Named) and node.name == coverage.name
    ]
    if not counts or any(node.state == "existing" for node in counts):
        return None
    after = evaluate.number(top, checked.sheet)
    most = _most(measured, part, checked)
    if after.dimension != AREA or most is None:
        return None
    has_today = "existing" in coverage.counted
    before = evaluate.number(_today(made_of, checked), checked.sheet) if has_today else after
    worst, least = after.end(high=True), most.end(high=False)
    left_m2 = None if worst is None or least is None else least.value_si - worst.value_si
    regions = {node.region for node in counts}
    land = n.Named("lot_area", "", regions.pop() if len(regions) == 1 else "")
    whole = checked.sheet.number(land)
    has_land = whole.is_certain and whole.is_bounded and whole.low_si > 0
    return Limit(
        finding=finding,
        part=part,
        most=most,
        existing=before,
        proposed=after,
        increase=_increase(before, after),
        remaining_m2=0.0 if left_m2 is not None and part.margin_si == 0 else left_m2,
        whole_m2=whole.low_si if has_land else coverage.lot_m2,
        is_of_total=top in (n.Named(coverage.name), n.Named(coverage.name, "proposed")),
    )


def _increase(before: Quantity, after: Quantity) -> Quantity:
    """What comes on balance, end by end: what is open is open in both states alike."""
    ends = [
        difference(Quantity(b, b, AREA), Quantity(a, a, AREA), stops_at_zero=False).low_si
        for b, a in ((after.low_si, before.low_si), (after.high_si, before.high_si))
    ]
    return Quantity(min(ends), max(ends), AREA, after.missing)


def _most(measured: n.Number, part: Judged, checked: Checked) -> Quantity | None:
    """What is allowed of the upper number, where a quotient is limited of that."""
    if not isinstance(measured, n.Ratio):
        return part.limit if part.limit.dimension == AREA else None
    bottom = evaluate.number(measured.bottom, checked.sheet)
    if part.limit.dimension != RATIO or bottom.dimension != AREA or not bottom.is_certain:
        return None
    low, high = (end * bottom.low_si for end in (part.limit.low_si, part.limit.high_si))
    return Quantity(low, high, AREA, part.limit.missing)


def _opened(node: n.Number, checked: Checked) -> n.Number:
    """A number with the amounts that the rules define written out."""
    amounts = checked.ruleset.amounts

    def change(part: object) -> n.Number | None:
        if isinstance(part, n.Named) and part.name in amounts:
            return _opened(amounts[part.name], checked)
        return None

    opened: n.Number = changed(node, change)
    return opened


def _today(node: n.Number, checked: Checked) -> n.Number:
    """The same number of the lot as it stands."""

    def change(part: object) -> n.Number | None:
        if not isinstance(part, n.Named) or part.state:
            return None
        word = checked.ruleset.words.lot.get(part.name)
        has_states = word is not None and word.has_states
        return n.Named(part.name, "existing", part.region) if has_states else part

    found: n.Number = changed(node, change)
    return found
