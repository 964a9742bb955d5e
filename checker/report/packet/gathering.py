"""Gathers the figures of a packet from the check: lot, coverage, rules, distances, earlier work."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.algebra import nodes as n
from checker.core.showing import unit_for
from checker.core.units import AREA, LENGTH, RATIO, Amount, amount, rounded
from checker.report.packet.coverage import MOVES, Ledger, area_to_convert_m2, counted_in
from checker.report.wording import decimals_that_add_up, number_in

if TYPE_CHECKING:
    from checker.findings.checked import Checked
    from checker.findings.model import Finding
    from checker.report.packet.figures import Figures
    from checker.site.model import Surface
    from checker.site.project import Project

MOVE_TITLES: Final = {
    "existing": "existing",
    "removed": "removed",
    "converted_from": "converted from",
    "converted_to": "converted to",
    "new": "new",
    "proposed": "proposed",
    "net": "net change",
}
CONVERSION_FACTORS: Final = (0.0, 0.25, 0.5, 0.75)
"""Shares that a rebuilt surface may count, for the table of what would have to be converted."""


def add_lot(figures: Figures, checked: Checked) -> None:
    """Area, perimeter, recorded area and closure of the lot."""
    lot = checked.site.lot
    figures.add("lot.area", "lot area", Amount(lot.boundary.area, AREA))
    acres = Amount(lot.boundary.area, AREA).to("acre")
    figures.add_text("lot.acres", "lot area in acres", f"{acres:.3f} acre")
    figures.add("lot.perimeter", "perimeter", Amount(lot.boundary.exterior.length, LENGTH))
    if lot.recorded_area_m2 is not None:
        figures.add("lot.recorded", "recorded lot area", Amount(lot.recorded_area_m2, AREA))
        figures.add(
            "lot.difference",
            "drawn less recorded lot area",
            Amount(lot.boundary.area - lot.recorded_area_m2, AREA),
            signed=True,
        )
    if lot.closure is not None:
        figures.add("lot.closure", "closing error", Amount(lot.closure.error_m, LENGTH))
        precision = lot.closure.precision
        shown = f"1 in {precision:,.0f}" if precision < 1e9 else "no error"
        figures.add_text("lot.precision", "closure of the boundary", shown)


def add_ledger(figures: Figures, ledger: Ledger, checked: Checked) -> None:
    """Every line, group and total of a coverage ledger, at decimals that add up."""
    if ledger.missing:
        return
    name, lot_m2 = ledger.name, checked.site.lot.boundary.area
    decimals = _decimals(ledger, checked)
    for index, line in enumerate(ledger.lines):
        at = f"cover.{name}.{index}"
        for what in ("drawn", "taken", "used"):
            amount = Amount(getattr(line, f"{what}_m2"), AREA)
            figures.add(f"{at}.{what}", f"{line.title}, {what}", amount, decimals=decimals)
        for what in MOVES:
            amount = Amount(getattr(line, f"{what}_m2"), AREA)
            figures.add(f"{at}.{what}", f"{line.title}, {what}", amount, decimals=decimals)
        net = Amount(line.proposed_m2 - line.existing_m2, AREA)
        figures.add(f"{at}.net", f"{line.title}, net change", net, decimals=decimals, signed=True)
        for which, factor in (("was_factor", line.was_factor), ("factor", line.factor)):
            if factor is not None:
                _factor_figure(figures, f"{at}.{which}", line.title, factor)
    sums = {"": ledger.lines} | ledger.groups()
    for group, lines in sums.items():
        at = f"cover.{name}.{group or 'total'}"
        for what in MOVES:
            total_m2 = sum(getattr(line, f"{what}_m2") for line in lines)
            title = f"{group or 'all'}, {MOVE_TITLES[what]}"
            figures.add(f"{at}.{what}", title, Amount(total_m2, AREA), decimals=decimals)
        net = Amount(sum(line.proposed_m2 - line.existing_m2 for line in lines), AREA)
        title = f"{group or 'all'}, net change"
        figures.add(f"{at}.net", title, net, decimals=decimals, signed=True)
    for what in ("existing", "proposed"):
        share = Amount(ledger.total_m2(what) / lot_m2, RATIO, "%")
        figures.add(f"cover.{name}.{what}_share", f"{ledger.title}, {what}, of the lot", share)
    least = Amount(ledger.least_proposed_m2, AREA)
    figures.add(f"cover.{name}.least", f"{ledger.title}, at best", least, decimals=decimals)


def _factor_figure(figures: Figures, key: str, title: str, factor: float) -> None:
    two = Amount(factor)
    is_round = abs(factor * 100 - round(factor * 100)) < 1e-6
    figures.add_text(key, f"{title}, factor", f"{two.value_si:.{2 if is_round else 4}f}")


def _decimals(ledger: Ledger, checked: Checked) -> int:
    """The decimals at which the printed lines add up to the printed sums."""
    system = checked.system
    least = unit_for(AREA, system)[1]
    sums = []
    for what in MOVES:
        parts = [number_in(getattr(line, f"{what}_m2"), AREA, system) for line in ledger.lines]
        sums.append((parts, sum(parts)))
    for line in ledger.lines:
        moves = [number_in(getattr(line, f"{what}_m2"), AREA, system) for what in MOVES]
        existing, removed, was, will, new, proposed = moves
        sums.append(([existing, -removed, -was, will, new], proposed))
    return decimals_that_add_up(sums, least)


def add_finding(figures: Figures, finding: Finding, checked: Checked) -> None:
    """Measured, limit and room of a rule; where it is exceeded, what would have to change."""
    at = f"rule.{finding.rule}"
    if finding.measured is None or finding.limit is None:
        return
    figures.add_pair(
        (f"{at}.measured", f"{finding.title}, measured", finding.measured),
        (f"{at}.limit", f"{finding.title}, limit", finding.limit),
    )
    if finding.margin is not None:
        figures.add(f"{at}.margin", f"{finding.title}, room left", finding.margin, signed=True)
    if finding.limit.dimension != AREA or finding.margin is None:
        return
    if is_of_whole_lot(finding, checked):
        lot_m2 = checked.site.lot.boundary.area
        measured = Amount(finding.measured.value_si / lot_m2, RATIO, "%")
        limit = Amount(finding.limit.value_si / lot_m2, RATIO, "%")
        figures.add_pair(
            (f"{at}.measured_share", f"{finding.title}, measured, of the lot", measured),
            (f"{at}.limit_share", f"{finding.title}, limit, of the lot", limit),
        )
    if finding.margin.value_si >= 0 or finding.order not in {"at most", "less than"}:
        return
    unit, _ = unit_for(AREA, checked.system)
    for factor in CONVERSION_FACTORS:
        area = Amount(area_to_convert_m2(-finding.margin.value_si, factor), AREA)
        title = f"{finding.title}, to convert at a factor of {factor:.2f}"
        whole = amount(rounded(area.to(unit), 1.0, "up"), unit)
        figures.add(f"{at}.convert.{factor:.2f}", title, whole, decimals=0)


def is_of_whole_lot(finding: Finding, checked: Checked) -> bool:
    """Whether a finding compares one counted measure of the whole lot, not of a part of it."""
    names = counted_in(finding, checked)
    return len(names) == 1 and all(
        part.node.measured == n.Named(names[0]) for part in finding.parts
    )


def add_distance(figures: Figures, surface: Surface, checked: Checked) -> None:
    """Distances of a surface to the lot lines."""
    lot = checked.site.lot
    at = f"distance.{surface.id}"
    nearest_m = surface.shape.distance(lot.boundary.exterior)
    figures.add(f"{at}.line", f"{surface.title} to the nearest lot line", Amount(nearest_m, LENGTH))
    for side in dict.fromkeys(line.side for line in lot.lines if line.side):
        line = lot.side(side)
        if line is not None:
            amount = Amount(float(surface.shape.distance(line)), LENGTH)
            figures.add(f"{at}.{side}", f"{surface.title} to the {side} lot line", amount)


def add_earlier(figures: Figures, project: Project) -> None:
    """Cover added since the place began to count."""
    for index, item in enumerate(project.earlier):
        figures.add(f"earlier.{index}", item.says, Amount(item.added_m2, AREA))
    if project.earlier:
        total = Amount(sum(item.added_m2 for item in project.earlier), AREA)
        figures.add("earlier.total", "added earlier, in all", total)
