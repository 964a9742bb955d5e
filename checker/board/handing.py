"""Requests for what is taken along: the report, the packet, the site file."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from checker import api
from checker.board.session import Board, body_of
from checker.board.shown import page_data
from checker.board.views import PARTS
from checker.core.records import Record

if TYPE_CHECKING:
    from starlette.requests import Request


class PacketAsked(Record):
    """A packet that is to be written beside the site file."""

    revision: int
    date: str = ""


def routes(board: Board) -> list[Route]:
    """The routes of what is taken along."""

    async def report(_: Request) -> Response:
        return await run_in_threadpool(_report, board)

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

    pages = {"drainage": drainage_page, "sections": sections_page}
    if paper not in pages:
        return JSONResponse({"says": f"there is no paper '{paper}'", "do": ""}, 422)
    checked = board.full()
    return JSONResponse({"page": page_data(pages[paper](checked))})


def _shape(part: str) -> Response:
    """What a part of a site file may say, as JSON Schema, for its form."""
    if part not in PARTS:
        return JSONResponse({"says": f"there is no part '{part}'", "do": ""}, 422)
    return JSONResponse(_schema(part))


@cache
def _schema(part: str) -> dict[str, Any]:
    return api.json_schema(part)


def _orders(board: Board) -> Response:
    """What to order for the new paving, as a table for a spreadsheet."""
    return Response(api.take_off(board.full())[1], media_type="text/csv; charset=utf-8")


def _packet(board: Board, asked: PacketAsked) -> Response:
    """Write the permit packet beside the site file."""
    from checker.core.answers import day_of

    folder = board.desk.path.with_name(f"{board.desk.path.stem}-packet")
    day = day_of(asked.date) if asked.date else None
    written = api.packet(board.full(), folder, date=day, overwrite=True)
    stops = [f"{stop.what}: {stop.says}" for stop in written.preflight.stops]
    return JSONResponse({"folder": folder.name, "files": list(written.files), "missing": stops})
