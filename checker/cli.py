"""The command line: reads arguments, calls `api`, prints, exits. Nothing else prints or exits.

Exit codes: 0 every rule is met, 1 something fails or cannot be told, 2 the input is wrong,
3 our own mistake.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from checker.core.problems import CheckerError

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.findings.checked import Checked

SiteFile = Annotated[
    Path, typer.Argument(metavar="SITE", help="The site file.", show_default=False)
]
Place = Annotated[
    str,
    typer.Option("--place", help="Judge under this rule set instead: an id or a path."),
]
Folder = Annotated[Path, typer.Option("--out", help="The folder for what is written.")]

app = typer.Typer(
    name="soakline",
    help="Scores lots and their paving against editable coverage and drainage rules.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
rules_app = typer.Typer(help="List, show, test and compare rule sets.", no_args_is_help=True)
app.add_typer(rules_app, name="rules")


def say(text: str) -> None:
    """Print a text; characters that the terminal cannot show are replaced."""
    encoding = sys.stdout.encoding or "utf-8"
    typer.echo(text.encode(encoding, "replace").decode(encoding))


def checked(site_file: Path, place: str = "") -> Checked:
    """Load a site and its rule set and judge it."""
    from checker import api

    site = api.load_site(site_file)
    ruleset = api.load_ruleset(place) if place else api.load_ruleset_for(site)
    return api.check(site, ruleset)


@app.command()
def check(
    site_file: SiteFile,
    place: Place = "",
    out: Folder = Path("soakline-report"),
    allow_unknown: Annotated[
        bool,
        typer.Option("--allow-unknown", help="Do not count rules that cannot be told as failures."),
    ] = False,
    no_report: Annotated[
        bool, typer.Option("--no-report", help="Print the verdict only, write no files.")
    ] = False,
) -> None:
    """Judge a site: print the verdict and write report.html, report.md and findings.json."""
    from checker.report.text import verdict_table

    result = checked(site_file, place)
    say(verdict_table(result))
    if not no_report:
        from checker.report.render import write_reports

        written = write_reports(result, out)
        say("")
        say(f"Written to {out.as_posix()}: {', '.join(path.name for path in written)}")
    allowed = {"cannot tell"} if allow_unknown else set()
    bad = [f for f in result.verdict.findings if not f.is_met and f.status not in allowed]
    raise typer.Exit(1 if bad else 0)


@app.command()
def new(
    site_file: Annotated[
        Path, typer.Argument(metavar="SITE", help="The file to write.", show_default=False)
    ],
    place: Annotated[
        str, typer.Option("--place", help="Id or path of the rule set.")
    ] = "alder-ferry",
    units: Annotated[str, typer.Option("--units", help="Unit of coordinates: ft or m.")] = "ft",
    drawing: Annotated[
        Path | None,
        typer.Option("--drawing", help="A DXF, GeoJSON, GeoPackage or Shapefile to start from."),
    ] = None,
    title: Annotated[str, typer.Option("--title", help="Name of the project.")] = "My lot",
) -> None:
    """Write a commented site file that checks at once."""
    from checker import api

    path = api.new_site(site_file, title=title, place=place, units=units, drawing=drawing)
    say(f"Written: {path.as_posix()}")
    say(f"Next: soakline check {path.as_posix()}")


@rules_app.command("list")
def rules_list() -> None:
    """List the places and models that come with the program."""
    from checker import api

    say(api.listing())


@rules_app.command("show")
def rules_show(
    ruleset: Annotated[str, typer.Argument(metavar="RULESET", help="Id or path of a rule set.")],
) -> None:
    """Say in English what a rule set asks."""
    from checker import api

    say(api.describe_ruleset(api.load_ruleset(ruleset)))


@rules_app.command("test")
def rules_test(
    rulesets: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[RULESET]...", help="Ids or paths; all that come with the program."
        ),
    ] = None,
) -> None:
    """Run the worked examples that rule sets carry."""
    from checker import api

    names = rulesets or [*api.models(), *api.places()]
    failed = 0
    for name in names:
        tried = api.try_examples(api.load_ruleset(name))
        wrong = [item for item in tried if not item.holds]
        failed += len(wrong)
        say(f"{name}: {len(tried) - len(wrong)} of {len(tried)} examples hold")
        for item in wrong:
            say(f"  {item.example.place}: {item.of}: {item.example.name}")
            for difference in item.differences:
                say(f"    {difference}")
    raise typer.Exit(1 if failed else 0)


@rules_app.command("compare")
def rules_compare(
    old: Annotated[str, typer.Argument(metavar="OLD", help="Id or path of the earlier one.")],
    new_: Annotated[str, typer.Argument(metavar="NEW", help="Id or path of the later one.")],
    site_file: Annotated[
        Path | None, typer.Option("--site", help="Judge this site under both.")
    ] = None,
) -> None:
    """Compare two versions of a rule set, rule by rule."""
    from checker import api

    before, after = api.load_ruleset(old), api.load_ruleset(new_)
    say(api.compare_rulesets(before, after))
    if site_file is not None:
        say(api.rescore(api.load_site(site_file), before, after))


@rules_app.command("schema")
def rules_schema(
    kind: Annotated[
        str, typer.Argument(metavar="KIND", help="site, ruleset, table or sources.")
    ] = "ruleset",
) -> None:
    """Print the JSON Schema of a kind of file, for editors that complete and check."""
    import json

    from checker import api

    say(json.dumps(api.json_schema(kind), indent=2, sort_keys=True))


def run(arguments: list[str] | None = None) -> int:
    """Run the command line and return its exit code; no input ends in a traceback."""
    import gc

    # A check lives a fraction of a second: collecting costs more than the memory it frees.
    gc.disable()
    try:
        result: Any = app(args=arguments, standalone_mode=False)
    except CheckerError as wrong:
        typer.echo(str(wrong), err=True)
        return 2
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception as error:
        return _our_fault(error)
    return int(result or 0)


def _our_fault(error: Exception) -> int:
    show: Callable[..., Any] | None = getattr(error, "show", None)
    code = getattr(error, "exit_code", None)
    if show is not None and isinstance(code, int):
        show()
        return 2
    import traceback

    traceback.print_exc()
    typer.echo("This is a mistake of Soakline, not of your files. Please report it.", err=True)
    return 3


def main() -> None:
    """The `soakline` command."""
    sys.exit(run())
