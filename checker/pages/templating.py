"""Pages by templates: the standard ones, or those of an office or firm built upon them.

Templates place the blocks of a page and nothing else; every word and number is in the blocks.
Whatever they write is escaped. A folder of one's own is read in a sandbox, together with the
standard templates that it extends: it sees the page and nothing of the program, and writes within
the frame that the standard page keeps.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import jinja2
from markupsafe import Markup

from checker.core.markdown import escape as markdown_escape
from checker.core.markdown import table_lines
from checker.core.problems import BadInput, Place, Problem
from checker.core.records import Record
from checker.pages.blocks import (
    Chip,
    Fold,
    Gauge,
    Picture,
    Section,
    SectionLink,
    Strong,
    kind_of,
    short_folds,
)
from checker.pages.gauge import BLOCKS, gauge_line, gauge_svg

if TYPE_CHECKING:
    from collections.abc import Mapping

    from checker.pages.blocks import Inline, Page, Table, TableCell

STANDARD: Final = Path(__file__).with_name("templates")
_WRONG: Final = (jinja2.TemplateError, RecursionError, ArithmeticError, LookupError, TypeError,
                 ValueError)  # fmt: skip
"""What a template can be wrong in."""

MOST_BYTES: Final = 200_000
"""A template of one's own is a page of text, no data."""


class PageContext(Record, kw_only=True):
    """All that a template may read.

    Attributes:
        page: Title, blocks above, sections, blocks below.
        mark: By which the program knows its own files again.
        policy: What keeps a page from loading or running anything; empty for Markdown.
        style: The style sheet; empty for Markdown.
    """

    page: Page
    mark: str
    policy: str = ""
    style: str = ""


def written(name: str, context: PageContext, folder: Path | None = None) -> str:
    """A page by its template.

    Args:
        name: page.html or page.md.
        context: What it reads.
        folder: Where a template of one's own lies; the standard one where it has none of the name.

    Raises:
        BadInput: The folder has no template, or one that cannot be used.
    """
    own = folder is not None and _is_own(folder, name)
    try:
        template = (
            _sandbox(folder).get_template(name)
            if own and folder
            else _plain().get_template(f"standard/{name}")
        )
        text = template.render(
            page=context.page,
            mark=Markup(context.mark),
            policy=Markup(context.policy),
            style=Markup(context.style),
        )
    except jinja2.TemplateSyntaxError as error:
        raise _refused(folder, error.name or name, error.message or "", error.lineno) from error
    except jinja2.TemplateNotFound as error:
        raise _refused(
            folder, name, f"there is no template '{error.name}' in the folder"
        ) from error
    except _WRONG as error:
        if not own:
            raise
        raise _refused(folder, name, str(error), _line(error, folder)) from error
    if context.mark not in text[: len(context.mark) + 600] or context.policy not in text:
        says = f'it leaves the frame of the page; begin it with {{% extends "standard/{name}" %}}'
        raise _refused(folder, name, says)
    return text.rstrip() + "\n"


def templates_in(folder: Path) -> list[str]:
    """The names of the templates in a folder.

    Raises:
        BadInput: There is none.
    """
    found = [known for known in ("page.html", "page.md") if (folder / known).is_file()]
    if not found:
        says = "holds neither 'page.html' nor 'page.md'"
        raise BadInput("the template cannot be used", [Problem(Place(folder.as_posix()), says)])
    return found


def _is_own(folder: Path, name: str) -> bool:
    """Whether a folder has the template; one without any template is refused."""
    found = templates_in(folder)
    if name in found and (folder / name).stat().st_size > MOST_BYTES:
        raise _refused(folder, name, f"it is larger than {MOST_BYTES // 1000} kB")
    return name in found


def _refused(folder: Path | None, name: str, says: str, line: int | None = None) -> BadInput:
    place = Place((folder / name).as_posix() if folder else name, line or 0)
    return BadInput("the template cannot be used", [Problem(place, says)])


