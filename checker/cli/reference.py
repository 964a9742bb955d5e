"""Commands for looking up: published formulas to reckon with, reference tables to read."""

from __future__ import annotations

from typing import Annotated

import typer

from checker.cli.speaking import say


def reckon(
    calculation: Annotated[
        str | None, typer.Argument(help="Its name; without one, all are listed.")
    ] = None,
    given: Annotated[
        list[str] | None,
        typer.Argument(help="What it asks, e.g. 'rate=1 in/h'; without any, it says what it asks."),
    ] = None,
) -> None:
    """Reckon one published formula: its result in both systems, with source and range."""
    from checker import api

    say(api.reckon(calculation, given or ()))


def tables(
    table: Annotated[
        str | None, typer.Argument(help="Its name; without one, all are listed.")
    ] = None,
) -> None:
    """Show the reference tables: curve numbers, soil rates, roughness, fabrics, setbacks."""
    from checker import api

    say(api.reference_tables(table))
