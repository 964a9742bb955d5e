"""Commands on rule sets, below `soakline rules`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from checker.cli.speaking import say

RuleSetName = Annotated[str, typer.Argument(help="Id or path of a rule set.", show_default=False)]


def list_rules() -> None:
    """List the places and models that come with the program."""
    from checker import api

    say(api.listing())


def show(
    ruleset: RuleSetName,
    *,
    page: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write a page to be signed: .html, .md, .pdf or .docx."),
    ] = None,
) -> None:
    """Say in English what a rule set (an id or a path) asks."""
    from checker import api

    if page is not None:
        from checker.papers.page_file import refuse_other_kinds

        refuse_other_kinds(Path(page))
    read = api.load_ruleset(ruleset)
    if page is None:
        say(api.describe_ruleset(read))
    else:
        say(f"Written: {api.write_place(read, Path(page)).as_posix()}")


def test(
    rulesets: Annotated[
        list[str] | None,
        typer.Argument(help="Ids or paths of rule sets; all if none.", show_default=False),
    ] = None,
    *,
    watch: Annotated[
        bool, typer.Option("--watch", help="Run again whenever a file is saved, until Ctrl-C.")
    ] = False,
) -> int:
    """Run the worked examples of rule sets; of all that come along when none is named."""
    from checker import api

    names = rulesets or [*api.models(), *api.places()]
    if not watch:
        return _tried(names)
    from checker.core.problems import CheckerError

    for _ in api.saves_of(names):
        try:
            _tried(names)
        except CheckerError as wrong:
            say(str(wrong))
        say("Waiting for the next save; Ctrl-C ends.")
    return 0


def _tried(names: list[str]) -> int:
    from checker import api

    failed = 0
    for name in names:
        ruleset = api.load_ruleset(name)
        tried = api.try_examples(ruleset)
        wrong = [item for item in tried if not item.holds]
        failed += len(wrong)
        say(f"{name}: {len(tried) - len(wrong)} of {len(tried)} examples hold")
        for item in wrong:
            say(f"  {item.example.place}: {item.of}: {item.example.name}")
            for line in (*item.differences, *item.problems):
                say(f"    {line}")
        for remark in api.remarks(ruleset):
            say(f"  {remark}")
    return 1 if failed else 0


def compare(
    old: RuleSetName,
    new: RuleSetName,
    *,
    site_file: Annotated[
        str | None, typer.Option("--site", metavar="SITE", help="Judge this site under both.")
    ] = None,
) -> None:
    """Compare two versions of a rule set, rule by rule."""
    from checker import api

    before, after = api.load_ruleset(old), api.load_ruleset(new)
    say(api.compare_rulesets(before, after))
    if site_file is not None:
        say(api.rescore(api.load_site(Path(site_file)), before, after))


def schema(
    kind: Annotated[str, typer.Argument(help="The kind of file: ruleset, site, ...")] = "ruleset",
    *,
    of: Annotated[
        str | None,
        typer.Option(metavar="RULESET", help="Check the names of this rule set as well."),
    ] = None,
    write: Annotated[
        str | None, typer.Option(metavar="FILE", help="Write it to this file, for an editor.")
    ] = None,
) -> None:
    """Print or write the JSON Schema of a kind of file, for editors that complete and check."""
    import json

    from checker import api

    ruleset = api.load_ruleset(of) if of else None
    if write is None:
        say(json.dumps(api.json_schema(kind, ruleset), indent=1, sort_keys=True))
    else:
        say(f"Written: {api.write_schema(kind, Path(write), ruleset).as_posix()}")
