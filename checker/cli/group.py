"""Groups whose commands are imported and built when they are called, not before."""

from __future__ import annotations

from collections.abc import Iterator, MutableMapping
from importlib import import_module
from typing import TYPE_CHECKING, Any, ClassVar

import typer
from typer.core import TyperGroup
from typer.main import get_command

from checker.cli.as_typed import AsTyped, TextCommand
from checker.cli.table import COMMANDS, RULES, RULES_HELP, Entry

if TYPE_CHECKING:
    from collections.abc import Callable

SETTINGS = {"max_content_width": 80}


class _Commands(MutableMapping[str, Any]):
    """The commands of a table by name; each is built when it is first asked for."""

    def __init__(self, table: tuple[Entry, ...]) -> None:
        self._entries = {entry.name: entry for entry in table}
        self._built: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:  # noqa: ANN401 - typer's own commands
        if name not in self._built:
            self._built[name] = _built(self._entries[name])
        return self._built[name]

    def __setitem__(self, name: str, command: Any) -> None:  # noqa: ANN401 - typer's own commands
        self._built[name] = command

    def __delitem__(self, name: str) -> None:
        del self._built[name]

    def __iter__(self) -> Iterator[str]:
        yield from self._entries
        yield from (name for name in self._built if name not in self._entries)

    def __len__(self) -> int:
        return len(self._entries.keys() | self._built.keys())


def _built(entry: Entry) -> Any:  # noqa: ANN401 - typer's own commands
    function: Callable[..., Any] = getattr(
        import_module(f"checker.cli.{entry.module}"), entry.function
    )
    app = typer.Typer(add_completion=False, rich_markup_mode=None)
    app.command(entry.name, cls=TextCommand, short_help=entry.help, context_settings=SETTINGS)(
        function
    )
    return get_command(app)


class TableGroup(AsTyped, TyperGroup):
    """A group made from a table of commands."""

    table: ClassVar[tuple[Entry, ...]] = COMMANDS

    def __init__(self, **settings: Any) -> None:  # noqa: ANN401 - typer's own
        super().__init__(**settings)
        more = self.commands
        self.commands = _Commands(self.table)
        self.commands.update(more)

    def list_commands(self, ctx: Any) -> list[str]:  # noqa: ANN401, ARG002 - typer's own
        """The names of the commands, none of them built."""
        return list(self.commands)

    def format_commands(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - typer's own
        """List the commands from the table, without importing them."""
        known = {entry.name: entry.help for entry in self.table}
        rows = [
            (name, known[name] if name in known else self.commands[name].get_short_help_str())
            for name in self.list_commands(ctx)
        ]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


class _RulesGroup(TableGroup):
    """The commands below `soakline rules`."""

    table = RULES


def application() -> Any:  # noqa: ANN401 - typer's own commands
    """The whole command line, with shell completion, built from the tables."""
    app = _group(TableGroup, "Score lots and their paving against editable rules, and say why.")
    app.add_typer(_group(_RulesGroup, RULES_HELP), name="rules")
    return get_command(app)


def _group(cls: type[TableGroup], text: str) -> typer.Typer:
    """A group that prints its help when no command is named."""
    app = typer.Typer(
        cls=cls,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings=SETTINGS,
        invoke_without_command=True,
        help=text,
    )

    @app.callback()
    def _(context: typer.Context) -> None:
        if context.invoked_subcommand is None:
            typer.echo(context.get_help())

    return app
