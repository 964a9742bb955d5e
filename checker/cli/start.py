"""The command that starts a site file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import SiteFile, say


def new(
    site: SiteFile,
    *,
    place: Annotated[str, typer.Option(help="Id or path of the rule set.")] = "alder-ferry",
    units: Annotated[str, typer.Option(help="Unit of coordinates: ft or m.")] = "ft",
    drawing: Annotated[
        str | None, typer.Option(help="A DXF, GeoJSON, GeoPackage or Shapefile to start from.")
    ] = None,
    title: Annotated[str, typer.Option(help="Name of the project.")] = "My lot",
    parts: Annotated[
        list[str] | None,
        typer.Option(
            "--with",
            metavar="PART",
            help="Start with a section, drain-line or dry-well too; several allowed.",
        ),
    ] = None,
) -> None:
    """Write a commented site file that checks at once."""
    from checker import api
    from checker.files.editor_line import schema_hint

    path, told = api.new_site(
        Path(site),
        title=title,
        place=place,
        units=units,
        drawing=Path(drawing) if drawing else None,
        parts=parts or (),
    )
    name = path.as_posix()
    say("\n".join((f"Written: {name}", *told, schema_hint("site"), f"Next: soakline check {name}")))


def materials() -> None:
    """List the materials that a site file may name, and what each means."""
    from checker import api

    say(api.materials_listing())
