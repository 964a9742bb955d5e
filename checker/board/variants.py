"""Variants of a design: whole site files beside it, kept by name, compared side by side.

A variant is a file like any other, `my-lot-variant-NAME.yaml`: the command line checks and compares
it too.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from checker import api
from checker.board.plan import plan_of
from checker.board.session import Board, JsonAnswer, RevisionSeen, body_of
from checker.board.shown import page_data
from checker.board.verdict import check_all
from checker.core.problems import BadInput, CheckerError
from checker.core.records import Record
from checker.files.opening import decoded, read_bytes
from checker.files.saving import save

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

    from checker.findings.checked import Checked


class VariantNamed(Record):
    """A variant that is to be kept, or taken."""

    revision: int
    name: str


def routes(board: Board) -> list[Route]:
    """The routes of variants."""

    async def listed(_: Request) -> Response:
        return await run_in_threadpool(lambda: JsonAnswer({"names": list(kept(board.desk.path))}))

    async def keep(request: Request) -> Response:
        return await run_in_threadpool(_keep, board, await body_of(request, VariantNamed))

    async def take(request: Request) -> Response:
        return await run_in_threadpool(_take, board, await body_of(request, VariantNamed))

    async def compare(request: Request) -> Response:
        await body_of(request, RevisionSeen)
        return await run_in_threadpool(_compared, board)

    post = ["POST"]
    return [
        Route("/variants", listed),
        Route("/variants/keep", keep, methods=post),
        Route("/variants/take", take, methods=post),
        Route("/variants/compare", compare, methods=post),
    ]


def kept(path: Path) -> dict[str, Path]:
    """The variants of a site file, by name."""
    stem = f"{path.stem}-variant-"
    found = sorted(path.parent.glob(f"{glob_safe(stem)}*.yaml"))
    return {file.stem.removeprefix(stem).replace("-", " "): file for file in found}


def glob_safe(text: str) -> str:
    """A text in a pattern of files, as itself."""
    return re.sub(r"([*?[])", r"[\1]", text)


def _keep(board: Board, asked: VariantNamed) -> Response:
    """Keep the design as it stands under a name; one that is there stays as it is."""
    words = re.findall(r"[a-z0-9]+", asked.name.lower())[:8]
    if not words:
        says = "a variant needs a name of letters or digits"
        return JsonAnswer({"says": says, "do": "e.g. all permeable"}, 422)
    path = board.desk.path
    file = path.with_name(f"{path.stem}-variant-{'-'.join(words)}.yaml"[:200])
    save(file, board.desk.plan.text)
    return JsonAnswer({"names": list(kept(path)), "kept": " ".join(words)})


def _take(board: Board, asked: VariantNamed) -> Response:
    """Take a variant as the design, as a step that can be undone."""
    file = kept(board.desk.path).get(asked.name)
    if file is None:
        return JsonAnswer({"says": f"there is no variant '{asked.name}'", "do": ""}, 422)
    text = decoded(read_bytes(file, file.name), file.name)
    says = f"variant {asked.name} taken"
    return board.answer(board.desk.write_anew(text, says, asked.revision))


def _compared(board: Board) -> Response:
    """The design and its variants side by side, as `soakline compare` says it."""
    designs: list[Checked] = [board.full()]
    names = ["this design"]
    wrong: list[str] = []
    for name, file in kept(board.desk.path).items():
        try:
            text = decoded(read_bytes(file, file.name), file.name)
            designs.append(check_all(plan_of(text, file).site))
        except (BadInput, CheckerError) as error:
            wrong.append(str(error))
            continue
        names.append(name)
    if len(designs) < 2:
        says = "; ".join(wrong) or "no variant is kept yet"
        return JsonAnswer({"says": says, "do": "keep one under a name first"}, 422)
    from checker.papers.comparison import comparison_page

    page = comparison_page(api.compare_designs(designs, names))
    return JsonAnswer({"names": names[1:], "page": page_data(page), "wrong": wrong})
