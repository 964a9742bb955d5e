"""Requests to calls: what the page may ask, each one call of the desk or of `api`."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import msgspec
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from checker import api
from checker.board.changes import Change, Refused, Set
from checker.board.desk import Desk, Stale
from checker.board.plan import Plan, changed
from checker.board.verdict import check_all, check_fast
from checker.board.views import choices_view, entry_of, plan_view, verdict_view
from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.site.materials import materials

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.requests import Request

    from checker.board.guard import Tickets
    from checker.findings.checked import Checked
    from checker.solve.options import Options

HERE: Final = Path(__file__).parent
TYPES: Final = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}
STATIC: Final = {
    path.relative_to(HERE / "static").as_posix(): path
    for path in sorted((HERE / "static").rglob("*"))
    if path.suffix in TYPES
}


class TicketShown(Record):
    """What opens the door."""

    ticket: str


class RevisionSeen(Record):
    """A request about a plan."""

    revision: int


class ChangeAsked(Record):
    """A change that is asked for."""

    revision: int
    change: Change
    key: str = ""


class ChangeTried(Record):
    """A change that is only looked at."""

    revision: int
    sequence: int
    change: Change


class OptionTaken(Record):
    """An option of the least change that is taken."""

    revision: int
    option: str


class PacketAsked(Record):
    """A packet that is to be written beside the site file."""

    revision: int
    date: str = ""


class Board:
    """One design, its verdicts as far as they were asked for, and the requests about it."""

    def __init__(self, desk: Desk, keys: Tickets) -> None:
        self.desk = desk
        self.keys = keys
        self._work = threading.Lock()
        self._fast: tuple[int, Checked | None, str] = (-1, None, "")
        self._full: tuple[int, Checked | None] = (-1, None)
        self._least: tuple[int, Options | None] = (-1, None)

    def fast(self) -> tuple[Checked | None, str]:
        """What can be told at once of the plan, or why nothing can."""
        plan = self.desk.plan
        if self._fast[0] != plan.revision:
            try:
                self._fast = (plan.revision, check_fast(plan.site), "")
            except CheckerError as wrong:
                self._fast = (plan.revision, None, str(wrong))
        return self._fast[1], self._fast[2]

    def full(self) -> Checked:
        """The verdict of every rule.

        Raises:
            CheckerError: The site does not fit its rule set.
        """
        plan = self.desk.plan
        with self._work:
            if self._full[0] != plan.revision or self._full[1] is None:
                self._full = (plan.revision, check_all(plan.site))
            found = self._full[1]
            assert found is not None
            return found

    def state(self) -> dict[str, Any]:
        """All that the page shows."""
        with self.desk.lock:
            checked, problem = self.fast()
            return plan_view(self.desk, checked, problem)

    def answer(self, found: Plan | Refused) -> Response:
        """A plan as the page shows it, or why there is none."""
        if isinstance(found, Refused):
            return JSONResponse({"says": found.says, "do": found.do}, 422)
        return JSONResponse(self.state())

    def preview(self, tried: ChangeTried) -> Response:
        """The verdict that a change would bring; nothing is kept."""
        found = self.desk.preview(tried.change, tried.revision)
        if isinstance(found, Refused):
            return JSONResponse({"sequence": tried.sequence, "says": found.says, "do": found.do})
        checked = check_fast(found.site)
        view = verdict_view(checked)
        return JSONResponse({"sequence": tried.sequence, "verdict": view})

    def materials(self, surface: str) -> Response:
        """What a surface would do as each other material."""
        with self.desk.lock:
            plan = self.desk.plan
        entry = entry_of(plan, "surfaces", surface)
        if entry is None:
            return JSONResponse({"says": "it is not there any more", "do": ""}, 422)
        rows = []
        level = materials()[str(entry.get("material"))].level if entry.get("material") else "ground"
        for material in materials().values():
            if material.level != level:
                continue
            was = entry.get("material")
            change = Set("surfaces", surface, ("material",), material.id, was)
            after = plan if material.id == was else changed(plan, change)
            if isinstance(after, Refused):
                continue
            try:
                checked = check_fast(after.site)
            except CheckerError:  # e.g. a goal that speaks of what the surface would not be
                continue
            view = verdict_view(checked)
            first = next((f for f in view["findings"] if f["share"] is not None), None)
            rows.append(
                {
                    "material": material.id,
                    "title": material.title,
                    "status": view["status"],
                    "rule": first["title"] if first else "",
                    "measured": first["measured"] if first else "",
                    "margin": first["margin"] if first else "",
                    "is_now": material.id == was,
                }
            )
        return JSONResponse({"surface": surface, "revision": plan.revision, "rows": rows})

    def least(self) -> Options:
        """The least that must change.

        Raises:
            CheckerError: There is nothing to search, or a part for it is not installed.
        """
        plan = self.desk.plan
        if self._least[0] != plan.revision or self._least[1] is None:
            self._least = (plan.revision, api.least_change(self.full()))
        found = self._least[1]
        assert found is not None
        return found


class Requests:
    """Each request of the page, as a call of the board."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.desk = board.desk

    async def page(self, _: Request) -> Response:
        """The page, without anyone's data."""
        return HTMLResponse((HERE / "templates" / "board.html").read_text(encoding="utf-8"))

    async def static(self, request: Request) -> Response:
        """A part of the page."""
        path = STATIC.get(request.path_params["path"])
        if path is None:
            return Response(status_code=404)
        return Response(path.read_bytes(), media_type=TYPES[path.suffix])

    async def enter(self, request: Request) -> Response:
        """The secret for a ticket."""
        asked = await _body(request, TicketShown)
        secret = self.board.keys.secret_for(asked.ticket)
        return JSONResponse({"secret": secret}) if secret else JSONResponse({}, 403)

    async def plan(self, _: Request) -> Response:
        """All that the page shows."""
        return await run_in_threadpool(lambda: JSONResponse(self.board.state()))

    async def choices(self, _: Request) -> Response:
        """What a person chooses from."""
        places = await run_in_threadpool(lambda: sorted(api.places()))
        return JSONResponse(choices_view() | {"places": places})

    async def changes(self, request: Request) -> Response:
        """Make a change."""
        asked = await _body(request, ChangeAsked)
        board = self.board
        return await run_in_threadpool(
            lambda: board.answer(board.desk.change(asked.change, asked.revision, asked.key))
        )

    async def preview(self, request: Request) -> Response:
        """The verdict that a change would bring."""
        return await run_in_threadpool(self.board.preview, await _body(request, ChangeTried))

    def step(self, act: Callable[[int], Plan | Refused]) -> Callable[[Request], Any]:
        """A request that names a revision and nothing else."""

        async def handle(request: Request) -> Response:
            asked = await _body(request, RevisionSeen)
            return await run_in_threadpool(lambda: self.board.answer(act(asked.revision)))

        return handle

    async def late(self, request: Request) -> Response:
        """The verdict with what needs a storm to be followed."""
        given = request.query_params.get("revision", "")
        revision = int(given) if given.isdecimal() else -1

        def work() -> Response:
            if revision != self.desk.plan.revision:
                return JSONResponse({"revision": self.desk.plan.revision}, 409)
            view = verdict_view(self.board.full(), is_late=True)
            return JSONResponse({"revision": revision, "verdict": view})

        return await run_in_threadpool(work)

    async def materials(self, request: Request) -> Response:
        """A surface as each other material."""
        return await run_in_threadpool(self.board.materials, request.path_params["surface"])

    async def least(self, _: Request) -> Response:
        """The least that must change."""

        def work() -> Response:
            from checker.papers.change import records_of

            rows = [
                {"key": option["key"], "says": option["title"]}
                for option in records_of(self.board.least())["options"]
                if not option["same_as"]
            ]
            return JSONResponse({"options": rows})

        return await run_in_threadpool(work)

    async def take(self, request: Request) -> Response:
        """Take an option of the least change."""
        asked = await _body(request, OptionTaken)

        def work() -> Response:
            text = api.option_text(self.board.least(), asked.option)
            says = "least change taken"
            return self.board.answer(self.desk.write_anew(text, says, asked.revision))

        return await run_in_threadpool(work)

    async def report(self, _: Request) -> Response:
        """The report, to take along."""

        def work() -> Response:
            from checker.papers.writing import HTML, reports_of

            return Response(reports_of(self.board.full())[HTML], media_type="text/html")

        return await run_in_threadpool(work)

    async def text(self, _: Request) -> Response:
        """The site file, to take along."""
        return Response(self.desk.plan.text, media_type="text/plain; charset=utf-8")

    async def packet(self, request: Request) -> Response:
        """Write the permit packet beside the site file."""
        asked = await _body(request, PacketAsked)

        def work() -> Response:
            from checker.core.answers import day_of

            folder = self.desk.path.with_name(f"{self.desk.path.stem}-packet")
            day = day_of(asked.date) if asked.date else None
            written = api.packet(self.board.full(), folder, date=day, overwrite=True)
            stops = [f"{stop.what}: {stop.says}" for stop in written.preflight.stops]
            return JSONResponse(
                {"folder": folder.name, "files": list(written.files), "missing": stops}
            )

        return await run_in_threadpool(work)


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
        routes=[
            Route("/", ask.page),
            Route("/static/{path:path}", ask.static),
            Route("/enter", ask.enter, methods=post),
            Route("/plan", ask.plan),
            Route("/choices", ask.choices),
            Route("/changes", ask.changes, methods=post),
            Route("/preview", ask.preview, methods=post),
            *(Route(path, ask.step(act), methods=post) for path, act in steps.items()),
            Route("/late", ask.late),
            Route("/surfaces/{surface}/materials", ask.materials),
            Route("/least-change", ask.least),
            Route("/least-change/take", ask.take, methods=post),
            Route("/report", ask.report),
            Route("/text", ask.text),
            Route("/packet", ask.packet, methods=post),
        ],
        exception_handlers={
            Stale: _stale,
            CheckerError: _wrong,
            msgspec.MsgspecError: _unread,
        },
    )


async def _body(request: Request, kind: type[Any]) -> Any:  # noqa: ANN401 - the kind asked for
    return msgspec.json.decode(await request.body(), type=kind)


async def _stale(_: Request, wrong: Exception) -> Response:
    return JSONResponse({"says": str(wrong), "do": "take the plan again"}, 409)


async def _wrong(_: Request, wrong: Exception) -> Response:
    return JSONResponse({"says": str(wrong), "do": ""}, 422)


async def _unread(_: Request, wrong: Exception) -> Response:
    return JSONResponse({"says": f"the request cannot be read: {wrong}", "do": ""}, 422)
