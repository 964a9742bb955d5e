"""Designs side by side: what differs in rules, measures, surfaces, sections; nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.findings.subjects import SUBJECTS
from checker.pages.blocks import Page, Pairs, Table, caution, numbers, para, texts_of
from checker.pages.terminal_writer import terminal_of
from checker.pages.written import pages_of
from checker.solve.costs import costs_of
from checker.words import changes as wording
from checker.words.amounts import clean, plural, range_text, small
from checker.words.findings import finding_views
from checker.words.letters import Keys
from checker.words.sections import course_lines

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from checker.core.units import System
    from checker.findings.checked import Checked
    from checker.measure.section.bed import BedCourse
    from checker.pages.blocks import Block
    from checker.site.model import Surface
    from checker.solve.compare import Comparison, SurfaceChange
    from checker.words.findings import FindingView

NONE: Final = "–"
LONGEST_NAME: Final = 16
"""Designs of longer names are numbered in the heads of tables."""


def comparison_text(comparison: Comparison) -> str:
    """The page for a terminal."""
    page = comparison_page(comparison)
    return terminal_of((para(page.title), *page.above)).lstrip("\n")


def comparison_pages(comparison: Comparison, templates: Path | None = None) -> dict[str, str]:
    """The pages by file name; `templates` holds a page.html or page.md of one's own."""
    return pages_of("comparison", comparison_page(comparison), templates)


def comparison_page(comparison: Comparison) -> Page:
    """The comparison as a page of tables."""
    return Page("Designs side by side", tuple(_Comparing(comparison).blocks()), (), ())


class _Comparing:
    def __init__(self, comparison: Comparison) -> None:
        self.comparison = comparison
        self.system: System = comparison.designs[0].system
        self.titles = tuple(map(clean, comparison.names))
        self.names = self.titles
        if max(map(len, self.titles)) > LONGEST_NAME:
            self.names = tuple(f"Design {number}" for number in range(1, len(self.titles) + 1))
        self.views: list[dict[str, FindingView]] = [
            {view.id: view for view in finding_views(design, Keys(design.site))}
            for design in comparison.designs
        ]

    def blocks(self) -> Iterator[Block]:
        if self.names != self.titles:
            yield Pairs(tuple(zip(self.names, self.titles, strict=True)))
        for doubt in self.comparison.doubts:
            yield caution(f"In doubt: {clean(doubt)}.")
        yield from self.rules()
        yield from self.measures()
        yield from self.surfaces()
        yield from self.sections()
        yield caution(wording.CAUTION)

    def rules(self) -> Iterator[Block]:
        """The rules that some design answers otherwise than the first one."""
        rows: list[tuple[str, ...]] = []
        alike = 0
        asked_of: list[str] = []
        first = SUBJECTS[0]
        for row in sorted(
            self.comparison.rules,
            key=lambda row: (not row.flipped, self.subject(row.rule) != first),
        ):
            views = [views.get(row.rule) for views in self.views]
            said = [_standing(view) for view in views]
            if len(set(said)) == 1:
                alike += 1
            elif len(self.views) == 2 and (asked := _asked_of(views)) is not None:
                asked_of.append(self.names[asked])
            else:
                rows.append((clean(row.title), *said, "yes" if row.flipped else ""))
        if rows:
            yield Table("Rules that differ", texts_of("Rule", *self.names, "Turned"), tuple(rows))
        for name in dict.fromkeys(asked_of):
            count = plural(asked_of.count(name), "rule")
            yield para(f"{count} asked of {name} alone, and met there.", "fine")
        if alike:
            yield para(f"{plural(alike, 'rule')} say the same of all designs.", "fine")

    def subject(self, rule: str) -> str:
        """What a rule is about."""
        return next((v[rule].subject for v in self.views if rule in v), "")

    def measures(self) -> Iterator[Block]:
        counts = [
            (clean(title), *(range_text(x, self.system) if x else "cannot tell" for x in values))
            for title, values in self.comparison.counts
        ]
        work = [
            _price(cents, design)
            for cents, design in zip(self.comparison.cents, self.comparison.designs, strict=True)
        ]
        columns = (*texts_of("Measure"), *numbers(*self.names))
        yield Table("Measures", columns, (*counts, ("cost of the work", *work)))

    def surfaces(self) -> Iterator[Block]:
        if not self.comparison.surfaces:
            yield para("No surface differs.")
            return
        rows = tuple(
            (
                clean(change.id),
                self.names[change.design],
                "; ".join(_what(change, self.system)),
                clean(_said(change.before, self.system)) or NONE,
                clean(_said(change.after, self.system)) or NONE,
            )
            for change in self.comparison.surfaces
        )
        heads = ("Surface", "Design", f"What differs from {self.names[0]}", "Before", "After")
        yield Table("Surfaces", texts_of(*heads), rows)

    def sections(self) -> Iterator[Block]:
        """What differs in the pavement below each surface, course by course."""
        first, *others = (_courses(design) for design in self.comparison.designs)
        rows = []
        for name, other in zip(self.names[1:], others, strict=True):
            for surface in dict.fromkeys((*first, *other)):
                old, new = first.get(surface, ()), other.get(surface, ())
                gone = [line for line in old if line not in new]
                come = [line for line in new if line not in old]
                if gone or come:
                    rows.append((clean(surface), name, _joined(gone), _joined(come)))
        if rows:
            heads = ("Below", "Design", f"Only in {self.names[0]}", "Only in the other")
            yield Table("Pavement sections", texts_of(*heads), tuple(rows))
        elif any((first, *others)):
            yield para("No pavement section differs.")


def _asked_of(views: list[FindingView | None]) -> int | None:
    """Which one of two designs is asked, where it plainly passes and the other is not asked."""
    words = ["does not apply" if view is None else view.status.word for view in views]
    return words.index("passes") if sorted(words) == ["does not apply", "passes"] else None


def _joined(lines: list[str]) -> str:
    return "; ".join(lines) or NONE


def _standing(view: FindingView | None) -> str:
    """Where a rule stands, in the words and with the ranges of the report."""
    if view is None:
        return "not asked"
    return f"{view.status.word}: {view.line}" if view.line else view.status.word


def _price(cents: int | None, design: Checked) -> str:
    if cents is None:
        return "no price" if design.site.lot.is_chosen else "cannot tell"
    said = wording.money(cents)
    return f"{said} (invented prices)" if costs_of(design.site).is_invented else said


def _courses(design: Checked) -> dict[str, tuple[str, ...]]:
    """The courses below each surface that has a section, as lines."""
    if "sections" not in design.site.parts:
        return {}
    from checker.measure.section.bed import beds

    known = beds(design.survey)
    return {
        surface.title: tuple(
            clean(", ".join(_course(layer, design.system)))
            for layer in known[surface.section].layers
        )
        for surface in design.site.surfaces
        if surface.section in known
    }


def _course(layer: BedCourse, system: System) -> Iterator[str]:
    thickness_m = layer.course.thickness_m
    first, *rest = course_lines(layer, system)
    yield first if thickness_m is None else f"{first} {small(thickness_m, system)}"
    yield from rest


def _what(change: SurfaceChange, system: System) -> list[str]:
    apart = f"reshaped, {wording.area(change.apart_m2, system)} apart"
    return [apart if what == "reshaped" else what for what in change.what]


def _said(surface: Surface | None, system: System) -> str:
    if surface is None:
        return ""
    area = wording.area(surface.shape.area, system)
    return f"{surface.material.title}, {surface.stage}, {area}"
