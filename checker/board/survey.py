"""The scanned survey below the drawing: looked at, bounded, and made into a picture.

It is kept beside the site file, which names it under `traced_over` with its place, scale and turn:
so a person who opens the file elsewhere sees what was traced, undo covers it, and nothing is
measured on it. A page of a PDF is drawn anew and a picture is written anew, so that nothing but
pixels reaches the browser.
"""

from __future__ import annotations

import io
import threading
from contextlib import closing
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from checker.core.problems import BadInput, CheckerError, Place, Problem, Problems
from checker.core.records import Record
from checker.core.units import UNIT
from checker.files.opening import read_bytes
from checker.site.values import read_length_m

KINDS: Final = {
    ".pdf": b"%PDF-",
    ".png": b"\x89PNG\r\n\x1a\n",
    ".jpg": b"\xff\xd8",
    ".jpeg": b"\xff\xd8",
}
"""Endings that are taken, each with the first bytes of such a file."""

_ONE_PDF: Final = threading.Lock()

MOST_BYTES: Final = 40_000_000
MOST_PIXELS: Final = 100_000_000
MOST_PAGES: Final = 500
MOST_ASIDE: Final = 20.0
"""A sheet is no longer than so many times its width."""
SHOWN_PIXELS: Final = 2600
"""Of the longer side, as the browser gets it."""


class SurveySheet(Record):
    """A page of a survey as a picture.

    Attributes:
        png: The picture.
        ratio: Its height by its width.
        pages: How many pages the file has.
    """

    png: bytes
    ratio: float
    pages: int


def sheet_of(path: Path, page: int = 1) -> SurveySheet:
    """A page of a survey.

    Args:
        path: A PDF, PNG or JPEG.
        page: The page, from 1.

    Raises:
        BadInput: The file cannot be read, is too large, or is not what its name says.
        MissingLibrary: The library that reads it is not installed.
    """
    stamp = path.stat() if path.is_file() else None
    return _sheet(path, page, (stamp.st_mtime_ns, stamp.st_size) if stamp else None)


@lru_cache(maxsize=4)
def _sheet(path: Path, page: int, _stamp: tuple[int, int] | None) -> SurveySheet:
    raw = read_bytes(path, path.name, MOST_BYTES)
    return looked_at(path.name, raw, page)


def looked_at(name: str, raw: bytes, page: int = 1) -> SurveySheet:
    """A page of the bytes of a survey; see `sheet_of`.

    Raises:
        BadInput: It is no such file, or holds no such page.
        MissingLibrary: The library that reads it is not installed.
    """
    ending = name[name.rfind(".") :].lower()
    if not raw.startswith(KINDS.get(ending, b"\0")):
        raise _refused(name, "is not what its name says", "give a PDF, PNG or JPEG")
    return _of_pdf(name, raw, page) if ending == ".pdf" else _of_picture(name, raw)


def _of_pdf(name: str, raw: bytes, page: int) -> SurveySheet:
    # The library may be asked by one thread at a time.
    with _ONE_PDF:
        return _page_of_pdf(name, raw, page)


def _page_of_pdf(name: str, raw: bytes, page: int) -> SurveySheet:
    from checker.pages.pdf_writer import need

    pdfium = need("pypdfium2", "pypdfium2", "tracing over a PDF", "draw")
    try:
        with closing(pdfium.PdfDocument(raw)) as document:
            pages = len(document)
            if not 1 <= page <= pages <= MOST_PAGES:
                do = f"name one of them, of {MOST_PAGES} at most"
                raise _refused(name, f"has {pages} pages", do)
            sheet = document[page - 1]
            width_pt, height_pt = sheet.get_size()
            _bound(name, width_pt, height_pt)
            bitmap = sheet.render(scale=SHOWN_PIXELS / max(width_pt, height_pt))
            return SurveySheet(_png(bitmap.to_pil()), height_pt / width_pt, pages)
    except pdfium.PdfiumError as wrong:
        raise _refused(
            name, "cannot be read as a PDF", "export it anew, without a password"
        ) from wrong


def _of_picture(name: str, raw: bytes) -> SurveySheet:
    from checker.pages.pdf_writer import need

    image = need("PIL.Image", "pillow", "tracing over a picture", "draw")
    try:
        with image.open(io.BytesIO(raw), formats=("PNG", "JPEG")) as picture:
            _bound(name, *picture.size)
            if picture.size[0] * picture.size[1] > MOST_PIXELS:
                says = f"has {picture.size[0]} by {picture.size[1]} pixels"
                raise _refused(name, says, f"scan it coarser: {MOST_PIXELS:,} at most")
            picture.draft("RGB", (SHOWN_PIXELS, SHOWN_PIXELS))
            ratio = picture.size[1] / picture.size[0]
            small = picture.convert("RGB")
    except (OSError, ValueError, SyntaxError, image.DecompressionBombError) as wrong:
        raise _refused(
            name, "cannot be read as a picture", "save it anew as PNG or JPEG"
        ) from wrong
    small.thumbnail((SHOWN_PIXELS, SHOWN_PIXELS))
    return SurveySheet(_png(small), ratio, 1)


def _bound(name: str, width: float, height: float) -> None:
    """Refuse what has no size, or is a thread."""
    sides = sorted((width, height))
    if not (sides[0] > 0 and sides[1] / sides[0] <= MOST_ASIDE):
        raise _refused(name, f"is {width:g} by {height:g}", "give a sheet that can be looked at")


def _png(picture: Any) -> bytes:  # noqa: ANN401 - of the library
    out = io.BytesIO()
    picture.convert("RGB").save(out, "PNG", compress_level=3)
    return out.getvalue()


def placed(traced: dict[str, Any], folder: Path, unit: str) -> dict[str, Any]:
    """Where the survey lies, for the page, in the file's unit; and what is wrong with it."""
    problems = Problems()
    width_m = read_length_m(traced["width"], unit, "'width'", Place("traced_over"), problems)
    found = {
        "file": traced["file"],
        "page": traced.get("page", 1),
        "corner": traced["corner"],
        "width": (width_m or 0.0) / UNIT[unit].size_si,
        "turned": traced.get("turned", 0),
        "declared": traced,
    }
    try:
        problems.stop_if_any("the survey cannot be shown")
        sheet = named_sheet(folder, traced)
    except CheckerError as wrong:
        return found | {"ratio": 0, "pages": 0, "problem": str(wrong)}
    return found | {"ratio": sheet.ratio, "pages": sheet.pages, "problem": ""}


def named_sheet(folder: Path, traced: dict[str, Any]) -> SurveySheet:
    """The page that a site file names; the file lies beside it, and nowhere else.

    Raises:
        BadInput: There is no such file or page.
        MissingLibrary: The library that reads it is not installed.
    """
    name = traced["file"]
    if Path(name).name != name or name.startswith("."):
        raise _refused(name[:80], "does not lie beside the site file", "name a file beside it")
    return sheet_of(folder / name, traced.get("page", 1))


def _refused(name: str, says: str, do: str) -> BadInput:
    return BadInput(f"{name} cannot be traced", [Problem(Place(name), says, do)])
