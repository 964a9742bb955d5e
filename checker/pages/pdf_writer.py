"""PDF by the Typst binding: one fixed template, all texts as data.

Decision, 2026-11-25: the Typst binding rather than printing from a headless browser. Both keep
lengths (2 in printed as 144.00 points), both tag and embed fonts. Typst comes as one wheel from
the package index (Apache-2.0) with its fonts inside (open licences, from memory), claims and checks
PDF/UA-1 as it writes, needs 0.1 s, gave 13 kB for a two-page trial, and the same bytes twice. The
browser is no Python package, took 1.5 s and 26 kB for the same pages, wrote no metadata stream, and
stamps the clock into every file, so that two runs differ.
"""

from __future__ import annotations

import json
import re
import tempfile
import unicodedata
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, assert_never

from checker.core.problems import CheckerError
from checker.core.records import asdict
from checker.pages import colours
from checker.pages.blocks import (
    Bullets,
    Columns,
    Fold,
    Gauge,
    Pairs,
    Picture,
    Section,
    Sign,
    Strong,
    Table,
    Text,
    every,
    heading,
    kind_of,
    on_paper,
    plain,
)
from checker.pages.paper import Paper

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from checker.pages.blocks import Block, Inline
    from checker.pages.sheet import Sheet


SPELLED: Final = "letters as [U+....] are in no font here: give a folder of fonts"
_TEXT_WIDTH_IN: Final = 7.0

_NO_GLYPH: Final = re.compile(r'the text `"(.+?)"` could not be displayed')


class MissingLibrary(CheckerError):
    """An optional library is not installed."""


def need(module: str, package: str, what: str, extra: str = "packet") -> Any:  # noqa: ANN401 - a module
    """Import an optional library.

    Raises:
        MissingLibrary: It is not installed.
    """
    import importlib

    try:
        return importlib.import_module(module)
    except ImportError as error:
        raise MissingLibrary(
            f"{what} needs the package '{package}', which is not installed; "
            f"install the program with its extra '{extra}': pip install '.[{extra}]'"
        ) from error


def pdf_bytes(
    title: str,
    project: str,
    footer: str,
    parts: Sequence[Paper | Sheet],
    images: Mapping[str, str],
    fonts: Path | None = None,
) -> bytes:
    """One PDF of reports and sheets, tagged as PDF/UA-1, with a bookmark per heading.

    Args:
        title: The title of the file.
        project: Stands in every footer, before the rest of it.
        footer: The footer of every report page.
        parts: Reports and drawing sheets, in order.
        images: SVG texts by file name.
        fonts: A folder with fonts for letters that the built-in ones lack.

    Raises:
        MissingLibrary: Typst is not installed.

    A sign that no font has is left out; a letter is given by its Unicode number instead, and the
    footer says so, so that no set stops for a name.
    """
    typst = need("typst", "typst", "a PDF")
    data = {
        "title": title,
        "inks": dict(colours.STATUS),
        "project": project,
        "footer": footer,
        "parts": [
            report_data(part) if isinstance(part, Paper) else sheet_data(part) for part in parts
        ],
    }
    template = resources.files("checker.pages").joinpath("pages.typ").read_text("utf-8")
    pictures = dict(images)
    pictures |= {block.file: block.svg for part in parts for block in _figures(part)}
    lacks = _Lacks()
    while True:
        try:
            return _compiled(typst, template, data, pictures, fonts, lacks)
        except typst.TypstError as error:
            found = _NO_GLYPH.search(str(error))
            if found is None or not lacks.take(found[1]):
                raise
            if lacks.scripts:
                data["footer"] = f"{footer} · {SPELLED}"


def _compiled(
    typst: Any,  # noqa: ANN401 - the module
    template: str,
    data: dict[str, Any],
    pictures: Mapping[str, str],
    fonts: Path | None,
    lacks: _Lacks,
) -> bytes:
    printable = lacks.printable
    with tempfile.TemporaryDirectory() as place:
        root = Path(place)
        (root / "pages.typ").write_text(template, encoding="utf-8")
        said = printable(json.dumps(data, ensure_ascii=False))
        (root / "data.json").write_text(said, encoding="utf-8")
        for name, svg in pictures.items():
            (root / name).write_text(printable(svg), encoding="utf-8")
        made: bytes = typst.compile(
            root / "pages.typ",
            root=root,
            font_paths=[fonts] if fonts else [],
            ignore_system_fonts=True,
            pdf_standards=["ua-1"],
        )
    return made


class _Lacks:
    """What no font of the writer has: signs, which are left out, and scripts, which are spelled."""

    def __init__(self) -> None:
        self.signs: set[str] = set()
        self.scripts: set[str] = set()

    def take(self, text: str) -> bool:
        """Note a text without a glyph; False where it was noted before and came back."""
        letters = [sign for sign in text if unicodedata.category(sign)[0] in "LN"]
        if letters:
            new = {_script(sign) for sign in letters} - self.scripts
            self.scripts |= new
            return bool(new)
        is_new = text not in self.signs
        self.signs.add(text)
        return is_new

    def printable(self, text: str) -> str:
        """A text with what fonts have: letters of a script that lacks as [U+679C]."""
        for sign in self.signs:
            text = text.replace(sign, "")
        if not self.scripts or text.isascii():
            return text
        return "".join(
            f"[U+{ord(sign):04X}]" if not sign.isascii() and _script(sign) in self.scripts else sign
            for sign in text
        )


