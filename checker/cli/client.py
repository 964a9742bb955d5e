"""The command that writes one page for the client."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import PlaceOption, SiteFile, checked, say


def client(
    site: SiteFile,
    to: Annotated[
        str, typer.Argument(metavar="FILE", help="The page to write: .html, .pdf, .docx or .md.")
    ] = "client.html",
    *,
    place: PlaceOption = "",
    order_sizes: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Your table of sizes, prices and hours, for the cost."),
    ] = None,
) -> None:
    """Write one page for the client: whether it may be built, before and after, cost."""
    from checker import api
    from checker.papers.page_file import refuse_other_kinds

    refuse_other_kinds(Path(to))
    sizes = Path(order_sizes) if order_sizes else None
    say(f"Written: {api.write_client(checked(site, place), Path(to), sizes).as_posix()}")
