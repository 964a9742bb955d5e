"""The limits on a counted total as texts: maximum, existing, proposed, increase, remaining."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra.values import Quantity
from checker.core.records import Record
from checker.core.units import AREA, RATIO, Amount
from checker.findings.limits import limits_of
from checker.words.amounts import clean, margin_text, range_text, trio_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from checker.core.units import System
    from checker.findings.checked import Checked
    from checker.findings.coverage import Coverage
    from checker.findings.limits import Limit

_TESTS: Final = {
    "at most": "at most; exactly at the limit is allowed",
    "less than": "less than; exactly at the limit is not allowed",
}


class LimitLine(Record):
    """A limit on what counts; each row is a name, an area and a share of the lot or region."""

    rule: str
    finding: str
    test: str
    rows: tuple[tuple[str, str, str], ...]


def limits_on(coverage: Coverage, checked: Checked) -> tuple[LimitLine, ...]:
    """The limit of each finding that sets one on what a worksheet counts."""
    return tuple(
        LimitLine(
            rule=clean(limit.finding.title),
            finding=limit.finding.rule,
            test=_TESTS[limit.part.order],
            rows=tuple(_rows(limit, limit.whole_m2, checked.system)),
        )
        for limit in limits_of(coverage, checked)
    )


def _rows(limit: Limit, whole_m2: float, system: System) -> Iterator[tuple[str, str, str]]:
    def share(value: Quantity) -> Quantity:
        low, high = value.low_si / whole_m2, value.high_si / whole_m2
        return Quantity(low, high, RATIO, value.missing, "%")

    def beside(first: Quantity, second: Quantity, left: Amount | None) -> tuple[str, str, str]:
        """Proposed, maximum and what remains, as texts that add up where they can."""
        worst, least = first.end(high=True), second.end(high=False)
        if left is None or worst is None or least is None:
            return range_text(first, system), range_text(second, system), ""
        if first.is_certain and second.is_certain:
            return trio_text(worst, least, left, system)
        return range_text(first, system), range_text(second, system), margin_text(left, system)

    left_m2 = limit.remaining_m2
    left = None if left_m2 is None else Amount(left_m2, AREA)
    left_share = None if left_m2 is None else Amount(left_m2 / whole_m2, RATIO, "%")
    areas = beside(limit.proposed, limit.most, left)
    shares = beside(share(limit.proposed), share(limit.most), left_share)
    yield "Maximum allowed", areas[1], shares[1]
    yield "Existing", range_text(limit.existing, system), range_text(share(limit.existing), system)
    yield "Proposed", areas[0], shares[0]
    yield "Increase", range_text(limit.increase, system), range_text(share(limit.increase), system)
    if left is not None:
        yield "Remaining", areas[2], shares[2]
