"""One design on the board, with its verdicts as far as they were asked for."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING, Any

import msgspec
from starlette.responses import Response

from checker import api
from checker.board.changes import Change, Refused
from checker.board.cutting import distances
from checker.board.verdict import FastVerdict, check_all, check_fast
from checker.board.views import plan_view, verdict_view
from checker.core.problems import CheckerError
from checker.core.records import Record

if TYPE_CHECKING:
    from starlette.requests import Request

    from checker.board.desk import Desk
    from checker.board.guard import Tickets
    from checker.board.plan import Plan
    from checker.findings.checked import Checked
    from checker.solve.options import Options


class RevisionSeen(Record):
    """A request about a plan."""

    revision: int


class ChangeTried(Record):
    """A change that is only looked at; `of` is the surface whose distances are to be told."""

    revision: int
    sequence: int
    change: Change
    of: str = ""


async def body_of(request: Request, kind: type[Any]) -> Any:  # noqa: ANN401 - the kind asked for
    """What a request asks, read as a record of one kind.

    Raises:
        MsgspecError: It is none.
    """
    return msgspec.json.decode(await request.body(), type=kind)


class JsonAnswer(Response):
    """Plain data as JSON."""

    media_type = "application/json"

    def render(self, content: object) -> bytes:
        """The bytes of it."""
        return msgspec.json.encode(content)


class Board:
    """One design and its verdicts as far as they were asked for."""

    def __init__(self, desk: Desk, keys: Tickets) -> None:
        self.desk = desk
        self.keys = keys
        self._work = threading.Lock()
        self._fast: tuple[int, FastVerdict | None, str] = (-1, None, "")
        self._full: tuple[int, Checked | None] = (-1, None)
        self._least: tuple[int, Options | None] = (-1, None)

    def fast(self) -> tuple[FastVerdict | None, str]:
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
        with self._work:
            # Who had to wait for the one before is told of the plan as it is now.
            plan = self.desk.plan
            if self._full[0] != plan.revision or self._full[1] is None:
                self._full = (plan.revision, check_all(plan.site))
            found = self._full[1]
            assert found is not None
            return found

    def state(self) -> dict[str, Any]:
        """All that the page shows."""
        with self.desk.lock:
            verdict, problem = self.fast()
            return plan_view(self.desk, verdict, problem)

    def standing(self) -> dict[str, Any]:
        """Where the plan and its file stand, without what they hold."""
        with self.desk.lock:
            return {
                "revision": self.desk.plan.revision,
                "is_saved": self.desk.is_saved,
                "is_changed_outside": self.desk.is_changed_outside,
            }

    def answer(self, found: Plan | Refused) -> Response:
        """A plan as the page shows it, or why there is none."""
        if isinstance(found, Refused):
            return JsonAnswer({"says": found.says, "do": found.do}, 422)
        return JsonAnswer(self.state())

    def preview(self, tried: ChangeTried) -> Response:
        """The verdict that a change would bring; nothing is kept."""
        found = self.desk.preview(tried.change, tried.revision)
        if isinstance(found, Refused):
            return JsonAnswer({"sequence": tried.sequence, "says": found.says, "do": found.do})
        fast = check_fast(found.site)
        view = verdict_view(fast.checked, fast.late)
        moved = next((one for one in found.site.surfaces if one.id == tried.of), None)
        rows = distances(found.site, moved.shape, tried.of) if moved is not None else []
        return JsonAnswer({"sequence": tried.sequence, "verdict": view, "distances": rows})

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
