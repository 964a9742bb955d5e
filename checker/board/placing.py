"""Requests that make a place of one's own: the form for a new place, answered on the page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from checker import api
from checker.board.changes import Set
from checker.board.session import Board, JsonAnswer, body_of
from checker.core.problems import CheckerError
from checker.core.records import Record
from checker.words.amounts import capital

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.requests import Request


class PlaceDrafted(Record):
    """Answers that are to be read back in plain English."""

    answers: dict[str, str]


class PlaceAsked(Record):
    """A place that is to be written beside the site file, and used."""

    revision: int
    answers: dict[str, str]
    confirmed: tuple[str, ...] = ()


def routes(board: Board) -> list[Route]:
    """The routes of the form for a new place."""

    async def form(_: Request) -> Response:
        return JsonAnswer({"questions": questions()})

    async def draft(request: Request) -> Response:
        return await run_in_threadpool(_draft, await body_of(request, PlaceDrafted))

    async def write(request: Request) -> Response:
        return await run_in_threadpool(_write, board, await body_of(request, PlaceAsked))

    return [
        Route("/place-form", form),
        Route("/place-form/draft", draft, methods=["POST"]),
        Route("/place-form/write", write, methods=["POST"]),
    ]


def questions() -> list[dict[str, object]]:
    """What the form asks, in order."""
    return [
        {
            "key": asked.key,
            "ask": f"{capital(asked.ask)} count" if asked.materials else asked.ask,
            "like": asked.like,
            "is_needed": asked.is_needed,
            "is_surface": bool(asked.materials),
        }
        for asked in api.form_questions()
    ]


def _name_of(answers: Mapping[str, str]) -> str:
    """The id of a place, from its title."""
    from checker.rulesets.form_answers import slug

    return slug(answers.get("title", ""))


def _draft(asked: PlaceDrafted) -> Response:
    """What the answers say in plain English, or which answer cannot be read."""
    for key, answer in asked.answers.items():
        try:
            api.understand_answer(key, answer)
        except (CheckerError, KeyError) as wrong:
            return JsonAnswer({"says": str(wrong), "do": "", "key": key}, 422)
    made = api.begin_ruleset(asked.answers, _name_of(asked.answers))
    return JsonAnswer(
        {
            "sentences": [sentence.says for sentence in made.sentences],
            "open": list(made.open_questions),
        }
    )


def _write(board: Board, asked: PlaceAsked) -> Response:
    """Write the rule set beside the site file and put the design under it, as one step."""
    name = _name_of(asked.answers)
    made = api.begin_ruleset(asked.answers, name, frozenset(asked.confirmed))
    path = api.new_ruleset(board.desk.path.with_name(f"{name}.yaml"), made)
    was = board.desk.plan.data["place"]
    change = Set("", "", ("place",), path.name, was)
    return board.answer(board.desk.change(change, asked.revision))
