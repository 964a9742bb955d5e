"""Commands that judge a site: `check` and `drainage`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import (
    PlaceOption,
    SiteFile,
    TemplateOption,
    checked,
    say,
    template_folder,
)


def check(  # noqa: PLR0913 - what a person may choose, each by name
    site: Annotated[
        str,
        typer.Argument(metavar="SITE", help="A site file, or a drawing.", show_default=False),
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
    """Judge a site: print the verdict, write report.html, report.md, findings.json.

    Of a drawing a site file is written beside it first: layers are taken by their names.
    """
    if no_report:
        for option, given in (("--out", out), ("--template", template)):
            if given:
                says = f"'--no-report' writes no pages, and '{option}' is about them: leave one out"
                raise typer.BadParameter(says)
    if page is not None:
        from checker.papers.page_file import refuse_other_kinds

        refuse_other_kinds(Path(page))
    from checker.cli.asking import begun
    from checker.papers.terminal import answer_text
    from checker.words.view import view_of

    folder, own = Path(out or "soakline-report"), template_folder(template)
    site, told = begun(site, place, units, layer or [], fact or [])
    if told:
        say("\n".join(told) + "\n")
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


def drainage(site: SiteFile) -> None:
    """Show the drainage: areas, drains, stores, what if blocked, sizes, every step."""
    from checker import api

    say(api.drainage_text(checked(site)))
