"""Designs side by side: as a page of tables and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.showing import show
from checker.pages.blocks import Page, Table, caution, numbers, para, texts_of
from checker.pages.markdown_writer import markdown_of
from checker.pages.written import pages_of
from checker.words import changes as wording
from checker.words.amounts import clean

if TYPE_CHECKING:
    from pathlib import Path

    from checker.core.units import System
    from checker.site.model import Surface
    from checker.solve.compare import Comparison, SurfaceChange


def comparison_text(comparison: Comparison) -> str:
    """The page as Markdown."""
    return markdown_of(comparison_page(comparison))


def comparison_pages(comparison: Comparison, templates: Path | None = None) -> dict[str, str]:
    """The pages by file name; `templates` holds a page.html or page.md of one's own."""
    return pages_of("comparison", comparison_page(comparison), templates)


def comparison_page(comparison: Comparison) -> Page:
    """The comparison as a page of tables."""
    system = comparison.designs[0].system
    names = tuple(map(clean, comparison.names))
    rules = tuple(
        (
            clean(row.title),
            *(wording.standing(f, system) if f else "not asked" for f in row.findings),
            "yes" if row.flipped else "",
        )
        for row in comparison.rules
    )
    counts = [
        (clean(title), *(show(x, system) if x else "cannot tell" for x in amounts))
        for title, amounts in comparison.counts
    ]
    work = [
        wording.money(cents)
        if cents is not None
        else ("no price" if design.site.lot.is_chosen else "cannot tell")
        for cents, design in zip(comparison.cents, comparison.designs, strict=True)
    ]
    surfaces = tuple(
        (
            clean(change.id),
            names[change.design],
            "; ".join(_what(change, system)),
            clean(_said(change.before, system)),
            clean(_said(change.after, system)),
        )
        for change in comparison.surfaces
    )
    differs = texts_of("Surface", "Design", f"What differs from {names[0]}", "Before", "After")
    measures = (*counts, ("cost of the work", *work))
    tables = (
        Table("Rules", texts_of("Rule", *names, "Turned"), rules),
        Table("Measures", (*texts_of("Measure"), *numbers(*names)), measures),
        Table("Surfaces", differs, surfaces) if surfaces else para("No surface differs."),
    )
    doubts = tuple(caution(f"In doubt: {clean(doubt)}.") for doubt in comparison.doubts)
    return Page("Designs side by side", (*doubts, *tables), (), ())


def _what(change: SurfaceChange, system: System) -> list[str]:
    apart = f"reshaped, {wording.area(change.apart_m2, system)} apart"
    return [apart if what == "reshaped" else what for what in change.what]


def _said(surface: Surface | None, system: System) -> str:
    if surface is None:
        return ""
    area = wording.area(surface.shape.area, system)
    return f"{surface.material.title}, {surface.stage}, {area}"
