"""Requests that start a design: a sample, a drawing of the survey, and what to choose from."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from checker import api
from checker.board.changes import Set
from checker.board.session import Board, JsonAnswer, body_of
from checker.board.survey import KINDS, looked_at, named_sheet
from checker.core.problems import BadInput, Place, Problem
from checker.core.records import Record
from checker.core.units import UNIT
from checker.files.opening import decoded, read_bytes
from checker.files.saving import save
from checker.files.source import head_of
from checker.site.drawing import SUFFIXES
from checker.site.layer_words import layer_words
from checker.site.materials import materials

if TYPE_CHECKING:
    from collections.abc import Collection

    from starlette.requests import Request

    from checker.board.plan import Plan

OF_NO_DRAWING: Final = frozenset({"expected.yaml", "expected-change.yaml", "plan.svg"})
"""Files of a sample that a design does not need."""

_NAME: Final = re.compile(r"[\w][\w .()+-]{0,80}", re.ASCII)


class SampleAsked(Record):
    """A sample that is to become the design."""

    revision: int
    name: str


def routes(board: Board) -> list[Route]:
    """The routes by which a design starts."""

    async def starts(_: Request) -> Response:
        return await run_in_threadpool(lambda: JsonAnswer(choices()))

    async def guess(request: Request) -> Response:
        return JsonAnswer(guessed(request.query_params.get("name", ""), board.desk.path.parent))

    async def sample(request: Request) -> Response:
        return await run_in_threadpool(_sample, board, await body_of(request, SampleAsked))

    async def drawing(request: Request) -> Response:
        given, raw = dict(request.query_params), await request.body()
        return await run_in_threadpool(_drawing, board, given, raw)

    async def survey(request: Request) -> Response:
        given, raw = dict(request.query_params), await request.body()
        return await run_in_threadpool(_survey, board, given, raw)

    async def sheet(_: Request) -> Response:
        return await run_in_threadpool(_sheet, board)

    return [
        Route("/starts", starts),
        Route("/guess", guess),
        Route("/starts/sample", sample, methods=["POST"]),
        Route("/files/drawing", drawing, methods=["POST"]),
        Route("/files/survey", survey, methods=["POST"]),
        Route("/survey", sheet),
    ]


def choices() -> dict[str, Any]:
    """What a design can start from, and the places whose rules it can be under."""
    return {
        "samples": [
            {"name": name, "title": head_of(path, frozenset({"title"})).get("title", name)}
            for name, path in api.samples().items()
        ],
        "places": [
            {"id": name, "title": title, "kind": kind} for name, title, kind in api.place_titles()
        ],
        "drawings": sorted(SUFFIXES.keys() - {".shp", ".json"}),
    }


def guessed(name: str, folder: Path) -> dict[str, str]:
    """The material and stage that a name suggests, by the words that layers are read with."""
    found = layer_words(folder).guess(name[:80])
    material = found.meaning if found.meaning in materials() else ""
    return {"material": material, "stage": found.stage}


def _sample(board: Board, asked: SampleAsked) -> Response:
    """Take an invented lot as the design, with the files that it names."""
    path = api.samples().get(asked.name)
    if path is None:
        return JsonAnswer({"says": f"there is no sample '{asked.name}'", "do": ""}, 422)
    for other in sorted(path.parent.iterdir()):
        if other.suffix != ".yaml" and other.name not in OF_NO_DRAWING:
            kept_beside(board, other.name, read_bytes(other, other.name))
    text = decoded(read_bytes(path, asked.name), asked.name)
    says = f"begun with the sample {asked.name}"
    return board.answer(board.desk.write_anew(text, says, asked.revision))


def _drawing(board: Board, given: dict[str, str], raw: bytes) -> Response:
    """Begin with a drawing of the survey, which is kept beside the site file."""
    name = plain_name(given.get("name", ""), SUFFIXES)
    data = board.desk.plan.data
    path = kept_beside(board, name, raw)
    begun = api.begun_site(
        board.desk.path,
        title=data["title"],
        place=data["place"],
        units=data["units"],
        drawing=path,
    )
    revision = int(given.get("revision", "-1"))
    found = board.desk.write_anew(begun.text, f"begun with the drawing {name}", revision)
    return board.answer(found)


def _survey(board: Board, given: dict[str, str], raw: bytes) -> Response:
    """Lay a scanned survey below the drawing; it is kept beside the site file."""
    name = plain_name(given.get("name", ""), KINDS)
    ratio = looked_at(name, raw).ratio
    kept_beside(board, name, raw)
    plan = board.desk.plan
    west, south, width = _as_wide_as_the_lot(plan, ratio)
    traced = {"file": name, "corner": [west, south], "width": width}
    change = Set("", "", ("traced_over",), traced, plan.data.get("traced_over"))
    found = board.desk.change(change, int(given.get("revision", "-1")))
    return board.answer(found)


def _as_wide_as_the_lot(plan: Plan, ratio: float) -> tuple[float, float, float]:
    """Where a sheet lies until it is scaled: about what is drawn, or as wide as a house lot."""
    size_m = UNIT[plan.site.unit].size_si
    if not plan.site.lot.is_chosen:
        return 0, 0, float(f"{40 / size_m:.2g}")
    west, south, east, north = (side / size_m for side in plan.site.lot.boundary.bounds)
    wide = 1.3 * max(east - west, (north - south) / ratio)
    left, low = (west + east - wide) / 2, (south + north - wide * ratio) / 2
    return round(left, 2), round(low, 2), round(wide, 2)


def _sheet(board: Board) -> Response:
    """The survey as a picture."""
    plan = board.desk.plan
    traced = plan.data.get("traced_over")
    if traced is None:
        return JsonAnswer({"says": "there is no survey below the drawing", "do": ""}, 422)
    return Response(named_sheet(plan.path.parent, traced).png, media_type="image/png")


def plain_name(name: str, endings: Collection[str]) -> str:
    """The name under which a file that was handed in is kept.

    Raises:
        BadInput: It is no plain name, or of a kind that is not taken.
    """
    shown = name[:80]
    if not _NAME.fullmatch(name):
        says = f"'{shown!a}' is no plain name of a file"
        raise _refused(shown, says, "name it with letters, digits, hyphens and one ending")
    if Path(name).suffix.lower() not in endings:
        says = f"'{shown}' is of a kind that is not taken here"
        raise _refused(shown, says, f"give one of: {', '.join(sorted(endings))}")
    return name


def kept_beside(board: Board, name: str, raw: bytes) -> Path:
    """Keep a file that was handed in beside the site file; one that is there stays as it is.

    Raises:
        BadInput: Another file is there under that name, or the disk refuses.
    """
    path = board.desk.path.with_name(name)
    is_there = path.is_file() and not path.is_symlink() and path.stat().st_size == len(raw)
    if is_there and read_bytes(path, name, len(raw)) == raw:
        return path
    return save(path, raw)


def _refused(shown: str, says: str, do: str) -> BadInput:
    return BadInput(f"{shown} is not taken", [Problem(Place(shown), says, do)])
