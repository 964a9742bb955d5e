"""Least change, comparison and sensitivity of designs, as calls; `checker.api` hands them on."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from checker.findings.checked import Checked
    from checker.site.model import Site
    from checker.solve.compare import Comparison
    from checker.solve.goal import Goal
    from checker.solve.options import Options
    from checker.solve.sensitivity import Sensitivity


def least_change(
    checked: Checked,
    goal: Goal | None = None,
    progress: Callable[[int, int, str], None] | None = None,
) -> Options:
    """The least that must change so that a design meets its rules, as ranked and proven options.

    Args:
        checked: The design.
        goal: What must be reached; what the site file says when None.
        progress: Called with steps done, steps in all and what comes next.

    Raises:
        BadInput: The goal, the costs or the site do not allow a search.
        NoSolver: HiGHS is not installed.
        SolverStopped: The search gave up.
    """
    from checker.solve.search import least_change as search

    return search(checked, goal, progress)


def apply_option(options: Options, key: str = "") -> Site:
    """The site with an option drawn into it.

    Args:
        options: What a search found.
        key: The option; the best one when empty.

    Raises:
        NoOption: There is no such option, or none that meets the rules.
    """
    from checker.solve.redraw import applied

    return applied(options, key)


def option_text(options: Options, key: str = "") -> str:
    """The site file with an option written into it: only the changed surfaces are rewritten.

    The text is the one that was read back and judged.

    Raises:
        NoOption: There is no such option, or none that meets the rules.
    """
    from checker.solve.redraw import chosen

    return chosen(options, key).text


def with_remedies(options: Options) -> Checked:
    """The design as it was checked, with remedies on the findings that an option mends."""
    from checker.core.records import replace
    from checker.solve.remedy import with_remedies as mended
    from checker.words.changes import instructions

    system = options.checked.system
    verdict = mended(options, lambda option: instructions(option, system))
    return replace(options.checked, verdict=verdict)


def change_pages(options: Options, templates: Path | None = None) -> dict[str, str]:
    """The options by file name: change.html, change.md, change.json and change.svg.

    Args:
        options: What a search found.
        templates: A folder with a page.html or page.md of one's own, e.g. with a letterhead.

    Raises:
        BadInput: The template cannot be used.
    """
    from checker.papers.change import change_pages as pages

    return pages(options, templates)


def compare_designs(designs: Sequence[Checked], names: Sequence[str] = ()) -> Comparison:
    """Two or more designs of one lot side by side, each held against the first.

    Raises:
        ValueError: Fewer than two designs, or not a name for each.
        BadInput: A cost table cannot be used.
    """
    from checker.solve.compare import compare_designs as compare

    return compare(designs, names)


def comparison_text(comparison: Comparison) -> str:
    """Designs side by side, for a terminal."""
    from checker.papers.comparison import comparison_text as text_of

    return text_of(comparison)


def comparison_pages(comparison: Comparison, templates: Path | None = None) -> dict[str, str]:
    """Designs side by side by file name: comparison.html and comparison.md.

    Args:
        comparison: The designs.
        templates: A folder with a page.html or page.md of one's own, e.g. with a letterhead.

    Raises:
        BadInput: The template cannot be used.
    """
    from checker.papers.comparison import comparison_pages as pages

    return pages(comparison, templates)


def sensitivity_pages(table: Sensitivity, templates: Path | None = None) -> dict[str, str]:
    """The verdict under every way to count by file name: sensitivity.html and sensitivity.md.

    Args:
        table: The verdicts.
        templates: A folder with a page.html or page.md of one's own, e.g. with a letterhead.

    Raises:
        BadInput: The template cannot be used.
    """
    from checker.papers.sensitivity import sensitivity_pages as pages

    return pages(table, templates)


def sensitivity_text(table: Sensitivity) -> str:
    """The verdict under every way to count, for a terminal."""
    from checker.papers.sensitivity import sensitivity_text as text_of

    return text_of(table)


def sensitivity(
    checked: Checked,
    goal: Goal | None = None,
    progress: Callable[[int, int, str], None] | None = None,
) -> Sensitivity:
    """The verdict under every way to count pool water, permeable paving and decks.

    Args:
        checked: The design.
        goal: What may change; what the site file says when None.
        progress: Called with ways done, ways in all and what comes next.

    Raises:
        BadInput: The goal or the costs do not allow a search.
        NoSolver: HiGHS is not installed.
    """
    from checker.solve.sensitivity import sensitivity as table

    return table(checked, goal, progress)
