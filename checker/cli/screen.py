"""The command that screens a whole town."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import TemplateOption, progress, refuse_unread, say, template_folder


def screen(  # noqa: PLR0913 - options of a command
    town: Annotated[str, typer.Argument(metavar="TOWN", help="A town file.", show_default=False)],
    *,
    out: Annotated[
        str, typer.Option(metavar="FILE", help="The table to write: .parquet or .gpkg.")
    ] = "screened.parquet",
    report: Annotated[
        str | None, typer.Option(metavar="FOLDER", help="Folder for the report and its map.")
    ] = None,
    place: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PLACE",
            help="Judge under this rule set instead; may be given several times.",
            show_default=False,
        ),
    ] = None,
    limit: Annotated[
        list[str] | None,
        typer.Option(
            metavar="RULE=LIMIT,...", help="Try other limits of a rule, such as cover=40%,50%."
        ),
    ] = None,
    workers: Annotated[int, typer.Option(min=0, help="Threads; 0 for one per core.")] = 0,
    scheduler: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Spread the work over a Dask cluster.")
    ] = "",
    template: TemplateOption = None,
) -> None:
    """Judge every lot of a town from its layers: who complies, who does not, and where."""
    import os

    from checker import api

    refuse_unread("--template", template, "--report FOLDER", is_there=report is not None)
    own = template_folder(template)
    if workers and scheduler:
        raise typer.BadParameter("'--workers' are of this machine, '--scheduler' is another's")

    found = api.screen(
        Path(town),
        Path(out),
        places=place or (),
        limits=limit or (),
        workers=workers or os.cpu_count() or 1,
        scheduler=scheduler,
        progress=progress,
    )
    say(api.screening_text(found))
    say(f"\nWritten: {found.output.as_posix()}")
    if report is not None:
        pages = api.screening_pages(found, own)
        written = api.write_pages(pages, Path(report))
        say(f"Written to {Path(report).as_posix()}: {', '.join(path.name for path in written)}")
