"""The figures of the limits on a counted total, and of what each rule measures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra.values import Quantity
from checker.core.rounding import rounded
from checker.core.showing import unit_for
from checker.core.units import AREA, RATIO, Amount, amount
from checker.findings.conversion import area_to_convert_m2
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from checker.findings.limits import Limit
    from checker.findings.model import Finding
    from checker.words.figures import Figures

TESTS: Final = {
    "at most": "at most; exactly at the limit is allowed",
    "less than": "less than; exactly at the limit is not allowed",
}
CONVERSION_FACTORS: Final = (0.0, 0.25, 0.5, 0.75)
"""Shares that a rebuilt surface may count, for the table of what would have to be converted."""


def add_limit(figures: Figures, measure: str, limit: Limit) -> None:
    """Maximum, existing, proposed, increase, remaining and their shares of the land.

    The text of each is its unfavourable end; three that are compared add up as printed.
    One rule may limit several measures.
    """
    left_m2, whole_m2 = limit.remaining_m2, limit.whole_m2
    areas = {
        "maximum": limit.most,
        "existing": limit.existing,
        "proposed": limit.proposed,
        "increase": limit.increase,
    }
    shares = {
        what: Quantity(area.low_si / whole_m2, area.high_si / whole_m2, RATIO, area.missing, "%")
        for what, area in areas.items()
    }
    left = None if left_m2 is None else Amount(left_m2, AREA)
    left_share = None if left_m2 is None else Amount(left_m2 / whole_m2, RATIO, "%")
    at, title = f"limit.{measure}.{limit.finding.rule}", clean(limit.finding.title)
    order = limit.part.order
    _add(figures, lambda what: (f"{at}.{what}", f"{title}, {what}"), areas, left, order)
    _add(
        figures,
        lambda what: (f"{at}.{what}_share", f"{title}, of the land, {what}"),
        shares,
        left_share,
        order,
    )


def _add(
    figures: Figures,
    named: Callable[[str], tuple[str, str]],
    values: Mapping[str, Quantity],
    left: Amount | None,
    order: str,
) -> None:
    """Areas, or shares, of one limit; without room left that can be told, the ranges alone."""
    worst, least = values["proposed"].end(high=True), values["maximum"].end(high=False)
    if left is None or worst is None or least is None:
        for what, value in values.items():
            is_limit = what == "maximum"
            figures.add_text(*named(what), figures.range(value, order if is_limit else ""))
        return
    figures.add_trio(
        (*named("proposed"), worst),
        (*named("maximum"), least),
        (*named("remaining"), left),
        order,
        spans=(_span(values["proposed"], figures), _span(values["maximum"], figures, order)),
    )
    for what in ("existing", "increase"):
        value, is_change = values[what], what == "increase"
        end, span = value.end(high=True), _span(value, figures)
        if end is None:
            figures.add_text(*named(what), figures.range(value))
            continue
        span = f"+{span}" if span and is_change and value.low_si > 0 else span
        figures.add(*named(what), end, signed=is_change, span=span)


def _span(value: Quantity, figures: Figures, order: str = "") -> str:
    return "" if value.is_certain else figures.range(value, order)


def add_finding(figures: Figures, finding: Finding) -> None:
    """Measured, limit and room of a rule; where it is exceeded, what would have to change."""
    at = f"rule.{finding.rule}"
    if finding.measured is None or finding.limit is None:
        return
    numbers = (
        (f"{at}.measured", f"{finding.title}, measured", finding.measured),
        (f"{at}.limit", f"{finding.title}, limit", finding.limit),
    )
    if finding.margin is None:
        figures.add_pair(*numbers, finding.order)
        return
    margin = (f"{at}.margin", f"{finding.title}, room left", finding.margin)
    figures.add_trio(*numbers, margin, finding.order)
    if finding.limit.dimension != AREA:
        return
    if finding.margin.value_si >= 0 or finding.order not in {"at most", "less than"}:
        return
    unit, _ = unit_for(AREA, figures.system)
    for factor in CONVERSION_FACTORS:
        wanted_m2 = area_to_convert_m2(-finding.margin.value_si, factor)
        assert wanted_m2 is not None  # none of the factors is 1
        area = Amount(wanted_m2, AREA)
        title = f"{finding.title}, to convert at a factor of {factor:.2f}"
        whole = amount(rounded(area.to(unit), 1.0, "up"), unit)
        figures.add(f"{at}.convert.{factor:.2f}", title, whole, decimals=0)
