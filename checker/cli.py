"""The command line: reads arguments, calls `api`, prints, exits. Nothing else prints or exits.

Exit codes: 0 every rule is met, 1 something fails or cannot be told, 2 the input is wrong,
3 our own mistake.
"""

from __future__ import annotations

import contextlib
import gc
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from checker.core.problems import CheckerError, harmless

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from checker.findings.checked import Checked

_WIDE = {"max_content_width": 80}


@click.group(context_settings=_WIDE)
def app() -> None:
    """Score lots and their paving against editable coverage and drainage rules."""


@app.group()
def rules() -> None:
    """List, show, test and compare rule sets."""


def say(text: str, *, is_error: bool = False) -> None:
    """Print a text; what the terminal cannot show, or would obey, is replaced."""
    encoding = (sys.stderr if is_error else sys.stdout).encoding or "utf-8"
    plain = "\n".join(map(harmless, text.split("\n")))
    click.echo(plain.encode(encoding, "replace").decode(encoding), err=is_error)


def checked(site_file: str, place: str = "") -> Checked:
    """Load a site and its rule set and judge it."""
    from checker import api

    site = api.load_site(Path(site_file))
    ruleset = api.load_ruleset(place) if place else api.load_ruleset_for(site)
    return api.check(site, ruleset)


@app.command(short_help="Judge a site and write the report.")
@click.argument("site_file", metavar="SITE")
@click.option("--place", default="", help="Judge under this rule set instead: an id or a path.")
@click.option("--out", default="soakline-report", help="Folder for the pages.", show_default=True)
@click.option("--allow-unknown", is_flag=True, help="Rules that cannot be told are no failures.")
@click.option("--no-report", is_flag=True, help="Print the verdict only.")
def check(site_file: str, place: str, out: str, *, allow_unknown: bool, no_report: bool) -> int:
    """Judge a site: print the verdict, write report.html, report.md, findings.json."""
    from checker.papers.terminal import verdict_table

    result = checked(site_file, place)
    say(verdict_table(result))
    if not no_report:
        from checker.papers.writing import write_reports

        written = write_reports(result, Path(out))
        say(f"\nWritten to {Path(out).as_posix()}: {', '.join(path.name for path in written)}")
    allowed = {"cannot tell"} if allow_unknown else set()
    bad = [f for f in result.verdict.findings if not f.is_met and f.status not in allowed]
    return 1 if bad else 0


@app.command(short_help="Show the pavement sections and their checks.")
@click.argument("site_file", metavar="SITE")
@click.option("--out", help="Folder for a drawing of each section.")
def sections(site_file: str, out: str | None) -> None:
    """Show the pavement sections: courses, filters, departures, take-off, upkeep."""
    from checker import api

    result = checked(site_file)
    say(api.sections_text(result))
    if out is not None:
        from checker.files.saving import save

        for name, drawing in api.section_drawings(result).items():
            path = save(Path(out) / name, drawing + "\n", may_replace=True)
            say(f"Written: {path.as_posix()}")


@app.command(short_help="Follow the water; block every way out in turn.")
@click.argument("site_file", metavar="SITE")
def drainage(site_file: str) -> None:
    """Show the drainage: areas, drains, stores, what if blocked, sizes, every step."""
    from checker import api

    say(api.drainage_text(checked(site_file)))


@app.command(short_help="List what to order for the new paving.")
@click.argument("site_file", metavar="SITE")
@click.option("--order-sizes", help="Your table of truck and pallet sizes, and prices.")
@click.option("--csv", "csv_file", help="Write the take-off to this file, too.")
def takeoff(site_file: str, order_sizes: str | None, csv_file: str | None) -> None:
    """List what the new paving needs, and what to order in whole trucks and pallets."""
    from checker import api

    table, csv = api.take_off(checked(site_file), Path(order_sizes) if order_sizes else None)
    say(table)
    if csv_file is not None:
        from checker.files.saving import save

        say(f"\nWritten: {save(Path(csv_file), csv, may_replace=True).as_posix()}")


