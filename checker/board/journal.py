"""The journal of a design: every change, written down before its answer goes out.

One JSON line per step, beside the site file and readable by its owner only. It holds the edit of
the text that it made (where, what went, what came), so that undoing it brings back the same bytes,
remarks included. The first step lays down the whole text, so that a journal stands by itself and
following it is one fold. A torn last line, of a process that died while writing, is dropped.
"""

from __future__ import annotations

import hashlib
import os
import sys
from typing import TYPE_CHECKING, Final, Literal, assert_never

import msgspec

from checker.core.problems import BadInput, Place, Problem
from checker.core.records import Record
from checker.files.rereading import differing

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

MOST_BYTES: Final = 64_000_000
"""A longer journal is not read; the design is taken from the site file alone."""


class Edit(Record):
    """One edit of a text.

    Attributes:
        at: Where, in characters.
        gone: What stood there.
        come: What stands there now.
    """

    at: int
    gone: str
    come: str

    def made(self, text: str) -> str:
        """The text after it.

        Raises:
            ValueError: What should go is not there.
        """
        if text[self.at : self.at + len(self.gone)] != self.gone:
            raise ValueError("the text is another one")
        return text[: self.at] + self.come + text[self.at + len(self.gone) :]

    @property
    def inverse(self) -> Edit:
        """What takes it back."""
        return Edit(self.at, self.come, self.gone)


class JournalLine(Record, kw_only=True):
    """One line of a journal.

    Attributes:
        kind: The text as opened, a change, one taken back or made again, or the file written.
        says: What was done, in a sentence.
        before: Digest of the text before.
        after: Digest of the text after.
        edit: How the text changed; none for a save.
        key: The request's own key, so that a repeated one is not done twice.
    """

    kind: Literal["open", "change", "undo", "redo", "save"]
    says: str
    before: str
    after: str
    edit: Edit | None = None
    key: str = ""


def digest(text: str) -> str:
    """What tells one text from another."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def edit_between(before: str, after: str) -> Edit:
    """The smallest single edit that leads from one text to another."""
    start, gone = differing(before, after)
    end = len(before) - start - gone
    return Edit(start, before[start : start + gone], after[start : len(after) - end])


class Journal:
    """The journal file of one site file.

    Args:
        path: The file; it is made when the first step is written.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._held: int | None = None

    def hold(self) -> bool:
        """Keep the journal for this process; False where another one has it."""
        self.let_go()
        flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0)
        handle = os.open(self.path, flags, 0o600)
        try:
            _lock(handle)
        except OSError:
            os.close(handle)
            return False
        self._held = handle
        return True

    def let_go(self) -> None:
        """Leave the journal to others."""
        if self._held is not None:
            os.close(self._held)
            self._held = None

    def steps(self) -> list[JournalLine]:
        """All whole lines; reading stops at the first that is torn or strange, which is dropped."""
        try:
            if self.path.is_symlink() or self.path.stat().st_size > MOST_BYTES:
                return []
            raw = self.path.read_bytes()
        except OSError:
            return []
        found: list[JournalLine] = []
        whole = 0
        for line in raw.split(b"\n")[:-1]:
            try:
                found.append(msgspec.json.decode(line, type=JournalLine))
            except msgspec.MsgspecError:
                break
            whole += len(line) + 1
        if whole < len(raw):
            with self.path.open("r+b") as stream:
                stream.truncate(whole)
        return found

    def begin(self) -> None:
        """Start anew; a journal that is there is kept under the next free name."""
        if not self.path.exists() or not self.path.stat().st_size:
            return
        number = 1
        while (aside := self.path.with_name(f"{self.path.name}.{number}")).exists():
            number += 1
        self.path.rename(aside)

    def write(self, step: JournalLine) -> None:
        """Append a step and see it to the disk.

        Raises:
            OSError: It cannot be written; then nothing of it counts.
        """
        flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0)
        handle = os.open(self.path, flags, 0o600)
        try:
            size = os.fstat(handle).st_size
            line = msgspec.json.encode(step) + b"\n"
            if os.write(handle, line) != len(line):
                os.ftruncate(handle, size)
                raise OSError("the disk is full")
            os.fsync(handle)
        finally:
            os.close(handle)


def held_for(path: Path) -> Journal:
    """The journal of a site file, kept: a second board would not know of the first one's changes.

    Raises:
        BadInput: Another board has it.
    """
    journal = Journal(path.with_name(path.name + ".journal"))
    if not journal.hold():
        problem = Problem(Place(path.name), "is on a drawing board already", "close that one first")
        raise BadInput(f"{path.name} cannot be opened twice", [problem])
    return journal


def _lock(handle: int) -> None:
    """Lock a file against other processes, where the system can.

    Raises:
        OSError: Another process has it.
    """
    if sys.platform != "win32":
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class History(Record):
    """What the steps of a journal come to.

    Attributes:
        text: The design with everything that was done and not taken back.
        done: Steps that can be undone, the oldest first.
        undone: Steps that can be made again, the last undone at the end.
        saved: Digest of the site file as it was last read or written.
        keys: The keys of the requests that were carried out.
    """

    text: str = ""
    done: tuple[JournalLine, ...] = ()
    undone: tuple[JournalLine, ...] = ()
    saved: str = ""
    keys: frozenset[str] = frozenset()

    def after(self, step: JournalLine) -> History:
        """The history with one more step.

        Raises:
            ValueError: The step does not fit what came before.
        """
        text = self.text if step.edit is None else step.edit.made(self.text)
        if digest(text) != step.after:
            raise ValueError("the step belongs to another text")
        keys = self.keys | {step.key} if step.key else self.keys
        match step.kind:
            case "open":
                return History(text, (), (), step.after, keys)
            case "change":
                return History(text, (*self.done, step), (), self.saved, keys)
            case "undo":
                return History(
                    text, self.done[:-1], (*self.undone, self.done[-1]), self.saved, keys
                )
            case "redo":
                return History(
                    text, (*self.done, self.undone[-1]), self.undone[:-1], self.saved, keys
                )
            case "save":
                return History(text, self.done, self.undone, step.after, keys)
            case _:
                assert_never(step.kind)


def replayed(steps: Sequence[JournalLine]) -> History | None:
    """What the steps of a journal come to; None where they do not follow on each other."""
    history = History()
    try:
        for step in steps:
            history = history.after(step)
    except (ValueError, IndexError):
        return None
    return history if steps and steps[0].kind == "open" else None
