"""The command that opens the drawing board."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import SiteFile, say


def draw(
    site: SiteFile,
    *,
    port: Annotated[
        int,
        typer.Option(
            metavar="PORT", min=0, max=65535, help="Port of the page; 0 takes a free one."
        ),
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only say where the page is.")
    ] = False,
) -> None:
    """Open a site on a drawing board in the browser; a file that is not there is begun."""
    from checker import api
    from checker.board.serve import serve

    path = Path(site)
    if not path.exists():
        api.empty_site(path)
    serve(path, say, port=port, opens=not no_browser)
