"""Commands on the pavement: its sections, what to order, an infiltration test."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import SiteFile, checked, say


def sections(
    site: SiteFile,
    *,
    out: Annotated[
        str | None, typer.Option(metavar="FOLDER", help="Folder for a drawing of each section.")
    ] = None,
) -> None:
    """Show the pavement sections: courses, filters, departures, take-off, upkeep."""
    from checker import api

    result = checked(site)
    say(api.sections_text(result))
    if out is not None:
        for path in api.write_pages(api.section_drawings(result), Path(out)):
            say(f"Written: {path.as_posix()}")


def takeoff(
    site: SiteFile,
    *,
    order_sizes: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Your table of truck and pallet sizes, and prices."),
    ] = None,
    csv_file: Annotated[
        str | None,
        typer.Option("--csv", metavar="FILE", help="Write the take-off to this file, too."),
    ] = None,
) -> None:
    """List what the new paving needs, and what to order in whole trucks and pallets."""
    from checker import api

    table, csv = api.take_off(checked(site), Path(order_sizes) if order_sizes else None)
    say(table)
    if csv_file is not None:
        from checker.files.saving import save
        from checker.papers.takeoff import CSV_HEAD

        say(f"\nWritten: {save(Path(csv_file), csv, CSV_HEAD).as_posix()}")


def ring_test(
    *,
    water: Annotated[str, typer.Option(help="Water poured, e.g. '40 lb' or '18 kg'.")],
    time: Annotated[str, typer.Option(help="Until the surface was free of water, e.g. '75 s'.")],
    ring: Annotated[str, typer.Option(help="Inside diameter of the ring.")] = "12 in",
    area: Annotated[
        str | None, typer.Option(help="Area of the paving, for the number of places to test.")
    ] = None,
) -> int:
    """Rate of a surface from one infiltration test (ASTM C1701 and C1781)."""
    from checker.words.upkeep import ring_test_text

    text, holds = ring_test_text(water, ring, time, area)
    say(text)
    return 0 if holds else 1
