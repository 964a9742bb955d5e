"""What the program does for a whole town, as plain calls; `checker.api` hands them on."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from checker.screen.run import Screening


def screen(  # noqa: PLR0913 - what a person may choose, each by name
    town: Path,
    output: Path,
    *,
    places: Sequence[str] = (),
    limits: Sequence[str] = (),
    workers: int = 1,
    scheduler: str = "",
    progress: Callable[[int, int, str], None] | None = None,
) -> Screening:
    """Judge every lot of a town from its layers; see `checker.screen.run`.

    Raises:
        BadInput: The town file, a layer, a rule set or the output cannot be used.
    """
    from checker.screen.run import screen as run

    return run(
        town,
        output,
        places=places,
        limits=limits,
        workers=workers,
        scheduler=scheduler,
        progress=progress,
    )


def screening_text(screening: Screening) -> str:
    """The verdicts of a screening in short."""
    from checker.screen.report import report_text

    return report_text(screening)


def screening_pages(screening: Screening, templates: Path | None = None) -> dict[str, str]:
    """The report of a screening by file name: screening.html, screening.md, map.svg, charts.

    Args:
        screening: What was screened.
        templates: A folder with a page.html or page.md of one's own, e.g. with a letterhead.

    Raises:
        BadInput: The template cannot be used.
    """
    from checker.screen.report import report_pages

    return report_pages(screening, templates)
