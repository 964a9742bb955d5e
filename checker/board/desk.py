"""The design that is being worked on: its plan, what was done to it, and the file behind it.

Everything that changes it passes through one lock and is in the journal before it is answered.
"""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

import msgspec

from checker.board.changes import Change, Refused
from checker.board.journal import (
    Edit,
    History,
    JournalLine,
    digest,
    edit_between,
    held_for,
    replayed,
)
from checker.board.plan import Plan, changed, plan_of, rewritten
from checker.board.sentences import sentence
from checker.core.problems import BadInput, Place, Problem
from checker.files.opening import decoded, read_bytes
from checker.files.saving import replace_known

if TYPE_CHECKING:
    from pathlib import Path
    from typing import Literal

OUTSIDE = "the file as it was changed elsewhere"


class Stale(Exception):
    """A request speaks of a plan that has moved on."""


class Desk:
    """One design and its file.

    Args:
        path: The site file.

    Raises:
        BadInput: The file cannot be read, or is no site file.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.lock = threading.RLock()
        self._thinking = threading.Lock()
        self._tried: tuple[Plan | None, bytes, Plan | Refused] = (None, b"", Refused("", ""))
        text = _text(path)
        plan_of(text, path)
        self.journal = held_for(path)
        history = replayed(self.journal.steps())
        self.was_left_open = False
        if history is None or not _is_readable(history.text, path):
            self.journal.begin()
            self.journal.let_go()
            self.journal = held_for(path)
            self.history = History()
            self.plan = plan_of(text, path)
            self._record("open", "opened", edit_between("", text))
        else:
            self.history = history
            self.plan = plan_of(history.text, path)
            self.was_left_open = digest(history.text) != history.saved
            if not self.was_left_open and history.saved != digest(text):
                self.plan = plan_of(text, path)
                self._record("open", "opened", edit_between(history.text, text))

    def close(self) -> None:
        """Leave the file to others; nothing is lost, all is in the journal."""
        self.journal.let_go()

    @property
    def is_saved(self) -> bool:
        """Whether the file holds what the board shows."""
        return digest(self.plan.text) == self.history.saved

    @property
    def is_changed_outside(self) -> bool:
        """Whether somebody else wrote the file since it was last read or written here."""
        try:
            return digest(_text(self.path)) != self.history.saved
        except BadInput:
            return True

    def change(self, change: Change, revision: int, key: str = "") -> Plan | Refused:
        """Make a change.

        Raises:
            Stale: The plan has moved on since.
        """
        with self.lock:
            if key and key in self.history.keys:
                return self.plan
            self._must_be(revision)
            found = self._after(self.plan, change)
            # What no file may say has no sentence either.
            says = "" if isinstance(found, Refused) else sentence(change)
            return self._taken(found, says, key)

    def preview(self, change: Change, revision: int) -> Plan | Refused:
        """What a change would give; nothing is kept.

        Raises:
            Stale: The plan has moved on since.
        """
        with self.lock:
            self._must_be(revision)
            plan = self.plan
        return self._after(plan, change)

    def _after(self, plan: Plan, change: Change) -> Plan | Refused:
        """A plan after a change; what was looked at while a hand moved is there when it lets go."""
        asked = msgspec.json.encode(change)
        with self._thinking:
            before, tried, found = self._tried
            if before is not plan or tried != asked:
                found = changed(plan, change)
                self._tried = (plan, asked, found)
            return found

    def write_anew(self, text: str, says: str, revision: int) -> Plan | Refused:
        """Take a whole text as the design, as one step: a found option, a file changed elsewhere.

        Raises:
            Stale: The plan has moved on since.
        """
        with self.lock:
            self._must_be(revision)
            return self._taken(rewritten(self.plan, text), says)

    def undo(self, revision: int) -> Plan | Refused:
        """Take the last step back.

        Raises:
            Stale: The plan has moved on since.
        """
        with self.lock:
            self._must_be(revision)
            if not self.history.done:
                return Refused("there is nothing to undo", "")
            step = self.history.done[-1]
            return self._moved("undo", step, step.edit.inverse if step.edit else None)

    def redo(self, revision: int) -> Plan | Refused:
        """Make the last step that was undone again.

        Raises:
            Stale: The plan has moved on since.
        """
        with self.lock:
            self._must_be(revision)
            if not self.history.undone:
                return Refused("there is nothing to redo", "")
            step = self.history.undone[-1]
            return self._moved("redo", step, step.edit)

    def save(self, revision: int) -> Plan | Refused:
        """Write the site file; refused while it holds something that was not read here.

        Raises:
            Stale: The plan has moved on since.
            BadInput: The file cannot be written.
        """
        with self.lock:
            self._must_be(revision)
            if self.is_changed_outside:
                return Refused(
                    "the file was changed elsewhere", "take the file as it is, or keep this design"
                )
            replace_known(self.path, self.plan.text)
            self._record("save", "saved", None)
            return self.plan

    def take_file(self, revision: int) -> Plan | Refused:
        """Take the file as others left it, as a step that can be undone.

        Raises:
            Stale: The plan has moved on since.
            BadInput: The file cannot be read.
        """
        with self.lock:
            self._must_be(revision)
            text = _text(self.path)
            found = rewritten(self.plan, text)
            if isinstance(found, Refused):
                return found
            if text != self.plan.text:
                found = self._taken(found, OUTSIDE)
            self._record("save", "read from the file", None)
            return found

    def keep_design(self, revision: int) -> Plan | Refused:
        """Keep this design over what others wrote; their text stays in the journal.

        Raises:
            Stale: The plan has moved on since.
            BadInput: The file cannot be read.
        """
        with self.lock:
            own = self.plan.text
            theirs = self.take_file(revision)
            if isinstance(theirs, Refused) or self.plan.text == own:
                return theirs
            return self.undo(self.plan.revision)

    def _must_be(self, revision: int) -> None:
        if revision != self.plan.revision:
            raise Stale(f"the plan is at {self.plan.revision}")

    def _taken(self, found: Plan | Refused, says: str, key: str = "") -> Plan | Refused:
        if isinstance(found, Refused):
            return found
        edit = edit_between(self.plan.text, found.text)
        self.plan = self._recorded(found, "change", says, edit, key)
        return self.plan

    def _moved(self, kind: Literal["undo", "redo"], step: JournalLine, edit: Edit | None) -> Plan:
        text = edit.made(self.plan.text) if edit else self.plan.text
        found = plan_of(text, self.path, self.plan.revision + 1)
        self.plan = self._recorded(found, kind, step.says, edit)
        return self.plan

    def _record(self, kind: Literal["open", "save"], says: str, edit: Edit | None) -> None:
        self._recorded(self.plan, kind, says, edit)

    def _recorded(
        self,
        plan: Plan,
        kind: Literal["open", "change", "undo", "redo", "save"],
        says: str,
        edit: Edit | None,
        key: str = "",
    ) -> Plan:
        step = JournalLine(
            kind=kind, says=says, before=digest(self.history.text), after=digest(plan.text),
            edit=edit, key=key,
        )  # fmt: skip
        history = self.history.after(step)
        try:
            self.journal.write(step)
        except OSError as wrong:
            place = Place(self.journal.path.name)
            says = f"cannot be written: {wrong.strerror or wrong}"
            problem = Problem(place, says, "make room, or check its permissions")
            raise BadInput("the change was not kept", [problem]) from wrong
        self.history = history
        return plan


def _text(path: Path) -> str:
    return decoded(read_bytes(path, path.name), path.name)


def _is_readable(text: str, path: Path) -> bool:
    try:
        plan_of(text, path)
    except BadInput:
        return False
    return True
