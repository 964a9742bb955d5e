"""Designs side by side: as Markdown tables and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from checker.core.markdown import escape, table_lines
from checker.core.showing import show
from checker.words import changes as wording

if TYPE_CHECKING:
    from checker.core.units import System
    from checker.site.model import Surface
    from checker.solve.compare import Comparison, SurfaceChange

FORMAT: Final = "comparison/1"


def markdown_of(comparison: Comparison) -> str:
    """The comparison as Markdown tables."""
    system = comparison.designs[0].system
    names = list(map(escape, comparison.names))
    rules = [
        (
            escape(row.title),
            *(wording.standing(f, system) if f else "not asked" for f in row.findings),
            "yes" if row.flipped else "",
        )
        for row in comparison.rules
    ]
    counts = [
        (escape(title), *(show(amount, system) if amount else "cannot tell" for amount in amounts))
        for title, amounts in comparison.counts
    ]
    work = [wording.money(cents) if cents is not None else "no price" for cents in comparison.cents]
    surfaces = [
        (
            escape(change.id),
            names[change.design],
            "; ".join(_what(change, system)),
            escape(_said(change.before, system)),
            escape(_said(change.after, system)),
        )
        for change in comparison.surfaces
    ]
    differs = ("Surface", "Design", f"What differs from {names[0]}", "Before", "After")
    tables = (
        table_lines(("Rule", *names, "Turned"), rules),
        table_lines(("Measure", *names), [*counts, ("cost of the work", *work)]),
        table_lines(differs, surfaces or [("none", "", "", "", "")]),
    )
    doubts = [f"> In doubt: {escape(doubt)}." for doubt in comparison.doubts]
    return "\n\n".join(["# Designs side by side", *doubts, *map("\n".join, tables)]) + "\n"


def records_of(comparison: Comparison) -> dict[str, Any]:
    """The comparison as plain data: SI numbers, money in whole cents."""
    system = comparison.designs[0].system
    return {
        "format": FORMAT,
        "designs": list(comparison.names),
        "doubts": list(comparison.doubts),
        "rules": [
            {
                "rule": row.rule,
                "statuses": [finding.status if finding else None for finding in row.findings],
                "margins_si": [
                    round(finding.margin.value_si, 9) if finding and finding.margin else None
                    for finding in row.findings
                ],
                "flipped": row.flipped,
            }
            for row in comparison.rules
        ],
        "counts": [
            {"title": title, "m2": [round(a.value_si, 7) if a else None for a in amounts]}
            for title, amounts in comparison.counts
        ],
        "work_cents": list(comparison.cents),
        "surfaces": [
            {
                "id": change.id,
                "design": comparison.names[change.design],
                "what": _what(change, system),
                "before": _said(change.before, system),
                "after": _said(change.after, system),
            }
            for change in comparison.surfaces
        ],
    }


def _what(change: SurfaceChange, system: System) -> list[str]:
    apart = f"reshaped, {wording.area(change.apart_m2, system)} apart"
    return [apart if what == "reshaped" else what for what in change.what]


def _said(surface: Surface | None, system: System) -> str:
    if surface is None:
        return ""
    area = wording.area(surface.shape.area, system)
    return f"{surface.material.title}, {surface.stage}, {area}"
