"""Requests that try something without changing the design: other materials, the least change."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from checker import api
from checker.board.changes import Refused, Set
from checker.board.plan import changed
from checker.board.session import Board, body_of
from checker.board.shown import page_data
from checker.board.verdict import check_fast
from checker.board.views import entry_of, rings_of, verdict_view
from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.site.materials import materials
from checker.words.amounts import clean

if TYPE_CHECKING:
    from starlette.requests import Request

    from checker.board.plan import Plan
    from checker.site.model import Site


PAVING: Final = frozenset({"Walks patio and deck", "Driveway and parking"})
"""The groups of materials that can be built as another one or left open."""


class OptionTaken(Record):
    """An option of the least change that is taken."""

    revision: int
    option: str


def routes(board: Board) -> list[Route]:
    """The routes of what is tried."""

    async def tried(request: Request) -> Response:
        return await run_in_threadpool(_materials, board, request.path_params["surface"])

    async def least(_: Request) -> Response:
        return await run_in_threadpool(_least, board)

    async def take(request: Request) -> Response:
        return await run_in_threadpool(_taken, board, await body_of(request, OptionTaken))

    return [
        Route("/surfaces/{surface}/materials", tried),
        Route("/least-change", least),
        Route("/least-change/take", take, methods=["POST"]),
    ]


def _materials(board: Board, surface: str) -> Response:
    """What a surface would do as each other material."""
    with board.desk.lock:
        plan = board.desk.plan
    entry = entry_of(plan, "surfaces", surface)
    if entry is None:
        return JSONResponse({"says": "it is not there any more", "do": ""}, 422)
    rows = []
    was = entry.get("material")
    level = materials()[str(was)].level if was else "ground"
    for material in materials().values():
        if material.level != level:
            continue
        change = Set("surfaces", surface, ("material",), material.id, was)
        after = plan if material.id == was else changed(plan, change)
        if isinstance(after, Refused):
            continue
        row = _row(after)
        if row is not None:
            rows.append(
                {"material": material.id, "title": material.title, "is_now": material.id == was}
                | row
            )
    return JSONResponse({"surface": surface, "revision": plan.revision, "rows": rows})


def _row(plan: Plan) -> dict[str, Any] | None:
    """The verdict of a tried design in short."""
    try:
        checked = check_fast(plan.site)
    except CheckerError:  # e.g. a goal that speaks of what the surface would not be
        return None
    view = verdict_view(checked)
    first = next((f for f in view["findings"] if f["share"] is not None), None)
    return {
        "status": view["status"],
        "rule": first["title"] if first else "",
        "measured": first["measured"] if first else "",
        "margin": first["margin"] if first else "",
    }


def _least(board: Board) -> Response:
    """The least that must change, as the page of `soakline change` says it; what may change."""
    from checker.papers.change import change_page
    from checker.solve.goal import goal_of

    checked = board.full()
    site = checked.site
    goal = goal_of(site, checked.ruleset, must_be_open=False)
    told: dict[str, Any] = {"may": _may(site), "page": [], "pieces": {}}
    if any(goal.is_open(surface) for surface in site.surfaces):
        options = board.least()
        told["page"] = page_data(change_page(options))
        told["pieces"] = {
            option.key: [
                ring for piece in option.pieces for ring in rings_of(piece.shape, site.unit)
            ]
            for option in options.options
        }
    return JSONResponse(told)


def _may(site: Site) -> list[dict[str, Any]]:
    """The paving that could change, and what the file lets it become."""
    return [
        {
            "id": surface.id,
            "title": clean(surface.title),
            "stage": surface.stage,
            "material": surface.material.id,
            "may_become": [material.id for material in surface.may_become],
        }
        for surface in site.surfaces
        if surface.stage != "removed"
        and not surface.is_fixed
        and surface.material.level == "ground"
        and surface.material.group in PAVING
    ]


def _taken(board: Board, asked: OptionTaken) -> Response:
    """Take an option of the least change."""
    text = api.option_text(board.least(), asked.option)
    return board.answer(board.desk.write_anew(text, "least change taken", asked.revision))
