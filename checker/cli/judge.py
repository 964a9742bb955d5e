"""Commands that judge a site: `check` and `drainage`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from checker.cli.speaking import (
    PlaceOption,
    SiteFile,
    TemplateOption,
    checked,
    say,
    template_folder,
)

if TYPE_CHECKING:
    from collections.abc import Mapping


def check(  # noqa: PLR0913 - what a person may choose, each by name
    site: Annotated[
        str,
        typer.Argument(
            metavar="SITE",
            help="A site file, or a drawing; a site file is written beside that.",
            show_default=False,
        ),
    ],
    *,
    place: PlaceOption = "",
    units: Annotated[
        str | None,
        typer.Option(help="Of a drawing: the unit of coordinates, ft or m.  [default: ft]"),
    ] = None,
    layer: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=MEANING",
            help="Of a drawing: what a layer is, e.g. C-3=asphalt; several allowed.",
        ),
    ] = None,
    fact: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=ANSWER",
            help="Of a drawing: what the place asks, e.g. zone=R-1; several allowed.",
        ),
    ] = None,
    out: Annotated[
        str | None,
        typer.Option(metavar="FOLDER", help="Folder for the pages.  [default: soakline-report]"),
    ] = None,
    template: TemplateOption = None,
    allow_unknown: Annotated[
        bool, typer.Option("--allow-unknown", help="Rules that wait for an answer are no failures.")
    ] = False,
    no_report: Annotated[bool, typer.Option("--no-report", help="Print the verdict only.")] = False,
    page: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="The report as one file: .pdf, .docx, .html, .md."),
    ] = None,
    whole: Annotated[
        bool, typer.Option("--all", help="Print every rule with its reasons.")
    ] = False,
) -> int:
    """Judge a site, or a drawing by the names of its layers: print the verdict, write pages."""
    if no_report:
        for option, given in (("--out", out), ("--template", template)):
            if given:
                says = f"'--no-report' writes no pages, and '{option}' is about them: leave one out"
                raise typer.BadParameter(says)
    if page is not None:
        from checker.papers.page_file import refuse_other_kinds

        refuse_other_kinds(Path(page))
    from checker.papers.terminal import answer_text
    from checker.site.beside import is_drawing
    from checker.words.view import view_of

    folder, own = Path(out or "soakline-report"), template_folder(template)
    if is_drawing(Path(site)):
        from checker.cli.asking import begun

        site, told = begun(site, place, units or "ft", layer or [], fact or [])
        say("\n".join(told) + "\n")
    else:
        _refuse({"--units": units, "--layer": layer, "--fact": fact})
    result = checked(site, place)
    view = view_of(result)
    say(answer_text(result, is_whole=whole, view=view))
    if not no_report:
        from checker.papers.writing import write_reports

        written = write_reports(result, folder, own, view)
        say(f"\nWritten to {folder.as_posix()}: report.html and {len(written) - 1} more files")
    if page is not None:
        from checker import api

        say(f"Written: {api.write_report(result, Path(page)).as_posix()}")
    verdict = result.verdict
    is_open = any(surface.may_become and not surface.is_fixed for surface in result.site.surfaces)
    if is_open and any(finding.status == "fails" for finding in verdict.findings):
        say("To find the least that must change: soakline change, with the same file.")
    return 0 if (verdict.is_met_as_far_as_told if allow_unknown else verdict.is_met) else 1


def _refuse(of_drawing: Mapping[str, object]) -> None:
    """Stop where an option says something of a drawing and a site file is judged."""
    for option, given in of_drawing.items():
        if given:
            says = f"'{option}' says something of a drawing; a site file says it itself"
            raise typer.BadParameter(says)


def drainage(site: SiteFile) -> None:
    """Show the drainage: areas, drains, stores, what if blocked, sizes, every step."""
    from checker import api

    say(api.drainage_text(checked(site)))
