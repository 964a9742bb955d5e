"""Requests for what is taken along: the report, the packet, the site file."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from checker import api
from checker.board.asking import still_asked
from checker.board.session import Board, JsonAnswer, body_of
from checker.board.shown import page_data
from checker.board.verdict import surveyed
from checker.board.views import PARTS
from checker.core.records import Record
from checker.files.opening import read_bytes
from checker.pages.pdf_writer import MissingLibrary

if TYPE_CHECKING:
    from starlette.requests import Request


WORKBOOK: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MOST_PAGE_BYTES: Final = 40_000_000


class PacketAsked(Record):
    """A packet that is to be written beside the site file."""

    revision: int
    date: str = ""


def routes(board: Board) -> list[Route]:
    """The routes of what is taken along."""

    async def report(_: Request) -> Response:
        return await run_in_threadpool(_report, board)

    async def client(_: Request) -> Response:
        return await run_in_threadpool(_client, board)

    async def orders(_: Request) -> Response:
        return await run_in_threadpool(_orders, board)

    async def text(_: Request) -> Response:
        return Response(board.desk.plan.text, media_type="text/plain; charset=utf-8")

    async def packet(request: Request) -> Response:
        return await run_in_threadpool(_packet, board, await body_of(request, PacketAsked))

    async def worked(request: Request) -> Response:
        return await run_in_threadpool(_worked, board, request.path_params["paper"])

    async def shape(request: Request) -> Response:
        return await run_in_threadpool(_shape, request.path_params["part"])

    return [
        Route("/papers/{paper}", worked),
        Route("/shapes/{part}", shape),
        Route("/report", report),
        Route("/client", client),
        Route("/orders", orders),
        Route("/text", text),
        Route("/packet", packet, methods=["POST"]),
    ]


def _report(board: Board) -> Response:
    from checker.papers.writing import HTML, reports_of

    return Response(reports_of(board.full())[HTML], media_type="text/html")


def _worked(board: Board, paper: str) -> Response:
    """What is worked out of the drainage or the pavement sections, as the report says it."""
    from checker.papers.drainage import drainage_page
    from checker.papers.section import sections_page

    if paper == "sections":
        return JsonAnswer({"page": page_data(sections_page(surveyed(board.desk.plan.site)))})
    if paper == "drainage":
        return JsonAnswer({"page": page_data(drainage_page(board.full()))})
    return JsonAnswer({"says": f"there is no paper '{paper}'", "do": ""}, 422)


def _shape(part: str) -> Response:
    """What a part of a site file may say, as JSON Schema, for its form."""
    if part not in PARTS:
        return JsonAnswer({"says": f"there is no part '{part}'", "do": ""}, 422)
    return JsonAnswer(_schema(part))


@cache
def _schema(part: str) -> dict[str, Any]:
    return api.json_schema(part)


def _client(board: Board) -> Response:
    """One page for the client: as PDF where that can be written, as HTML elsewhere."""
    checked = board.full()
    with tempfile.TemporaryDirectory(prefix="soakline-") as folder:
        try:
            file = api.write_client(checked, Path(folder) / "client.pdf")
        except MissingLibrary:
            file = api.write_client(checked, Path(folder) / "client.html")
        kind = "application/pdf" if file.suffix == ".pdf" else "text/html"
        return Response(read_bytes(file, file.name, MOST_PAGE_BYTES), media_type=kind)


def _orders(board: Board) -> Response:
    """What to order for the whole job: as a workbook where that can be written, else as CSV."""
    checked = board.full()
    try:
        return Response(api.take_off_workbook(checked), media_type=WORKBOOK)
    except MissingLibrary:
        return Response(api.take_off(checked)[1], media_type="text/csv; charset=utf-8")


def _packet(board: Board, asked: PacketAsked) -> Response:
    """Write the permit packet beside the site file."""
    from checker.core.answers import day_of

    folder = board.desk.path.with_name(f"{board.desk.path.stem}-packet")
    day = day_of(asked.date) if asked.date else None
    written = api.packet(board.full(), folder, date=day, overwrite=True)
    stops = [still_asked(stop.what, stop.says) for stop in written.preflight.stops]
    return JsonAnswer({"folder": folder.name, "files": list(written.files), "missing": stops})
