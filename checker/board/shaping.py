"""Requests that shape surfaces: split, join, and how far they are from lines and buildings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from checker.board.changes import Group, Refused
from checker.board.cutting import distances, join, split
from checker.board.session import Board, JsonAnswer, body_of
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

    async def measured(request: Request) -> Response:
        return await run_in_threadpool(_measured, board, request.path_params["surface"])

    return [
        Route("/split", cut, methods=["POST"]),
        Route("/join", joined, methods=["POST"]),
        Route("/surfaces/{surface}/distances", measured),
    ]


def _changed(board: Board, revision: int, made: Group | Refused) -> Response:
    if isinstance(made, Refused):
        return board.answer(made)
    return board.answer(board.desk.change(made, revision))


def _measured(board: Board, name: str) -> Response:
    plan = board.desk.plan
    found = next((surface for surface in plan.site.surfaces if surface.id == name), None)
    rows = distances(plan.site, found.shape, name) if found is not None else []
    return JsonAnswer({"id": name, "revision": plan.revision, "rows": rows})
