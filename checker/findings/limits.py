"""The limits on a counted total as areas: maximum, existing, proposed, increase, remaining."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.algebra import nodes as n
from checker.algebra.values import Quantity
from checker.core.records import Record
from checker.core.units import AREA, RATIO

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.algebra.values import Judged
    from checker.findings.checked import Checked
    from checker.findings.coverage import Coverage
    from checker.findings.model import Finding


class Limit(Record):
    """A limit that a rule sets on the whole total of a counting table.

    Attributes:
        finding: The rule, judged.
        part: The comparison.
        most: What is allowed, as an area also where the rule says a share.
        existing: What counts today.
        proposed: What counts after the work.
        increase: What comes on balance.
        remaining_m2: Room left at the unfavourable ends; negative when it is exceeded, None where
            an end is not known.
    """

    finding: Finding
    part: Judged
    most: Quantity
    existing: Quantity
    proposed: Quantity
    increase: Quantity
    remaining_m2: float | None


def limits_of(coverage: Coverage, checked: Checked) -> tuple[Limit, ...]:
    """Every limit that a finding sets on the whole total of a worksheet."""
    return tuple(_limits(coverage, checked)) if coverage.counted else ()


def _limits(coverage: Coverage, checked: Checked) -> Iterator[Limit]:
    after = coverage.counted["proposed"].total
    before = coverage.counted.get("existing", coverage.counted["proposed"]).total
    more = Quantity(
        after.low_si - before.low_si, after.high_si - before.high_si, AREA, after.missing
    )
    for finding in checked.verdict.findings:
        for part in finding.parts:
            most = _most_allowed(coverage.name, part, checked)
            if most is None:
                continue
            worst, least = after.end(high=True), most.end(high=False)
            left_m2 = None if worst is None or least is None else least.value_si - worst.value_si
            if left_m2 is not None and part.margin_si == 0:
                left_m2 = 0.0
            yield Limit(finding, part, most, before, after, more, left_m2)


def _most_allowed(table: str, part: Judged, checked: Checked) -> Quantity | None:
    """The limit on the total as an area; None when the comparison is about other things."""
    measured = part.node.measured
    totals = (n.Named(table), n.Named(table, "proposed"))
    if part.of or not part.wants_less:
        return None
    if measured in totals and part.limit.dimension == AREA:
        return part.limit
    if not isinstance(measured, n.Ratio) or measured.top not in totals:
        return None
    if not isinstance(measured.bottom, n.Named) or part.limit.dimension != RATIO:
        return None
    bottom = checked.sheet.number(measured.bottom)
    if not bottom.is_certain:
        return None
    low, high = (end * bottom.low_si for end in (part.limit.low_si, part.limit.high_si))
    return Quantity(low, high, AREA, part.limit.missing)
