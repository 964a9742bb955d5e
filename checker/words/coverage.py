"""The figures of a coverage worksheet, and its lines with their words: for every page and paper."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from checker.core.records import Record
from checker.core.showing import unit_for
from checker.core.units import AREA, RATIO, Amount, same
from checker.findings.coverage import MOVES, Ends, sum_of, sum_of_moves
from checker.findings.coverage_lines import coverages
from checker.findings.limits import limits_of
from checker.site.model import REST
from checker.words.amounts import (
    clean,
    decimals_that_add_up,
    fixed_text,
    limit_that_adds_up,
    range_text,
    sum_that_adds_up,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from checker.findings.checked import Checked
    from checker.findings.coverage import CountLine, Coverage, MoveLine, Moves
    from checker.site.model import Surface
    from checker.words.amounts import AddsUp
    from checker.words.figures import Figures
    from checker.words.letters import Keys

UNDER_OTHERS: Final = "all of it lies under or beside other surfaces that count"
"""Stands in place of the row of the counting table where nothing of a surface is left."""

MOVE_TITLES: Final = {
    "existing": "existing",
    "removed": "removed",
    "converted_from": "replaced (was)",
    "converted_to": "replaced (is)",
    "new": "new",
    "proposed": "proposed",
    "net": "net change",
}


class WorksheetLine(Record):
    """A line of a worksheet; everything but the numbers is ready to print.

    Attributes:
        at: The beginning of the keys of its figures, e.g. "cover.impervious_area.3".
        line: Its numbers.
        key: The letter on the plan; empty for the rest of the lot and for exemptions.
        title: Its name.
        material: What it is made of, today and afterwards where that differs.
        group: The heading it is listed under.
        stage: existing, removed, proposed or replaced; empty for an exemption.
        row: The row of the counting table that decided.
        clause: Where that stands.
        measured_by: How it was measured.
        asks: What must be given to settle the factor.
        is_free: It counts nothing before or after: exempt or left out.
    """

    at: str
    line: MoveLine
    key: str
    title: str
    material: str
    group: str
    stage: str
    row: str
    clause: str
    measured_by: str
    asks: tuple[str, ...]
    is_free: bool


def worksheet_lines(coverage: Coverage, checked: Checked, keys: Keys) -> Iterator[WorksheetLine]:
    """The lines of a worksheet in its own order."""
    rest = checked.site.rest_of_lot
    for index, line in enumerate(coverage.lines):
        surface, shown = keys.surface(line.of), line.shown
        material = _material(surface) if surface else (rest.title if rest else "not said")
        ends = (line.moves.existing, line.moves.proposed)
        yield WorksheetLine(
            at=f"cover.{coverage.name}.{index}",
            line=line,
            key=keys.letter(line.of),
            title=_name(keys, line),
            material=clean(material) if line.of else "",
            group=clean(line.group),
            stage=line.stage if line.of else "",
            row=clean(shown.row) if shown.weight is not None else UNDER_OTHERS,
            clause=clean(shown.clause),
            measured_by=_measured_by(surface, line),
            asks=tuple(map(clean, line.asks)),
            is_free=all(same(coverage.worst_m2(end), 0.0) for end in ends),
        )


def _measured_by(surface: Surface | None, line: MoveLine) -> str:
    if surface is None:
        return "what is left of the lot" if line.of else ""
    return clean(surface.measured_by) or "drawn polygon"


def _material(surface: Surface) -> str:
    if surface.stage == "replaced" and surface.was.id != surface.material.id:
        return f"{surface.material.title}, today {surface.was.title.lower()}"
    return surface.material.title


def _name(keys: Keys, line: MoveLine) -> str:
    """The name of a line: its surface, or that it is a part of a group."""
    return keys.name(line.of) if line.of else f"{clean(line.group)} part"


def add_coverage(figures: Figures, coverage: Coverage, keys: Keys) -> None:
    """Every line, group and total of a worksheet: at its unfavourable end, and as a range."""
    if not coverage.missing:
        _Adding(figures, coverage).add(keys)


class _Adding:
    def __init__(self, figures: Figures, coverage: Coverage) -> None:
        self.figures = figures
        self.coverage = coverage
        self.unit = unit_for(AREA, figures.system)[0]

    def add(self, keys: Keys) -> None:
        coverage, name = self.coverage, self.coverage.name
        for index, line in enumerate(coverage.lines):
            title, shown = _name(keys, line), line.shown
            if line.of != REST:  # which nobody draws: it is what the others leave
                self.plain(f"{index}.drawn", f"{title}, drawn", shown.used_m2 + shown.taken_m2)
                self.plain(f"{index}.taken", f"{title}, taken", shown.taken_m2)
            self.plain(f"{index}.used", f"{title}, used", shown.used_m2)
            if line.was:
                self.plain(f"{index}.was_used", f"{title}, used today", line.was.used_m2)
            self.moved(str(index), title, line.moves)
            for which, count in (("was_factor", line.was), ("factor", line.will)):
                self.factor(f"cover.{name}.{index}.{which}", title, count)
        for group, lines in coverage.groups.items():
            self.moved(group, group, sum_of_moves(line.moves for line in lines))
        self.moved("total", "all", coverage.total)
        after = coverage.states["proposed"]
        self.share("existing", coverage.states.get("existing", after))
        self.share("proposed", after)

    def plain(self, key: str, title: str, area_m2: float) -> None:
        self.area(key, title, Ends(area_m2, area_m2))

    def area(self, key: str, title: str, ends: Ends) -> None:
        amount = Amount(self.coverage.worst_m2(ends), AREA)
        self.figures.add(
            f"cover.{self.coverage.name}.{key}",
            title,
            amount,
            span=self.span(ends),
        )

    def span(self, ends: Ends, *, signed: bool = False) -> str:
        if ends.low_m2 == ends.high_m2:
            return ""
        texts = self.figures.ends(Amount(end_m2, AREA) for end_m2 in ends)
        text = " to ".join(dict.fromkeys(text.removesuffix(f" {self.unit}") for text in texts))
        text = f"{text} {self.unit}"
        return f"+{text}" if signed and ends.low_m2 > 0 and not text.startswith("0") else text

    def moved(self, key: str, title: str, moves: Moves) -> None:
        for what, ends in zip(MOVES, moves, strict=True):
            self.area(f"{key}.{what}", f"{title}, {MOVE_TITLES[what]}", ends)
        worst_m2, best_m2 = self.coverage.worst_m2, self.coverage.best_m2
        self.plain(f"{key}.best", f"{title}, proposed, at best", best_m2(moves.proposed))
        self.figures.add(
            f"cover.{self.coverage.name}.{key}.net",
            f"{title}, net change",
            Amount(worst_m2(moves.proposed) - worst_m2(moves.existing), AREA),
            signed=True,
            span=self.span(moves.net, signed=True),
        )

    def factor(self, key: str, title: str, line: CountLine | None) -> None:
        worst = self.coverage.factor(line)
        if line is None or line.weight is None or worst is None:
            return
        self.figures.add(
            key,
            f"{title}, factor",
            Amount(worst),
            span="" if line.weight.is_certain else range_text(line.weight, self.figures.system),
        )

    def share(self, state: str, lines: Sequence[CountLine]) -> None:
        """What a state counts of the lot, what of it is used, and what does not count."""
        coverage, title = self.coverage, f"{clean(self.coverage.table.title)}, {state}"
        used_m2 = sum(line.used_m2 for line in lines)
        counted = sum_of(line.counted for line in lines)
        free = Ends(used_m2, used_m2).plus(counted, -1.0).in_order()
        self.plain(f"{state}_used", f"{title}, used in all", used_m2)
        self.figures.add(
            f"cover.{coverage.name}.{state}_free",
            f"{title}, does not count",
            Amount(used_m2 - coverage.worst_m2(counted), AREA),
            span=self.span(free),
        )
        low, high = (end / coverage.lot_m2 * 100 for end in counted)
        self.figures.add(
            f"cover.{coverage.name}.{state}_share",
            f"{title}, of the lot",
            Amount(coverage.worst_m2(counted) / coverage.lot_m2, RATIO, "%"),
            span="" if low == high else f"{fixed_text(low, high, 2)} %",
        )


def area_decimals(checked: Checked) -> int:
    """The decimals at which every worksheet and every limit adds up as printed.

    The one home of the rounding of areas: worksheet, findings, cover and drainage print with it.
    """
    unit, least = unit_for(AREA, checked.system)
    size_m2 = Amount(1.0, AREA).to(unit)
    limits, sums = list(_limits(checked)), []
    for coverage in coverages(checked):
        if not coverage.missing:
            sums += [
                sum_that_adds_up([part * size_m2 for part in parts], sum(parts) * size_m2)
                for parts in _columns(coverage)
            ]
    return decimals_that_add_up((limits, sums), least)


def _limits(checked: Checked) -> Iterator[AddsUp]:
    """Every area that is held against its limit, with the room left."""
    for finding in checked.verdict.findings:
        measured, limit, margin = finding.measured, finding.limit, finding.margin
        if measured is None or limit is None or margin is None or margin.dimension != AREA:
            continue
        if measured.dimension == limit.dimension == AREA and math.isfinite(margin.value_si):
            yield limit_that_adds_up(measured, limit, margin, finding.order, checked.system)
    for coverage in coverages(checked):
        for item in limits_of(coverage, checked):
            if item.of_worst is not None:
                yield limit_that_adds_up(*item.of_worst, item.part.order, checked.system)


def _columns(coverage: Coverage) -> Iterator[Sequence[float]]:
    """The columns of a worksheet, in square metres."""
    for lines in coverage.states.values():
        yield from zip(*(line.counted for line in lines), strict=True)
        yield [line.used_m2 for line in lines]
    for what in zip(*(line.moves for line in coverage.lines), strict=True):
        yield from zip(*what, strict=True)
