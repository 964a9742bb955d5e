"""A page of blocks as one HTML file: no scripts, nothing loaded, every text escaped."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, assert_never

from checker.pages import colours
from checker.pages.blocks import (
    Bullets,
    Chip,
    Pairs,
    Picture,
    Section,
    SectionLink,
    Sign,
    Strong,
    Table,
    Text,
    kind_of,
)
from checker.pages.markup import escape

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from checker.pages.blocks import Block, Inline, Page, TableCell

MARK = '<meta name="generator" content="soakline">'
"""Stands in every page, so that the program knows its own files again."""

POLICY = (
    '<meta http-equiv="Content-Security-Policy" '
    "content=\"default-src 'none'; style-src 'unsafe-inline'\">"
)
"""Even if a text got through as markup, nothing may run and nothing may be loaded."""

_SHORT = 24
"""A table of so many rows is kept on one sheet of paper."""

_STYLE = Path(__file__).with_name("page.css")


def html_of(page: Page) -> str:
    """The page as HTML."""
    parts = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        POLICY,
        MARK,
        f"<title>{escape(page.title)}: check of the lot</title>",
        f"<style>\n{_palette()}{_STYLE.read_text(encoding='utf-8')}</style>",
        "</head>",
        "<body>",
        '<a class="skip" href="#main">Skip to the report</a>',
        "<header>",
        f"<h1>{escape(page.title)}</h1>",
        *_blocks(page.above, 2),
        "</header>",
        '<nav aria-label="Contents">',
        "<ul>",
        *(
            f'<li><a href="#{escape(section.id)}">{escape(section.title)}</a></li>'
            for section in page.sections
        ),
        "</ul>",
        "</nav>",
        '<main id="main" tabindex="-1">',
        *_blocks(page.sections, 2),
        "</main>",
        "<footer>",
        *_blocks(page.below, 2),
        "</footer>",
        "</body>",
        "</html>",
    ]
    return "\n".join(parts) + "\n"


def _palette() -> str:
    names = {
        "paper": colours.PAPER,
        "ink": colours.INK,
        "quiet": colours.QUIET,
        "line": colours.LINE,
        "rule": colours.RULE,
        "shade": colours.SHADE,
        "link": colours.LINK,
    } | colours.STATUS
    return f":root{{{';'.join(f'--{name}:{colour}' for name, colour in names.items())}}}\n"


def _blocks(blocks: Iterable[Block], level: int) -> Iterator[str]:
    for block in blocks:
        match block:
            case Text():
                name = f' class="{block.kind}"' if block.kind else ""
                yield f"<p{name}>{_runs(block.runs)}</p>"
            case Bullets():
                yield from _bullets(block)
            case Pairs():
                yield "<dl>"
                for name, value in block.items:
                    yield f"<div><dt>{escape(name)}</dt><dd>{escape(value)}</dd></div>"
                yield "</dl>"
            case Table():
                yield from _table(block)
            case Picture():
                name = escape(block.name)
                yield f'<figure role="group" aria-label="{name}">'
                yield f'<div class="sheet" role="region" aria-label="{name}, drawn" tabindex="0">'
                yield block.svg
                yield "</div>"
                yield f"<figcaption>{escape(block.caption)}</figcaption>"
                yield "</figure>"
            case Sign():
                yield from _sign(block, level)
            case Section():
                yield from _section(block, level)
            case _:
                assert_never(block)


def _section(section: Section, level: int) -> Iterator[str]:
    name = escape(section.id)
    chip = f"{_chip(section.status)} " if section.status else ""
    yield f'<section id="{name}" aria-labelledby="{name}-title">' if name else "<section>"
    own = f' id="{name}-title"' if name else ""
    yield f"<h{level}{own}>{chip}{escape(section.title)}</h{level}>"
    yield from _blocks(section.blocks, level + 1)
    yield "</section>"


def _sign(sign: Sign, level: int) -> Iterator[str]:
    yield f"<h{level}>{escape(sign.title)}</h{level}>"
    yield f"<p>{escape(sign.says)}</p>"
    yield "<dl>"
    for line in (*sign.lines, *(("Seal, by hand",) if sign.has_seal else ())):
        yield f"<div><dt>{escape(line)}</dt><dd>____________________</dd></div>"
    yield "</dl>"


def _bullets(bullets: Bullets) -> Iterator[str]:
    name = f' class="{bullets.kind}"' if bullets.kind else ""
    yield f"<div{name}>"
    if bullets.label:
        yield f"<p><strong>{escape(bullets.label)}</strong></p>"
    kind = "ol" if bullets.is_numbered else "ul"
    yield f"<{kind}>"
    for item in bullets.items:
        yield f"<li>{escape(item)}</li>"
    yield f"</{kind}>"
    yield "</div>"


def _table(table: Table) -> Iterator[str]:
    caption = escape(table.caption)
    kind = "wide short" if len(table.rows) <= _SHORT else "wide"
    yield f'<div class="{kind}" role="region" aria-label="{caption}" tabindex="0">'
    yield "<table>"
    yield f"<caption><span>{caption}</span></caption>"
    heads = (
        f'<th scope="col"{_number(column.is_number)}>{escape(column.title)}</th>'
        for column in table.columns
    )
    yield f"<thead><tr>{''.join(heads)}</tr></thead>"
    yield "<tbody>"
    for row in table.rows:
        kind = kind_of(row)
        name = f' class="{kind}"' if kind else ""
        yield f"<tr{name}>{''.join(_cells(table, row))}</tr>"
    yield "</tbody>"
    yield "</table>"
    yield "</div>"


def _cells(table: Table, row: tuple[TableCell, ...]) -> Iterator[str]:
    for index, (column, cell) in enumerate(zip(table.columns, row, strict=True)):
        text = _run(cell)
        if index == table.header:
            yield f'<th scope="row">{text}</th>'
        else:
            yield f"<td{_number(column.is_number)}>{text}</td>"


def _number(is_number: bool) -> str:  # noqa: FBT001 - one attribute or none
    return ' class="n"' if is_number else ""


def _runs(runs: Iterable[Inline]) -> str:
    return "".join(map(_run, runs))


def _run(run: Inline) -> str:
    match run:
        case str():
            return escape(run)
        case Strong(text=text):
            return f"<strong>{escape(text)}</strong>"
        case SectionLink(text=text, to=to):
            return f'<a href="#{escape(to)}">{escape(text)}</a>'
        case Chip():
            return _chip(run)
        case _:
            assert_never(run)


def _chip(chip: Chip) -> str:
    return (
        f'<span class="chip {escape(chip.key)}"><span aria-hidden="true">{escape(chip.sign)}'
        f"</span> {escape(chip.word)}</span>"
    )
