"""Gathers the figures of a packet from the check: lot, coverage, rules, distances, earlier work."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.core.rounding import rounded
from checker.core.showing import show, unit_for
from checker.core.units import AREA, LENGTH, RATIO, Amount, amount
from checker.findings.conversion import area_to_convert_m2
from checker.findings.coverage import MOVES, sum_of_moves
from checker.words.amounts import clean
from checker.words.coverage import decimals_of, surface_name
from checker.words.view import precision_text

if TYPE_CHECKING:
    from checker.findings.checked import Checked
    from checker.findings.coverage import Coverage, Moves
    from checker.findings.limits import Limit
    from checker.findings.model import Finding
    from checker.site.model import Surface
    from checker.site.project import Project
    from checker.words.figures import Figures
    from checker.words.letters import Keys

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
    figures.add("lot.perimeter", "perimeter", Amount(lot.edge.length, LENGTH))
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
        precision = precision_text(lot.closure.precision)
        figures.add_text("lot.precision", "precision of the closure", precision)


def add_coverage(figures: Figures, coverage: Coverage, keys: Keys) -> None:
    """Every line, group and total of a worksheet at its unfavourable end, as pages print it."""
    if coverage.missing:
        return
    name, table = coverage.name, clean(coverage.table.title)
    decimals = decimals_of(coverage, figures.system)

    def area(key: str, title: str, area_m2: float, *, signed: bool = False) -> None:
        amount = Amount(area_m2, AREA)
        figures.add(f"cover.{name}.{key}", title, amount, decimals=decimals, signed=signed)

    def moved(key: str, title: str, moves: Moves) -> None:
        for what, ends in zip(MOVES, moves, strict=True):
            area(f"{key}.{what}", f"{title}, {MOVE_TITLES[what]}", coverage.worst_m2(ends))
        net_m2 = coverage.worst_m2(moves.proposed) - coverage.worst_m2(moves.existing)
        area(f"{key}.net", f"{title}, net change", net_m2, signed=True)

    for index, line in enumerate(coverage.lines):
        title, shown = surface_name(keys, line.of, line.group), line.shown
        area(f"{index}.drawn", f"{title}, drawn", shown.used_m2 + shown.taken_m2)
        area(f"{index}.taken", f"{title}, taken", shown.taken_m2)
        area(f"{index}.used", f"{title}, used", shown.used_m2)
        moved(str(index), title, line.moves)
        for which, count in (("was_factor", line.was), ("factor", line.will)):
            factor = coverage.factor(count)
            if factor is not None:
                text = show(Amount(factor), figures.system)
                figures.add_text(f"cover.{name}.{index}.{which}", f"{title}, factor", text)
    for group, lines in coverage.groups.items():
        moved(group, group, sum_of_moves(line.moves for line in lines))
    moved("total", "all", coverage.total)
    for what in ("existing", "proposed"):
        share = Amount(coverage.total_m2(what) / coverage.lot_m2, RATIO, "%")
        figures.add(f"cover.{name}.{what}_share", f"{table}, {what}, of the lot", share)
    area("least", f"{table}, at best", coverage.best_m2)


def add_limit(figures: Figures, limit: Limit) -> None:
    """Maximum, proposed, remaining and their shares of the land, at the unfavourable ends.

    What is there and what comes are figures of their own where they are not those of the table.
    """
    most, proposed = limit.most.end(high=False), limit.proposed.end(high=True)
    if most is None or proposed is None or limit.remaining_m2 is None:
        return
    at, title = f"limit.{limit.finding.rule}", clean(limit.finding.title)
    figures.add_trio(
        (f"{at}.proposed", f"{title}, proposed", proposed),
        (f"{at}.maximum", f"{title}, maximum", most),
        (f"{at}.remaining", f"{title}, remaining", Amount(limit.remaining_m2, AREA)),
    )
    shares = [Amount(amount.value_si / limit.whole_m2, RATIO, "%") for amount in (proposed, most)]
    figures.add_pair(
        (f"{at}.proposed_share", f"{title}, proposed, of the land", shares[0]),
        (f"{at}.maximum_share", f"{title}, maximum, of the land", shares[1]),
    )
    existing, increase = (item.end(high=True) for item in (limit.existing, limit.increase))
    if not limit.is_of_total and existing and increase:
        figures.add(f"{at}.existing", f"{title}, existing", existing)
        figures.add(f"{at}.increase", f"{title}, increase", increase, signed=True)


def add_finding(figures: Figures, finding: Finding, checked: Checked) -> None:
    """Measured, limit and room of a rule; where it is exceeded, what would have to change."""
    at = f"rule.{finding.rule}"
    if finding.measured is None or finding.limit is None:
        return
    numbers = (
        (f"{at}.measured", f"{finding.title}, measured", finding.measured),
        (f"{at}.limit", f"{finding.title}, limit", finding.limit),
    )
    if finding.margin is None:
        figures.add_pair(*numbers)
        return
    figures.add_trio(*numbers, (f"{at}.margin", f"{finding.title}, room left", finding.margin))
    if finding.limit.dimension != AREA:
        return
    if finding.margin.value_si >= 0 or finding.order not in {"at most", "less than"}:
        return
    unit, _ = unit_for(AREA, checked.system)
    for factor in CONVERSION_FACTORS:
        wanted_m2 = area_to_convert_m2(-finding.margin.value_si, factor)
        assert wanted_m2 is not None  # none of the factors is 1
        area = Amount(wanted_m2, AREA)
        title = f"{finding.title}, to convert at a factor of {factor:.2f}"
        whole = amount(rounded(area.to(unit), 1.0, "up"), unit)
        figures.add(f"{at}.convert.{factor:.2f}", title, whole, decimals=0)


def add_distance(figures: Figures, surface: Surface, checked: Checked) -> None:
    """Distances of a surface to the lot lines."""
    lot = checked.site.lot
    at = f"distance.{surface.id}"
    nearest_m = surface.shape.distance(lot.edge)
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
