"""Requests that shape surfaces: split, join, put over; and how far things are from each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from checker.board.changes import Group, Refused
from checker.board.cutting import distances_of, join, split
from checker.board.overlying import overlaps_of, put_over
from checker.board.session import Board, JsonAnswer, body_of
from checker.board.tapes import tapes_of
from checker.core.records import Record

if TYPE_CHECKING:
    from starlette.requests import Request


class SplitAsked(Record):
    """A surface that is to be cut in two."""

    revision: int
    surface: str
    line: tuple[tuple[float, float], tuple[float, float]]


class JoinAsked(Record):
    """Surfaces that are to be one; the first keeps its name."""

    revision: int
    surfaces: tuple[str, ...]


class OverAsked(Record):
    """A surface that is to lie over another one."""

    revision: int
    upper: str
    lower: str


def routes(board: Board) -> list[Route]:
    """The routes of what shapes surfaces."""

    async def cut(request: Request) -> Response:
        asked = await body_of(request, SplitAsked)

        def work() -> Response:
            made = split(board.desk.plan, asked.surface, asked.line)
            return _changed(board, asked.revision, made)

        return await run_in_threadpool(work)

    async def joined(request: Request) -> Response:
        asked = await body_of(request, JoinAsked)

        def work() -> Response:
            return _changed(board, asked.revision, join(board.desk.plan, asked.surfaces))

        return await run_in_threadpool(work)

    async def put(request: Request) -> Response:
        asked = await body_of(request, OverAsked)

        def work() -> Response:
            made = put_over(board.desk.plan, asked.upper, asked.lower)
            return _changed(board, asked.revision, made)

        return await run_in_threadpool(work)

    async def tapes(_: Request) -> Response:
        plan = board.desk.plan
        return await run_in_threadpool(
            lambda: JsonAnswer({"revision": plan.revision, "tapes": tapes_of(plan)})
        )

    async def measured(request: Request) -> Response:
        return await run_in_threadpool(_measured, board, **request.path_params)

    return [
        Route("/split", cut, methods=["POST"]),
        Route("/join", joined, methods=["POST"]),
        Route("/over", put, methods=["POST"]),
        Route("/tapes", tapes),
        Route("/distances/{of}/{name}", measured),
    ]


def _changed(board: Board, revision: int, made: Group | Refused) -> Response:
    if isinstance(made, Refused):
        return board.answer(made)
    return board.answer(board.desk.change(made, revision))


def _measured(board: Board, of: str, name: str) -> Response:
    plan = board.desk.plan
    overlaps = overlaps_of(plan.site, name) if of == "surfaces" else []
    rows = distances_of(plan.site, of, name)
    return JsonAnswer({"revision": plan.revision, "rows": rows, "overlaps": overlaps})
