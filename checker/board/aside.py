"""A process beside the board, in which storms are followed: who draws does not wait for them.

It is given the text of a plan, a line of JSON each, and gives the verdict back as the page shows
it. It ends with the board, however that ends, since its input is closed then.
"""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
import weakref
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import msgspec

from checker.core.problems import CheckerError
from checker.core.records import Record

if TYPE_CHECKING:
    from checker.board.plan import Plan

_PACKAGE: Final = Path(__file__).resolve().parents[2]


class NoHelp(Exception):
    """The process ended before it answered."""


class PlanToJudge(Record):
    """What it is asked: the text of a plan, and where its file lies."""

    text: str
    path: str


class LateVerdict(Record):
    """What came of a plan: its verdict as the page shows it, or why there is none."""

    view: dict[str, Any] | None
    problem: str = ""


class Aside:
    """The process, which is started when it is first needed."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Begin to load what storms need, before anybody asks."""
        with self._turn:
            self._started()

    def judged(self, plan: Plan) -> LateVerdict:
        """The verdict of every rule of a plan.

        Raises:
            NoHelp: The process was ended, or cannot be started.
        """
        with self._turn:
            try:
                process = self._started()
                assert process.stdin is not None
                assert process.stdout is not None
                asked = PlanToJudge(plan.text, str(plan.path))
                process.stdin.write(msgspec.json.encode(asked) + b"\n")
                process.stdin.flush()
                return msgspec.json.decode(process.stdout.readline(), type=LateVerdict)
            except (OSError, msgspec.DecodeError) as wrong:
                if self._process is not None:
                    _end(self._process)
                    self._process = None
                raise NoHelp from wrong

    def _started(self) -> subprocess.Popen[bytes]:
        if self._process is None:
            begin = f"from {__name__} import {answer.__name__} as begin; begin()"
            code = f"import sys; sys.path.insert(0, sys.argv[1]); {begin}"
            # Nothing is loaded from the folder that the person is in (-P).
            self._process = subprocess.Popen(
                [sys.executable, "-P", "-c", code, str(_PACKAGE)],
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            )  # fmt: skip
            weakref.finalize(self, _end, self._process)
        return self._process


def _end(process: subprocess.Popen[bytes]) -> None:
    process.kill()
    process.communicate()


def answer() -> None:
    """Judge what comes in, until the board is gone."""
    from checker.board.plan import plan_of
    from checker.board.verdict import check_all
    from checker.board.views import verdict_view

    # Whoever stops the board by Ctrl+C stops this one with it, by closing its input.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for line in sys.stdin.buffer:
        asked = msgspec.json.decode(line, type=PlanToJudge)
        try:
            view = verdict_view(check_all(plan_of(asked.text, Path(asked.path)).site))
            found = LateVerdict(view)
        except CheckerError as wrong:
            found = LateVerdict(None, str(wrong))
        sys.stdout.buffer.write(msgspec.json.encode(found) + b"\n")
        sys.stdout.buffer.flush()
