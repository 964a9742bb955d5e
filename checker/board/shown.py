"""Papers as the page shows them: the same blocks that the report prints, as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, assert_never

from checker.pages.blocks import (
    Bullets,
    Chip,
    Columns,
    Fold,
    Gauge,
    Pairs,
    Picture,
    Section,
    SectionLink,
    Sign,
    Strong,
    Table,
    Text,
    kind_of,
    texts,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from checker.pages.blocks import Block, Inline, Page

PlainBlock = dict[str, Any]


def page_data(page: Page) -> list[PlainBlock]:
    """All of a page but its title."""
    return blocks_data((*page.above, *page.sections, *page.below))


def blocks_data(blocks: Iterable[Block]) -> list[PlainBlock]:
    """Blocks as plain data, each with its kind under `block`."""
    return [_block(block) for block in blocks]


def _block(block: Block) -> PlainBlock:
    match block:
        case Text(runs=runs, kind=kind):
            return {"block": "text", "kind": kind, "runs": [_run(run) for run in runs]}
        case Bullets(items=items, label=label, is_numbered=is_numbered):
            return {
                "block": "bullets", "items": list(items), "label": label,
                "is_numbered": is_numbered,
            }  # fmt: skip
        case Pairs(items=pairs):
            return {"block": "pairs", "items": [list(pair) for pair in pairs]}
        case Table():
            return {
                "block": "table",
                "caption": block.caption,
                "header": block.header,
                "columns": [[column.title, column.is_number] for column in block.columns],
                "rows": [
                    {"kind": kind_of(row), "cells": [_run(cell) for cell in row]}
                    for row in block.rows
                ],
            }
        case Picture():
            return {
                "block": "picture", "svg": block.svg, "says": block.says,
                "caption": block.caption,
            }  # fmt: skip
        case Sign():
            return {"block": "sign", "title": block.title, "says": block.says}
        case Gauge():
            return {
                "block": "text", "kind": "",
                "runs": [_run(Strong(f"{block.title}: ")), _run(" ".join(texts(block)[1:]))],
            }  # fmt: skip
        case Columns() | Fold() | Section():
            return _holder(block)
        case _:
            assert_never(block)


def _holder(block: Columns | Fold | Section) -> PlainBlock:
    """A block that holds others."""
    match block:
        case Columns(columns=columns):
            inside = [inner for column in columns for inner in column]
            return {"block": "section", "id": "", "title": "", "status": None,
                    "blocks": blocks_data(inside)}  # fmt: skip
        case Fold(title=title, line=line, blocks=inside):
            return {"block": "fold", "title": " ".join(filter(None, (title, line))),
                    "blocks": blocks_data(inside)}  # fmt: skip
        case Section():
            return {
                "block": "section", "id": block.id, "title": block.title,
                "status": _run(block.status) if block.status else None,
                "blocks": blocks_data(block.blocks),
            }  # fmt: skip
        case _:
            assert_never(block)


def _run(run: Inline) -> PlainBlock:
    match run:
        case str():
            return {"text": run}
        case Strong(text=text):
            return {"text": text, "kind": "strong"}
        case SectionLink(text=text):
            return {"text": text}
        case Chip(sign=sign, word=word, key=key):
            return {"text": word, "sign": sign, "kind": key}
        case _:
            assert_never(run)
