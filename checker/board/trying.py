"""Requests that try something without changing the design: other materials, the least change."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from checker import api
from checker.board.changes import Group, Refused, Set
from checker.board.outlines import rings_of
from checker.board.plan import changed
from checker.board.session import Board, JsonAnswer, body_of
from checker.board.shown import page_data
from checker.board.verdict import check_fast
from checker.board.views import verdict_view
from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.core.units import Amount
from checker.site.materials import materials
from checker.words.amounts import change_text, clean

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from starlette.requests import Request

    from checker.board.plan import Plan
    from checker.board.verdict import FastVerdict
    from checker.core.units import System
    from checker.site.model import Site

PAVING: Final = frozenset({"Walks patio and deck", "Driveway and parking"})
"""The groups of materials that can be built as another one or left open."""

MOST_TRIED: Final = 64
"""Every combination up to so many; beyond, each surface by itself and all of them alike."""

Mix = dict[str, str]


class OptionTaken(Record):
    """An option of the least change that is taken."""

    revision: int
    option: str


class MixesAsked(Record):
    """Surfaces that are to be tried in materials."""

    surfaces: tuple[str, ...]
    materials: tuple[str, ...]


def routes(board: Board) -> list[Route]:
    """The routes of what is tried."""

    async def tried(request: Request) -> Response:
        return await run_in_threadpool(_tried, board, await body_of(request, MixesAsked))

    async def least(_: Request) -> Response:
        return await run_in_threadpool(_least, board)

    async def take(request: Request) -> Response:
        return await run_in_threadpool(_taken, board, await body_of(request, OptionTaken))

    return [
        Route("/tries", tried, methods=["POST"]),
        Route("/least-change", least),
        Route("/least-change/take", take, methods=["POST"]),
    ]


def _tried(board: Board, asked: MixesAsked) -> Response:
    """The verdict, cover and cost of surfaces in each mix of materials, the best first."""
    with board.desk.lock:
        plan = board.desk.plan
    now = {
        entry["id"]: entry.get("material")
        for entry in plan.data["surfaces"]
        if entry["id"] in asked.surfaces
    }
    known = [name for name in asked.materials if name in materials()]
    if not now or not known:
        return JsonAnswer({"says": "choose surfaces and materials to try", "do": ""}, 422)
    titles = {surface.id: clean(surface.title) for surface in plan.site.surfaces}
    drawn = _first_measured(board.told(plan).verdict)
    rows = [
        row | {"mix": mix, "says": _says(mix, now, titles)}
        for mix in mixes(tuple(now), known)
        if (row := _row(plan, mix, now, drawn)) is not None
    ]
    rows.sort(key=lambda row: (not row["is_met"], row["cents"] is None, row["cents"] or 0))
    return JsonAnswer({"revision": plan.revision, "rows": rows})


def mixes(surfaces: tuple[str, ...], known: list[str]) -> Iterator[Mix]:
    """Every mix of materials; of many each surface by itself and all alike, each mix once."""
    if len(known) ** len(surfaces) <= MOST_TRIED:
        yield from (
            dict(zip(surfaces, mix, strict=True)) for mix in product(known, repeat=len(surfaces))
        )
        return
    for material in known:
        yield dict.fromkeys(surfaces, material)
        yield from ({surface: material} for surface in surfaces[: MOST_TRIED // len(known)])


def _says(mix: Mix, now: Mapping[str, str | None], titles: Mapping[str, str]) -> str:
    parts = [
        f"{titles[surface]}: {clean(materials()[material].title).lower()}"
        for surface, material in mix.items()
        if material != now[surface]
    ]
    return "; ".join(parts) or "as drawn"


def _first_measured(fast: FastVerdict | None) -> Amount | None:
    """The number that stands first in a verdict; None where there is none."""
    found = (f.measured for f in fast.checked.verdict.findings if f.limit) if fast else iter(())
    return next((amount for amount in found if amount is not None), None)


def _by(drawn: Amount | None, tried: Amount | None, system: System) -> str:
    """How much a number is more or less than as drawn: "-412 sq ft"."""
    if drawn is None or tried is None or drawn.dimension != tried.dimension:
        return ""
    by = Amount(round(tried.value_si - drawn.value_si, 6), drawn.dimension, drawn.unit)
    return change_text(by, system) if by.value_si else "no change"


def _row(
    plan: Plan, mix: Mix, now: Mapping[str, str | None], drawn: Amount | None
) -> dict[str, Any] | None:
    """What a mix comes to; None where it cannot be, e.g. what the file says does not fit it."""
    changes = tuple(
        Set("surfaces", surface, ("material",), material, now[surface])
        for surface, material in mix.items()
        if material != now[surface]
    )
    after = changed(plan, Group(changes)) if changes else plan
    if isinstance(after, Refused):
        return None
    from checker.solve.compare import work_cents
    from checker.words.changes import money

    try:
        fast = check_fast(after.site)
        cents = work_cents(fast.checked)
    except CheckerError:
        return None
    view = verdict_view(fast.checked, fast.late)
    first = next((f for f in view["findings"] if f.get("share") is not None), None)
    return {
        "status": view["status"],
        "is_met": fast.checked.verdict.is_met,
        "rule": first["title"] if first else "",
        "measured": first["measured"] if first else "",
        "margin": first["margin"] if first else "",
        "by": _by(drawn, _first_measured(fast), fast.checked.system),
        "cents": cents,
        "cost": "no price" if cents is None else money(cents),
        "is_now": not changes,
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
    return JsonAnswer(told)


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
