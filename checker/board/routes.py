"""Requests to calls: what the page may ask, each one call of the desk or of `api`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import msgspec
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.routing import Route

from checker.board import handing, layering, placing, shaping, starting, trying, variants
from checker.board.changes import Change, Refused
from checker.board.desk import Stale
from checker.board.session import KNOWN, Board, ChangeTried, JsonAnswer, RevisionSeen, body_of
from checker.board.views import choices_view
from checker.core.problems import CheckerError
from checker.core.records import Record

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.requests import Request
    from starlette.responses import Response

    from checker.board.guard import App, Receive, Send
    from checker.board.plan import Plan

KNOWN_HEADER: Final = b"x-board-knows"


class TicketShown(Record):
    """What opens the door."""

    ticket: str


class ChangeAsked(Record):
    """A change that is asked for."""

    revision: int
    change: Change
    key: str = ""


class Requests:
    """Each request of the page, as a call of the board."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.desk = board.desk

    async def enter(self, request: Request) -> Response:
        """The secret for a ticket."""
        asked = await body_of(request, TicketShown)
        secret = self.board.keys.secret_for(asked.ticket)
        return JsonAnswer({"secret": secret}) if secret else JsonAnswer({}, 403)

    async def plan(self, _: Request) -> Response:
        """All that the page shows."""
        return await run_in_threadpool(lambda: JsonAnswer(self.board.state()))

    async def standing(self, _: Request) -> Response:
        """Whether anything moved on: what a page that waits asks again and again."""
        return await run_in_threadpool(lambda: JsonAnswer(self.board.standing()))

    async def choices(self, _: Request) -> Response:
        """What a person chooses from."""
        return await run_in_threadpool(lambda: JsonAnswer(choices_view()))

    async def changes(self, request: Request) -> Response:
        """Make a change."""
        asked = await body_of(request, ChangeAsked)
        board = self.board
        return await run_in_threadpool(
            lambda: board.change(asked.change, asked.revision, asked.key)
        )

    async def preview(self, request: Request) -> Response:
        """The verdict that a change would bring."""
        return await run_in_threadpool(self.board.preview, await body_of(request, ChangeTried))

    def step(self, act: Callable[[int], Plan | Refused]) -> Callable[[Request], Any]:
        """A request that names a revision and nothing else."""

        async def handle(request: Request) -> Response:
            asked = await body_of(request, RevisionSeen)
            return await run_in_threadpool(lambda: self.board.answer(act(asked.revision)))

        return handle

    async def late(self, request: Request) -> Response:
        """The verdict with what needs a storm to be followed."""
        given = request.query_params.get("revision", "")
        revision = int(given) if given.isdecimal() else -1

        def work() -> Response:
            judged = self.board.late(revision)
            if judged is None:
                return JsonAnswer({"revision": self.desk.plan.revision}, 409)
            if judged.view is None:
                return JsonAnswer({"says": judged.problem, "do": ""}, 422)
            return JsonAnswer({"revision": revision, "verdict": judged.view})

        return await run_in_threadpool(work)


class Knowing:
    """Notes which plan the page has that asks, so that only what differs is sent."""

    def __init__(self, app: App) -> None:
        self._app = app

    async def __call__(self, scope: dict[str, Any], receive: Receive, send: Send) -> None:
        """Hand a request on."""
        given = dict(scope.get("headers", ())).get(KNOWN_HEADER, b"").decode("latin-1")
        KNOWN.set(int(given) if given.isdecimal() and len(given) < 10 else -1)
        await self._app(scope, receive, send)


def application(board: Board) -> Starlette:
    """The routes of a board."""
    ask, desk, post = Requests(board), board.desk, ["POST"]
    steps = {
        "/undo": desk.undo,
        "/redo": desk.redo,
        "/save": desk.save,
        "/take-file": desk.take_file,
        "/keep-design": desk.keep_design,
    }
    return Starlette(
        middleware=[Middleware(Knowing)],
        routes=[
            Route("/enter", ask.enter, methods=post),
            Route("/plan", ask.plan),
            Route("/standing", ask.standing),
            Route("/choices", ask.choices),
            Route("/changes", ask.changes, methods=post),
            Route("/preview", ask.preview, methods=post),
            *(Route(path, ask.step(act), methods=post) for path, act in steps.items()),
            Route("/late", ask.late),
            *starting.routes(board),
            *layering.routes(board),
            *placing.routes(board),
            *shaping.routes(board),
            *trying.routes(board),
            *variants.routes(board),
            *handing.routes(board),
        ],
        exception_handlers={
            Stale: _stale,
            CheckerError: _wrong,
            msgspec.MsgspecError: _unread,
        },
    )


async def _stale(_: Request, wrong: Exception) -> Response:
    return JsonAnswer({"says": str(wrong), "do": "take the plan again"}, 409)


async def _wrong(_: Request, wrong: Exception) -> Response:
    return JsonAnswer({"says": str(wrong), "do": ""}, 422)


async def _unread(_: Request, wrong: Exception) -> Response:
    return JsonAnswer({"says": f"the request cannot be read: {wrong}", "do": ""}, 422)
