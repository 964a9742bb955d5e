"""Commands on designs: the least change, comparison, what hangs on unclear rules."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import (
    PlaceOption,
    SiteFile,
    SlowProgress,
    TemplateOption,
    checked,
    refuse_unread,
    say,
    template_folder,
)


def change(
    site: SiteFile,
    *,
    place: PlaceOption = "",
    out: Annotated[
        str | None,
        typer.Option(
            metavar="FOLDER", help="Folder for change.html, change.md, change.json, change.svg."
        ),
    ] = None,
    template: TemplateOption = None,
    draw: Annotated[
        str,
        typer.Option(
            metavar="KEY",
            help="Which option to draw, by its key; the best one if empty.",
            show_default=False,
        ),
    ] = "",
    drawn: Annotated[
        str | None,
        typer.Option(
            "--write", metavar="FILE", help="Write the site file with the option drawn into it."
        ),
    ] = None,
) -> int:
    """Find the least that must change so that the rules are met, with proof."""
    from checker import api
    from checker.files.saving import refuse_taken, save
    from checker.papers.change import still_text, text_of

    if draw and drawn is None:
        raise typer.BadParameter("'--draw' says which option is drawn: give '--write FILE' too")
    own = _own_template(template, out)
    if drawn is not None:
        refuse_taken(Path(drawn))
    design, told = checked(site, place), SlowProgress()
    try:
        options = api.least_change(design, progress=told)
    finally:
        told.stop()
    say(text_of(options))
    if out is not None:
        _write(api.change_pages(options, own), out)
    if drawn is not None:
        say(f"\nWritten: {save(Path(drawn), api.option_text(options, draw)).as_posix()}")
        option = options.option(draw) if draw else options.best
        if option is not None and option.still_fails:
            say(f"{still_text(option)[0].upper()}{still_text(option)[1:]}.")
    return 0 if options.best is not None and not options.failing_apart else 1


def compare(
    site_files: Annotated[
        list[str],
        typer.Argument(metavar="SITE SITE...", help="Two or more site files.", show_default=False),
    ],
    *,
    place: PlaceOption = "",
    out: Annotated[
        str | None,
        typer.Option(metavar="FOLDER", help="Folder for comparison.html and comparison.md."),
    ] = None,
    template: TemplateOption = None,
) -> None:
    """Hold designs of one lot, or revisions of a design, side by side."""
    from checker import api

    if len(site_files) < 2:
        raise typer.BadParameter("name two site files or more")
    own = _own_template(template, out)
    designs = [checked(name, place) for name in site_files]
    found = api.compare_designs(designs, list(site_files))
    say(api.comparison_text(found))
    if out is not None:
        _write(api.comparison_pages(found, own), out)


def sensitivity(
    site: SiteFile,
    *,
    place: PlaceOption = "",
    out: Annotated[
        str | None,
        typer.Option(metavar="FOLDER", help="Folder for sensitivity.html and sensitivity.md."),
    ] = None,
    template: TemplateOption = None,
) -> None:
    """Show the verdict under every way to count pool water, paving and decks."""
    from checker import api

    own = _own_template(template, out)
    design, told = checked(site, place), SlowProgress(2.0)
    try:
        table = api.sensitivity(design, progress=told)
    finally:
        told.stop()
    say(api.sensitivity_text(table))
    if out is not None:
        _write(api.sensitivity_pages(table, own), out)


def _own_template(template: str | None, out: str | None) -> Path | None:
    refuse_unread("--template", template, "--out FOLDER", is_there=out is not None)
    return template_folder(template)


def _write(pages: Mapping[str, str], out: str) -> None:
    from checker import api

    written = api.write_pages(pages, Path(out))
    say(f"\nWritten to {Path(out).as_posix()}: {', '.join(path.name for path in written)}")