@app.command("ring-test", short_help="Reckon an infiltration test of a surface.")
@click.option("--water", required=True, help="Water poured, e.g. '40 lb' or '18 kg'.")
@click.option("--ring", default="12 in", help="Inside diameter of the ring.", show_default=True)
@click.option("--time", required=True, help="Until the surface was free of water, e.g. '75 s'.")
@click.option("--area", help="Area of the paving, for the number of places to test.")
def ring_test(water: str, ring: str, time: str, area: str | None) -> int:
    """Rate of a surface from one infiltration test (ASTM C1701 and C1781)."""
    from checker.words.upkeep import ring_test_text

    text, holds = ring_test_text(water, ring, time, area)
    say(text)
    return 0 if holds else 1


@app.command(short_help="Write a site file to start from.")
@click.argument("site_file", metavar="SITE")
@click.option("--place", default="alder-ferry", help="Id or path of the rule set.")
@click.option("--units", default="ft", help="Unit of coordinates: ft or m.", show_default=True)
@click.option("--drawing", help="A DXF, GeoJSON, GeoPackage or Shapefile to start from.")
@click.option("--title", default="My lot", help="Name of the project.")
def new(site_file: str, place: str, units: str, drawing: str | None, title: str) -> None:
    """Write a commented site file that checks at once."""
    from checker import api

    path = api.new_site(
        Path(site_file),
        title=title,
        place=place,
        units=units,
        drawing=Path(drawing) if drawing else None,
    )
    say(f"Written: {path.as_posix()}\nNext: soakline check {path.as_posix()}")


@app.command(short_help="Find the least that must change, with proof.")
@click.argument("site_file", metavar="SITE")
@click.option("--place", default="", help="Judge under this rule set instead: an id or a path.")
@click.option("--out", help="Folder for change.md, change.json and change.svg.")
@click.option("--draw", default="", help="Which option to draw, by its key; the best one if empty.")
@click.option("--write", "drawn", help="Write the site file with the option drawn into it.")
def change(site_file: str, place: str, out: str | None, draw: str, drawn: str | None) -> int:
    """Find the least that must change so that the rules are met, with proof."""
    from checker import api
    from checker.files.saving import save
    from checker.papers.change import text_of

    options = api.least_change(checked(site_file, place))
    say(text_of(options))
    if out is not None:
        pages = api.change_pages(options)
        for name, page in pages.items():
            save(Path(out) / name, page, may_replace=True)
        say(f"\nWritten to {Path(out).as_posix()}: {', '.join(pages)}")
    if drawn is not None:
        save(Path(drawn), api.option_text(options, draw))
        say(f"\nWritten: {Path(drawn).as_posix()}")
    return 0 if options.best is not None else 1


@app.command(short_help="Hold designs or revisions side by side.")
@click.argument("site_files", metavar="SITE SITE...", nargs=-1, required=True)
@click.option("--place", default="", help="Judge all under this rule set.")
def compare(site_files: Sequence[str], place: str) -> None:
    """Hold designs of one lot, or revisions of a design, side by side."""
    from checker import api
    from checker.papers.comparison import markdown_of

    if len(site_files) < 2:
        raise click.UsageError("name two site files or more")
    designs = [checked(name, place) for name in site_files]
    say(markdown_of(api.compare_designs(designs, list(site_files))))


@app.command(short_help="See what hangs on unclear rules.")
@click.argument("site_file", metavar="SITE")
@click.option("--place", default="", help="Judge under this rule set instead: an id or a path.")
def sensitivity(site_file: str, place: str) -> None:
    """Show the verdict under every way to count pool water, paving and decks."""
    from checker import api
    from checker.papers.sensitivity import markdown_of

    say(markdown_of(api.sensitivity(checked(site_file, place))))


@app.command(short_help="Write the permit packet.")
@click.argument("site_file", metavar="SITE")
@click.option("--place", default="", help="Judge under this rule set instead: an id or a path.")
@click.option("--out", default="soakline-packet", help="Folder to write.", show_default=True)
@click.option("--date", "day", help="Date on every page, YYYY-MM-DD; none if not given.")
@click.option("--sheet", default="", help="letter, tabloid or arch-d; else what the place takes.")
@click.option("--previous", help="The site file of the revision before, for the resubmittal kit.")
@click.option("--built", help="The site file as built, for the closing set.")
@click.option("--overwrite", is_flag=True, help="Replace a packet that is there.")
@click.option("--split", is_flag=True, help="Also one PDF for each document and sheet.")
@click.option("--only-when-ready", is_flag=True, help="Write nothing while something is missing.")
def packet(  # noqa: PLR0913 - what a person may choose, each by name
    site_file: str,
    place: str,
    out: str,
    day: str | None,
    sheet: str,
    previous: str | None,
    built: str | None,
    *,
    overwrite: bool,
    split: bool,
    only_when_ready: bool,
) -> int:
    """Write the permit packet: what an office asks for, in one folder."""
    from checker import api

    written = api.packet(
        checked(site_file, place),
        Path(out),
        date=_day(day),
        sheet_size=sheet,
        previous=checked(previous, place) if previous else None,
        built=checked(built, place) if built else None,
        overwrite=overwrite,
        split=split or None,
        only_when_ready=only_when_ready,
        progress=_progress,
    )
    for stop in written.preflight.stops:
        say(f"missing: {stop.what}: {stop.says}")
    say(f"Written to {written.folder.as_posix()}:")
    for name in written.files:
        say(f"  {name}")
    return 0 if written.preflight.is_ready else 1


