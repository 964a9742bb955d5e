"""Commands on the pavement: its sections, what to order, an infiltration test."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from checker.cli.speaking import SiteFile, checked, say

if TYPE_CHECKING:
    from checker.core.units import System


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
        typer.Option(metavar="FILE", help="Your table of sizes, prices and hours of labour."),
    ] = None,
    units: Annotated[
        str | None, typer.Option(metavar="UNITS", help="us or metric; else those of the place.")
    ] = None,
    csv_file: Annotated[
        str | None,
        typer.Option("--csv", metavar="FILE", help="Write the take-off to this file, too."),
    ] = None,
    xlsx_file: Annotated[
        str | None,
        typer.Option("--xlsx", metavar="FILE", help="Write it as a workbook, too."),
    ] = None,
) -> None:
    """List the order of the whole job, from demolition to restored ground."""
    from checker import api

    system = _system(units)
    for option, name, ending in (("--csv", csv_file, ".csv"), ("--xlsx", xlsx_file, ".xlsx")):
        if name is not None and Path(name).suffix.lower() in {".csv", ".xlsx"} - {ending}:
            raise typer.BadParameter(f"'{option}' writes {ending}: end '{name}' so")
    result, sizes = checked(site), Path(order_sizes) if order_sizes else None
    table, csv = api.take_off(result, sizes, system)
    say(table.lstrip("\n"))
    if csv_file is not None or xlsx_file is not None:
        from checker.files.saving import save
        from checker.papers.takeoff import CSV_HEAD

        if csv_file is not None:
            say(f"\nWritten: {save(Path(csv_file), csv, CSV_HEAD).as_posix()}")
        if xlsx_file is not None:
            book = api.take_off_workbook(result, sizes, system)
            say(f"\nWritten: {save(Path(xlsx_file), book).as_posix()}")


def _system(units: str | None) -> System | None:
    if units is None or units == "us":
        return "us" if units else None
    if units == "metric":
        return "metric"
    raise typer.BadParameter(f"'{units}' is neither us nor metric")


def ring_test(
    *,
    water: Annotated[str, typer.Option(help="Water poured, e.g. '40 lb' or '18 kg'.")],
    time: Annotated[str, typer.Option(help="Until the surface was free of water, e.g. '75 s'.")],
    ring: Annotated[str, typer.Option(help="Inside diameter of the ring.")] = "12 in",
    area: Annotated[
        str | None, typer.Option(help="Area of the paving, for the number of places to test.")
    ] = None,
    prewet: Annotated[
        str | None, typer.Option(help="How long the pre-wetting took, for the water to pour.")
    ] = None,
) -> int:
    """Rate of a surface from one infiltration test (ASTM C1701 and C1781)."""
    from checker.words.upkeep import ring_test_text

    text, holds = ring_test_text(water, ring, time, area, prewet)
    say(text)
    return 0 if holds else 1
