"""The command that writes the permit packet."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import PlaceOption, SiteFile, checked, day_or_none, progress, say


def packet(  # noqa: PLR0913 - what a person may choose, each by name
    site: SiteFile,
    *,
    place: PlaceOption = "",
    out: Annotated[str, typer.Option(metavar="FOLDER", help="Folder to write.")] = (
        "soakline-packet"
    ),
    day: Annotated[
        str | None,
        typer.Option("--date", help="Date on every page, YYYY-MM-DD; none if not given."),
    ] = None,
    sheet: Annotated[
        str,
        typer.Option(
            help="letter, tabloid or arch-d; else what the place takes.", show_default=False
        ),
    ] = "",
    previous: Annotated[
        str | None,
        typer.Option(
            metavar="SITE", help="The site file of the revision before, for the resubmittal kit."
        ),
    ] = None,
    built: Annotated[
        str | None,
        typer.Option(metavar="SITE", help="The site file as built, for the closing set."),
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Replace a packet that is there.")
    ] = False,
    split: Annotated[
        bool, typer.Option("--split", help="Also one PDF for each document and sheet.")
    ] = False,
    only_when_ready: Annotated[
        bool,
        typer.Option("--only-when-ready", help="Write nothing while something is missing."),
    ] = False,
) -> int:
    """Write the permit packet: what an office asks for, in one folder."""
    from checker import api
    from checker.words.amounts import plural

    given_day = day_or_none(day)
    written = api.packet(
        checked(site, place),
        Path(out),
        date=given_day,
        sheet_size=sheet,
        previous=checked(previous, place) if previous else None,
        built=checked(built, place) if built else None,
        overwrite=overwrite,
        split=split or None,
        only_when_ready=only_when_ready,
        progress=progress,
    )
    alike: dict[str, list[str]] = {}
    for stop in written.preflight.stops:
        alike.setdefault(stop.says, []).append(stop.what)
    for says, (first, *others) in alike.items():
        more = f" and {plural(len(others), 'other')}" if others else ""
        say(f"missing: {first}{more}: {says}")
    say(f"Written to {written.folder.as_posix()}:")
    for name in written.files:
        say(f"  {name}")
    return 0 if written.preflight.is_ready else 1