def _progress(done: int, total: int, what: str) -> None:
    """Tell a person who waits; nothing where the output is kept."""
    if sys.stderr.isatty():
        click.echo(f"\r\033[K{done} of {total}: {what}", nl=done == total, err=True)


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    from checker.core.answers import day_of

    day = day_of(text)
    if day is None:
        raise click.UsageError(f"'{text}' is no day: write it as YYYY-MM-DD")
    return day


@rules.command("list")
def list_rules() -> None:
    """List the places and models that come with the program."""
    from checker import api

    say(api.listing())


@rules.command("show")
@click.argument("ruleset")
def show_rules(ruleset: str) -> None:
    """Say in English what a rule set (an id or a path) asks."""
    from checker import api

    say(api.describe_ruleset(api.load_ruleset(ruleset)))


@rules.command("test")
@click.argument("rulesets", nargs=-1)
def try_rules(rulesets: Sequence[str]) -> int:
    """Run the worked examples of rule sets; of all that come along when none is named."""
    from checker import api

    failed = 0
    for name in rulesets or [*api.models(), *api.places()]:
        tried = api.try_examples(api.load_ruleset(name))
        wrong = [item for item in tried if not item.holds]
        failed += len(wrong)
        say(f"{name}: {len(tried) - len(wrong)} of {len(tried)} examples hold")
        for item in wrong:
            say(f"  {item.example.place}: {item.of}: {item.example.name}")
            for difference in item.differences:
                say(f"    {difference}")
    return 1 if failed else 0


@rules.command("compare")
@click.argument("old")
@click.argument("new_", metavar="NEW")
@click.option("--site", "site_file", help="Judge this site under both.")
def compare_rules(old: str, new_: str, site_file: str | None) -> None:
    """Compare two versions of a rule set, rule by rule."""
    from checker import api

    before, after = api.load_ruleset(old), api.load_ruleset(new_)
    say(api.compare_rulesets(before, after))
    if site_file is not None:
        say(api.rescore(api.load_site(Path(site_file)), before, after))


@rules.command("schema")
@click.argument("kind", default="ruleset")
def schema(kind: str) -> None:
    """Print the JSON Schema of a kind of file, for editors that complete and check."""
    import json

    from checker import api

    say(json.dumps(api.json_schema(kind), indent=2, sort_keys=True))


def run(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code; no input ends in a traceback."""
    try:
        code = app(args=arguments, prog_name="soakline", standalone_mode=False)
    except CheckerError as wrong:
        say(str(wrong), is_error=True)
        return 2
    except click.ClickException as wrong:
        context = getattr(wrong, "ctx", None)
        usage = f"{context.get_usage()}\n" if context else ""
        say(f"{usage}Error: {wrong.format_message()}", is_error=True)
        return 2
    except (click.Abort, KeyboardInterrupt):
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception:
        import traceback

        traceback.print_exc()
        click.echo("This is a mistake of Soakline, not of your files. Please report it.", err=True)
        return 3
    return int(code or 0)


def main() -> None:
    """The `soakline` command."""
    # It lives a fraction of a second: collecting costs more than the memory it frees.
    gc.disable()
    # Importing numpy starts a linear algebra thread on each core, which nothing here waits for.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    code = run()
    with contextlib.suppress(OSError, ValueError):
        sys.stdout.flush()
        sys.stderr.flush()
    # For the same reason it does not tidy up either: everything has been written and flushed.
    os._exit(code)
