"""What the command line brings in at a start, and what shells can complete."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib import import_module

import pytest
import typer
from typer import Context
from typer.core import TyperCommand
from typer.main import get_command

from checker.cli.as_typed import TextCommand
from checker.cli.main import run
from checker.cli.table import COMMANDS, RULES, Entry

LATER = (
    "jinja2",
    "rich",
    "ezdxf",
    "pyogrio",
    "highspy",
    "typst",
    "docx",
    "xlsxwriter",
    "matplotlib",
)
WORDS = "soakline se"


def modules_after(*arguments: str) -> set[str]:
    code = (
        "import sys\nfrom checker.cli.main import run\n"
        f"run({list(arguments)!r})\nprint(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=os.environ
    )
    return set(done.stderr.split())


@pytest.mark.parametrize("arguments", [["--help"], ["rules", "--help"]])
def test_a_list_of_commands_imports_none(arguments: list[str]) -> None:
    there = modules_after(*arguments)
    commands = {f"checker.cli.{entry.module}" for entry in (*COMMANDS, *RULES)}
    assert not commands & there
    assert not {"shapely", "numpy", "yaml", *LATER} & there


def test_a_check_without_pages_imports_what_it_needs_and_no_more() -> None:
    there = modules_after("check", "samples/fernhollow-after/site.yaml", "--no-report")
    commands = {name for name in there if name.startswith("checker.cli.")}
    shared = {f"checker.cli.{name}" for name in ("main", "group", "table", "speaking", "as_typed")}
    assert commands - shared == {"checker.cli.judge"}
    assert "pydantic_core" in there
    assert "pydantic" not in there
    assert not set(LATER) & there


@pytest.mark.parametrize("entry", [*COMMANDS, *RULES], ids=lambda entry: entry.name)
def test_each_command_of_the_table_is_there(entry: Entry) -> None:
    function = getattr(import_module(f"checker.cli.{entry.module}"), entry.function)
    assert (function.__doc__ or "").endswith(".")


@pytest.mark.parametrize("entry", [*COMMANDS, *RULES], ids=lambda entry: entry.name)
def test_values_are_read_as_typer_reads_them(entry: Entry) -> None:
    function = getattr(import_module(f"checker.cli.{entry.module}"), entry.function)
    built = []
    for kind in (TextCommand, TyperCommand):
        app = typer.Typer(add_completion=False)
        app.command(cls=kind)(function)
        command = get_command(app)
        built.append((command, Context(command)))
    (ours, here), (typers, there) = built
    for one, other in zip(ours.get_params(here), typers.get_params(there), strict=True):
        assert one.name == other.name
        values: list[object] = [None, "a text", "", "7", "\N{DEGREE SIGN} 'quoted'"]
        if one.nargs == -1:
            values = [None, (), ("a", "b c"), ("7",)]
        for value in values:
            read = []
            for parameter, context in ((one, here), (other, there)):
                try:
                    read.append(repr(parameter.process_value(context, value)))
                except typer.TyperException as refused:
                    read.append(f"{type(refused).__name__}: {refused.format_message()}")
            assert read[0] == read[1]


@pytest.mark.parametrize(
    ("shell", "environment"),
    [
        ("bash", {"COMP_WORDS": WORDS, "COMP_CWORD": "1"}),
        ("zsh", {"_TYPER_COMPLETE_ARGS": "soakline se"}),
        (
            "fish",
            {"_TYPER_COMPLETE_ARGS": "soakline se", "_TYPER_COMPLETE_FISH_ACTION": "get-args"},
        ),
    ],
)
def test_shells_complete_commands(
    shell: str,
    environment: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("_SOAKLINE_COMPLETE", f"complete_{shell}")
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert run([]) == 0
    printed = capsys.readouterr().out
    assert "sections" in printed
    assert "sensitivity" in printed
    assert "drainage" not in printed
