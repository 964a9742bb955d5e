"""A process beside the board, in which storms are followed: who draws does not wait for them.

It is given the text of a plan and gives the verdict back as the page shows it. It ends with the
board, however that ends, since its end of the pipe is closed then.
"""

from __future__ import annotations

import threading
from pathlib import Path
from typing import TYPE_CHECKING, Any

from checker.core.problems import CheckerError
from checker.core.records import Record

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

    from checker.board.plan import Plan


class NoHelp(Exception):
    """The process ended before it answered."""


class Judged(Record):
    """What came of a plan: its verdict as the page shows it, or why there is none."""

    view: dict[str, Any] | None
    problem: str = ""


class Aside:
    """The process, which is started when it is first needed."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._line: Connection | None = None

    def start(self) -> None:
        """Begin to load what storms need, before anybody asks."""
        with self._turn:
            self._started()

    def judged(self, plan: Plan) -> Judged:
        """The verdict of every rule of a plan.

        Raises:
            NoHelp: The process was ended.
        """
        with self._turn:
            line = self._started()
            try:
                line.send((plan.text, str(plan.path)))
                return Judged(*line.recv())
            except (EOFError, OSError) as wrong:
                line.close()
                self._line = None
                raise NoHelp from wrong

    def _started(self) -> Connection:
        if self._line is None:
            import multiprocessing

            beside = multiprocessing.get_context("spawn")
            own, given = beside.Pipe()
            beside.Process(target=_answer, args=(given,), daemon=True).start()
            given.close()
            self._line = own
        return self._line


def _answer(line: Connection) -> None:
    """Judge what comes in, until the board is gone."""
    from checker.board.plan import plan_of
    from checker.board.verdict import check_all
    from checker.board.views import verdict_view

    while True:
        try:
            text, path = line.recv()
        except (EOFError, KeyboardInterrupt):
            return
        try:
            line.send((verdict_view(check_all(plan_of(text, Path(path)).site)), ""))
        except CheckerError as wrong:
            line.send((None, str(wrong)))
        except (OSError, KeyboardInterrupt):
            return