def _line(error: BaseException, folder: Path | None) -> int | None:
    """The line of the template in which an error came up."""
    trace, found = error.__traceback__, None
    while trace is not None:
        if Path(trace.tb_frame.f_code.co_filename).parent == folder:
            found = trace.tb_lineno
        trace = trace.tb_next
    return found


@cache
def _plain() -> jinja2.Environment:
    """What the standard pages alone are written in."""
    return _environment(jinja2.Environment, (STANDARD,), _compiled())


def _sandbox(folder: Path) -> jinja2.Environment:
    """What pages by templates of a folder are written in."""
    from jinja2.exceptions import SecurityError
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    class Sandbox(ImmutableSandboxedEnvironment):
        """Templates place texts: they reckon nothing, so that none can grow without bound."""

        intercepted_binops = frozenset({"*", "**", "%"})

        def call_binop(self, context: object, operator: str, left: object, right: object) -> object:
            """Refuse what makes large things of small ones."""
            del context, left, right
            raise SecurityError(f"templates do not reckon: '{operator}'")

    return _environment(Sandbox, (folder, STANDARD), None)


def _environment(
    kind: type[jinja2.Environment], folders: tuple[Path, ...], compiled: jinja2.BytecodeCache | None
) -> jinja2.Environment:
    made = kind(
        loader=jinja2.FileSystemLoader(folders),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=compiled,
        auto_reload=False,
    )
    made.globals.clear()
    made.filters = {name: made.filters[name] for name in _KEPT} | dict(_FILTERS)
    return made


def _compiled() -> jinja2.BytecodeCache | None:
    """Compiled templates lie beside the compiled modules, where these may be written at all."""
    place = STANDARD / "__pycache__"
    try:
        place.mkdir(exist_ok=True)
    except OSError:
        return None
    if not os.access(place, os.W_OK):
        return None
    return jinja2.FileSystemBytecodeCache(str(place), "standard-%s.cache")


def _md(run: Inline) -> Markup:
    """A run or a text as Markdown that shows as it is."""
    match run:
        case Strong(text=text):
            lead, trail = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
            shown = f"{lead}**{markdown_escape(text.strip())}**{trail}"
        case SectionLink(text=text):
            shown = markdown_escape(text)
        case Chip(sign=sign, word=word):
            shown = f"**{markdown_escape(sign)} {markdown_escape(word)}**"
        case _:
            shown = markdown_escape(str(run))
    return Markup(shown)


def _md_table(table: Table) -> Markup:
    def cells(row: tuple[TableCell, ...]) -> list[str]:
        found = [str(_md(cell)) for cell in row]
        return [f"**{cell}**" if cell else "" for cell in found] if kind_of(row) else found

    heads = [markdown_escape(column.title) for column in table.columns]
    right = [index for index, column in enumerate(table.columns) if column.is_number]
    lines = table_lines(heads, [cells(row) for row in table.rows], right)
    return Markup("\n".join(lines))


_KEPT: Final = ("default", "e", "escape", "first", "join", "last", "length", "lower", "title",
                "trim", "upper")  # fmt: skip
"""Filters of the library that a template may use: none that trusts a text, none that pads one."""

_FILTERS: Final[Mapping[str, Any]] = {
    "kind": lambda item: type(item).__name__,
    "row_kind": kind_of,
    "drawing": lambda picture: Markup(picture.svg) if isinstance(picture, Picture) else "",
    "bar": lambda gauge: Markup(gauge_svg(gauge)) if isinstance(gauge, Gauge) else "",
    "bar_line": lambda gauge: Markup(gauge_line(gauge, 40, BLOCKS)),
    "folded": short_folds,
    "listed": lambda blocks: [b for b in blocks if isinstance(b, Section | Fold) and b.id],
    "marks": lambda level: "#" * min(level, 6),
    "md": _md,
    "md_table": _md_table,
}
