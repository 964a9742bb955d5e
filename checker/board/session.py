"""One design on the board, with its verdicts as far as they were asked for."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any, Final

import msgspec
from starlette.responses import Response

from checker import api
from checker.board.aside import Aside, LateVerdict, NoHelp
from checker.board.changes import Change, Refused
from checker.board.cutting import distances_of
from checker.board.desk import Desk, Stale
from checker.board.differences import difference
from checker.board.plan import Plan
from checker.board.verdict import FastVerdict, check_all, check_fast
from checker.board.views import KeptViews, head_view, scene_view, verdict_view
from checker.core.problems import CheckerError
from checker.core.records import Record

if TYPE_CHECKING:
    from starlette.requests import Request

    from checker.board.guard import Tickets
    from checker.findings.checked import Checked
    from checker.solve.options import Options


class RevisionSeen(Record):
    """A request about a plan."""

    revision: int


class ChangeTried(Record):
    """A change that is only looked at; `of` in `list` is what its distances are to be told of."""

    revision: int
    sequence: int
    change: Change
    of: str = ""
    list: str = "surfaces"


class Told(Record):
    """What can be told at once of a plan, or why nothing can."""

    plan: Plan
    verdict: FastVerdict | None
    problem: str = ""


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


KNOWN: Final[ContextVar[int]] = ContextVar("KNOWN", default=-1)
"""The revision of the plan that the page has which asks; -1 where it has none."""

MOST_SCENES: Final = 8


class Board:
    """One design and its verdicts as far as they were asked for."""

    def __init__(self, desk: Desk, keys: Tickets) -> None:
        self.desk = desk
        self.keys = keys
        self.aside = Aside()
        self._work = threading.Lock()
        self._beside = ThreadPoolExecutor(1)
        self._waiting = threading.Lock()
        self._judging = threading.Lock()
        self._told: list[Told] = []
        self._scenes: dict[int, dict[str, Any]] = {}
        self._kept: KeptViews = {}
        self._full: tuple[int, Checked | None] = (-1, None)
        self._late: tuple[int, LateVerdict | None] = (-1, None)
        self._least: tuple[int, Options | None] = (-1, None)

    def begin(self) -> None:
        """Have ready what the page asks first."""
        self.state()
        told = self.told(self.desk.plan)
        if told.verdict is not None and told.verdict.late:
            self.aside.start()

    def told(self, plan: Plan) -> Told:
        """What can be told at once of a plan, once only: a preview that is taken is known."""
        with self._judging:
            for known in self._told:
                if known.plan is plan:
                    return known
            try:
                found = Told(plan, check_fast(plan.site))
            except CheckerError as wrong:
                found = Told(plan, None, str(wrong))
            self._told = [found, *self._told[:1]]
            return found

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

    def late(self, revision: int) -> LateVerdict | None:
        """The verdict of every rule as the page shows it; None for a plan that has moved on.

        Raises:
            CheckerError: The site does not fit its rule set.
        """
        with self._waiting:
            # Who waited while the plan moved on waits no longer.
            plan = self.desk.plan
            if plan.revision != revision:
                return None
            if self._late[0] != revision:
                try:
                    found = self.aside.judged(plan)
                except NoHelp:
                    found = LateVerdict(verdict_view(self.full()))
                self._late = (revision, found)
            return self._late[1]

    def state(self) -> dict[str, Any]:
        """All that the page shows; what it has already is left out."""
        with self.desk.lock:
            plan = self.desk.plan
            told = self.told(plan)
            head = head_view(self.desk, told.problem)
            known, scene = KNOWN.get(), self._scene(plan, told)
            before = self._scenes.get(known)
            if before is None:
                return head | scene
            return head | {"since": known, "scene": difference(before, scene)}

    def _scene(self, plan: Plan, told: Told) -> dict[str, Any]:
        """What is drawn of the plan; that of the latest ones is kept."""
        if plan.revision not in self._scenes:
            self._scenes[plan.revision] = scene_view(plan, told.verdict, self._kept)
            if len(self._scenes) > MOST_SCENES:
                self._scenes.pop(next(iter(self._scenes)))
        return self._scenes[plan.revision]

    def standing(self) -> dict[str, Any]:
        """Where the plan and its file stand, without what they hold."""
        with self.desk.lock:
            return {
                "revision": self.desk.plan.revision,
                "is_saved": self.desk.is_saved,
                "is_changed_outside": self.desk.is_changed_outside,
            }

    def change(self, change: Change, revision: int, key: str = "") -> Response:
        """Make a change; it is judged while the disk takes it into the journal.

        Raises:
            Stale: The plan has moved on since.
        """
        with suppress(Stale):
            tried = self.desk.preview(change, revision)
            if isinstance(tried, Plan):
                self._beside.submit(self.told, tried)
        return self.answer(self.desk.change(change, revision, key))

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
        told = self.told(found)
        if told.verdict is None:
            return JsonAnswer({"sequence": tried.sequence, "says": told.problem, "do": ""})
        view = verdict_view(told.verdict.checked, told.verdict.late)
        rows = distances_of(found.site, tried.list, tried.of)
        answer = {"sequence": tried.sequence, "distances": rows}
        before = self._scenes.get(KNOWN.get())
        if before is None:
            return JsonAnswer(answer | {"verdict": view})
        changed = difference(before["verdict"], view)
        return JsonAnswer(answer | {"since": KNOWN.get(), "verdict": changed})

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
