"""The layers of the drawing as a form: what each holds, what it may be, what it is taken for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from checker.board.changes import Change, Drop, Group, Put, Refused, Reshape, Set, free_id
from checker.board.session import Board, JsonAnswer, body_of
from checker.core.records import Record
from checker.files.source import read_text
from checker.rulesets.form_answers import slug
from checker.site.clean import Notes
from checker.site.drawing import open_drawing
from checker.site.drawn_layers import FEATURE_KINDS, REGION_KINDS
from checker.site.layer_table import LayerRow, Taking, area_text, rows_of
from checker.site.layer_words import layer_words
from checker.site.materials import materials, without_mark

if TYPE_CHECKING:
    from starlette.requests import Request

    from checker.board.plan import Plan

IGNORE: Final = "ignore"
LOT: Final = "lot"


class LayerMeant(Record):
    """What a layer of the drawing is to be taken for; empty for nothing."""

    revision: int
    layer: str
    meaning: str


def routes(board: Board) -> list[Route]:
    """The routes of the table of layers."""

    async def table(_: Request) -> Response:
        return await run_in_threadpool(lambda: JsonAnswer(layers_view(board.desk.plan)))

    async def mean(request: Request) -> Response:
        return await run_in_threadpool(_mean, board, await body_of(request, LayerMeant))

    return [Route("/layers", table), Route("/layers/mean", mean, methods=["POST"])]


def layers_view(plan: Plan) -> dict[str, Any]:
    """Every layer that holds anything, with its area and what it is taken for."""
    meant = plan.data.get("drawing", {}).get("layers", {})
    notes = Notes(unit=plan.site.unit)
    rows = [
        {
            "layer": row.layer.name,
            "holds": area_text(row, notes),
            "meaning": without_mark(meant.get(row.layer.name, ""))[0],
            "guess": row.guess.meaning,
            "doubt": row.doubt,
        }
        for row in _rows(plan, notes)
    ]
    kinds = [LOT, IGNORE, *REGION_KINDS, *FEATURE_KINDS]
    return {"rows": rows, "kinds": kinds, "file": plan.data.get("drawing", {}).get("file", "")}


def _rows(plan: Plan, notes: Notes) -> list[LayerRow]:
    """The layers of the drawing; none where there is no drawing or it cannot be read."""
    data = plan.data.get("drawing")
    if data is None:
        return []
    own = {key: value for key, value in data.items() if key != "layers"}
    drawing = open_drawing(own, plan.site.document, plan.path, notes)
    notes.problems.stop_if_any("the drawing cannot be read")
    assert drawing is not None
    return rows_of(drawing, notes, Taking(words=layer_words(plan.path.parent)))


def _mean(board: Board, asked: LayerMeant) -> Response:
    made = meant(board.desk.plan, asked.layer, asked.meaning)
    if isinstance(made, Refused):
        return board.answer(made)
    return board.answer(board.desk.change(made, asked.revision))


def meant(plan: Plan, layer: str, meaning: str) -> Change | Refused:
    """The change by which a layer is taken for something else: the table and what follows of it."""
    notes = Notes(unit=plan.site.unit)
    row = next((row for row in _rows(plan, notes) if row.layer.name == layer), None)
    if row is None:
        return Refused(f"the drawing has no layer '{layer}'", "take the plan again")
    was = plan.data["drawing"].get("layers", {}).get(layer)
    changes: list[Put | Drop | Reshape | Set] = [
        Drop(name, entry["id"])
        for name in ("surfaces", "features", "regions")
        for entry in plan.data.get(name, [])
        if entry["shape"].get("layer") == layer
    ]
    boundary = plan.data.get("lot", {}).get("boundary", {})
    if boundary.get("layer") == layer and meaning != LOT:
        return Refused("it is the lot", "take another layer for the lot first")
    changes.append(Set("", "", ("drawing", "layers", layer), meaning or None, was))
    shape = read_text(f"shape: {row.shape or '{}'}\n", "layer").data["shape"] or {"layer": layer}
    known = {entry["id"] for name in ("surfaces", "features", "regions")
             for entry in plan.data.get(name, [])}  # fmt: skip
    name = free_id(slug(layer) or "layer", known)
    if meaning == LOT:
        changes.append(Reshape("", "", shape, boundary))
    elif meaning in materials():
        stage = {"stage": row.guess.stage} if row.guess.stage else {}
        changes.append(Put("surfaces", {"id": name, **stage, "shape": shape}))
    elif meaning in FEATURE_KINDS or meaning in REGION_KINDS:
        kind = "features" if meaning in FEATURE_KINDS else "regions"
        changes.append(Put(kind, {"id": name, "kind": meaning, "shape": shape}))
    elif meaning not in {IGNORE, ""}:
        return Refused(f"'{meaning}' is no material and no feature", "choose one of the list")
    says = f"layer {layer} taken for {meaning.replace('-', ' ') or 'nothing'}"
    return Group(tuple(changes), says)