def _script(sign: str) -> str:
    """The first word of the name of a letter: CJK, ARABIC, HANGUL."""
    return unicodedata.name(sign, "UNNAMED").split(" ")[0].split("-")[0]


def _figures(part: Paper | Sheet) -> list[Picture]:
    if not isinstance(part, Paper):
        return []
    return [block for block in every(part.blocks) if isinstance(block, Picture)]


def report_data(paper: Paper) -> dict[str, Any]:
    """A document as the template reads it."""
    return {
        "kind": "report",
        "heading": f"{paper.number} {paper.title}".strip(),
        "blocks": list(blocks_data(paper.blocks)),
    }


def blocks_data(blocks: Iterable[Block], level: int = 2) -> Iterator[dict[str, Any]]:
    """Blocks one after the other as the template reads them; `level` is that of their headings."""
    for block in blocks:
        match block:
            case Columns(columns=columns) if not _fits_beside(block):
                for column in columns:
                    yield from blocks_data(column, level)
            case Columns(columns=columns):
                inside = [list(blocks_data(column, level)) for column in columns]
                yield {"kind": "beside", "columns": inside}
            case Fold(is_short=True, is_open=False):
                yield {"kind": "line", "text": on_paper(block)}
            case Fold(line=line):
                yield {"kind": "heading", "text": heading(block), "level": level}
                if line:
                    yield {"kind": "text", "runs": [_run_data(line)], "style": ""}
                yield from blocks_data(block.blocks, level + 1)
            case Section():
                yield {"kind": "heading", "text": heading(block), "level": level}
                yield from blocks_data(block.blocks, level + 1)
            case Sign(title=title, says=says, lines=lines, has_seal=seal):
                form = {"title": title, "says": says, "lines": lines, "seal": seal}
                yield {"kind": "sign", "level": level} | form
            case _:
                yield _block_data(block)


def _fits_beside(block: Columns) -> bool:
    """Whether pictures in columns keep their size on paper."""
    inside = every(part for column in block.columns for part in column)
    widths = [part.width_in for part in inside if isinstance(part, Picture)]
    return max(widths, default=0.0) * len(block.columns) <= _TEXT_WIDTH_IN


def _block_data(block: Text | Bullets | Pairs | Table | Picture | Gauge) -> dict[str, Any]:
    match block:
        case Text(runs=runs, kind=kind):
            return {"kind": "text", "runs": list(map(_run_data, runs)), "style": kind}
        case Bullets(items=items, label=label, is_numbered=numbered):
            return {"kind": "list", "label": label, "items": items, "numbered": numbered}
        case Pairs(items=pairs):
            return {"kind": "pairs", "items": pairs}
        case Table():
            return {"kind": "table", "caption": block.caption} | table_data(block)
        case Picture(file=file, caption=caption, says=says, width_in=width):
            shown = {"file": file, "caption": caption, "says": says, "width": width}
            return {"kind": "figure"} | shown
        case Gauge():
            return _gauge_data(block)
        case _:
            assert_never(block)


def _gauge_data(gauge: Gauge) -> dict[str, Any]:
    return {
        "kind": "gauge",
        "title": f"{plain(gauge.status)}: {gauge.title}",
        "says": gauge.says,
        "room": gauge.room,
        "more": gauge.more,
        "low": gauge.low,
        "high": gauge.high,
        "limit": gauge.limit,
        "was": gauge.was,
        "floor": gauge.is_floor,
        "ink": colours.STATUS.get(gauge.status.key, colours.INK),
    }


def _run_data(run: Inline) -> dict[str, Any]:
    return {"text": plain(run), "strong": isinstance(run, Strong)}


def table_data(table: Table) -> dict[str, Any]:
    """Columns and rows of a table as the template reads them."""
    return {
        "columns": [
            {
                "title": c.title.replace("sq ft", "sq\u00a0ft"),
                "right": c.is_number,
                "width": c.width,
            }
            for c in table.columns
        ],
        "rows": [list(map(plain, row)) for row in table.rows],
        "strong": [index for index, row in enumerate(table.rows) if kind_of(row)],
    }


def sheet_data(sheet: Sheet) -> dict[str, Any]:
    """A drawing sheet as the template reads it."""
    return {
        "kind": "sheet",
        "heading": f"{sheet.number} {sheet.title}",
        "size": sheet.size,
        "upright": sheet.is_upright,
        "frame": asdict(sheet.frame),
        "title_width": sheet.title_width,
        "images": list(map(asdict, sheet.images)),
        "lines": list(map(asdict, sheet.lines)),
        "rects": list(map(asdict, sheet.rects)),
        "texts": list(map(asdict, sheet.texts)),
        "tables": [
            {"x": item.x, "y": item.y, "w": item.w, "size": item.size} | table_data(item.table)
            for item in sheet.tables
        ],
    }
