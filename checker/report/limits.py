"""The limits on a counted total: maximum, existing, proposed, increase and what remains."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from checker.algebra import nodes as n
from checker.algebra.values import Quantity
from checker.core.units import AREA, RATIO, Amount
from checker.report.wording import clean, margin_text, pair_text, range_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from checker.algebra.counting import Counted
    from checker.algebra.values import Judged
    from checker.findings.checked import Checked
    from checker.site.model import State

_TESTS: Final = {
    "at most": "at most; exactly at the limit is allowed",
    "less than": "less than; exactly at the limit is not allowed",
}


class LimitLine(NamedTuple):
    """A limit on the counted total; each row is a name, an area and a share of the lot."""

    rule: str
    finding: str
    test: str
    rows: tuple[tuple[str, str, str], ...]


def limits_on(
    table: str, counted: Mapping[State, Counted], checked: Checked
) -> tuple[LimitLine, ...]:
    """Every limit that a finding sets on the whole total of a counting table."""
    return tuple(_limits(table, counted, checked))


def _limits(table: str, counted: Mapping[State, Counted], checked: Checked) -> Iterator[LimitLine]:
    for finding in checked.verdict.findings:
        for part in finding.parts:
            most = _most_allowed(table, part, checked)
            if most is not None:
                rows = tuple(_rows(part, most, counted, checked))
                yield LimitLine(clean(finding.title), finding.rule, _TESTS[part.order], rows)


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


def _rows(
    part: Judged, most: Quantity, counted: Mapping[State, Counted], checked: Checked
) -> Iterator[tuple[str, str, str]]:
    system, lot_m2 = checked.system, checked.site.lot.boundary.area
    after = counted["proposed"].total
    before = counted.get("existing", counted["proposed"]).total
    more = Quantity(
        after.low_si - before.low_si, after.high_si - before.high_si, AREA, after.missing
    )

    def share(value: Quantity) -> Quantity:
        low, high = value.low_si / lot_m2, value.high_si / lot_m2
        return Quantity(low, high, RATIO, value.missing, "%")

    def beside(first: Quantity, second: Quantity) -> tuple[str, str]:
        ends = first.end(high=True), second.end(high=False)
        if first.is_certain and second.is_certain and ends[0] and ends[1]:
            return pair_text(ends[0], ends[1], system)
        return range_text(first, system), range_text(second, system)

    after_area, most_area = beside(after, most)
    after_share, most_share = beside(share(after), share(most))
    yield "Maximum allowed", most_area, most_share
    yield "Existing", range_text(before, system), range_text(share(before), system)
    yield "Proposed", after_area, after_share
    yield "Increase", range_text(more, system), range_text(share(more), system)
    worst, limit = after.end(high=True), most.end(high=False)
    if worst is not None and limit is not None:
        left_m2 = 0.0 if part.margin_si == 0 else limit.value_si - worst.value_si
        left = margin_text(Amount(left_m2, AREA), system)
        yield "Remaining", left, margin_text(Amount(left_m2 / lot_m2, RATIO, "%"), system)
