"""What the README shows is what comes out."""

from __future__ import annotations

from pathlib import Path

from checker import api
from checker.cli.table import COMMANDS, RULES
from checker.findings.checked import Checked
from checker.papers.terminal import answer_text
from checker.papers.writing import reports_of
from tests.readme_commands import SUITE, commands

README = Path("README.md")
SITE = Path("samples/osier-after/site.yaml")


def checked() -> Checked:
    site = api.load_site(SITE)
    return api.check(site, api.load_ruleset_for(site))


def test_the_verdict_it_prints_is_current() -> None:
    shown = README.read_text(encoding="utf-8").split("```text\n")[1].split("\n```")[0]
    assert shown == answer_text(checked()).rstrip()


def test_the_plan_it_shows_is_current() -> None:
    assert (
        SITE.with_name("plan.svg").read_text(encoding="utf-8") == reports_of(checked())["plan.svg"]
    )


def test_every_command_it_names_is_there() -> None:
    text = README.read_text(encoding="utf-8")
    named = {
        part.split()[0].rstrip("`") for part in text.split("soakline ")[1:] if part[0].islower()
    }
    known = {entry.name for entry in COMMANDS}
    assert known <= named
    rules = {part.split()[0] for part in text.split("soakline rules ")[1:]}
    assert {entry.name for entry in RULES} - rules <= {"list"}


def test_its_first_two_blocks_are_one_command_each() -> None:
    blocks = README.read_text(encoding="utf-8").split("```sh\n")[1:3]
    assert [len(block.split("```")[0].strip().splitlines()) for block in blocks] == [1, 1]
    assert "soakline check" in commands(README.read_text(encoding="utf-8"))


def test_only_the_line_that_runs_the_suite_is_left_out() -> None:
    text = README.read_text(encoding="utf-8")
    assert f"```sh\n{SUITE}```" in text
    assert SUITE not in commands(text)
    assert commands(text).count("```") == 0
    kept = [line for line in commands(text).splitlines() if line]
    everything = [
        line for block in text.split("```sh\n")[1:] for line in block.split("\n```")[0].splitlines()
    ]
    assert [line for line in everything if line and line != SUITE.strip()] == kept
