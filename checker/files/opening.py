"""Opens files: plain ones only, never more of them than is allowed, and never for ever."""

from __future__ import annotations

import os
import stat
from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Place, Problem

if TYPE_CHECKING:
    from pathlib import Path

MAX_BYTES: Final = 8_000_000


class Unopened(BadInput):
    """A file cannot be opened at all."""

    def named_at(self, place: Place) -> BadInput:
        """The same, told where another file names it."""
        told = [Problem(place, f"{p.place.file} {p.says}", p.do) for p in self.problems]
        return BadInput(f"{place.file} cannot be used", told)


def unreadable(shown: str, says: str, do: str) -> BadInput:
    """The refusal of a file for what it holds."""
    return BadInput(f"{shown} cannot be read", [Problem(Place(shown), says, do)])


def _unopened(shown: str, says: str, do: str) -> Unopened:
    return Unopened(f"{shown} cannot be read", [Problem(Place(shown), says, do)])


def read_bytes(path: Path, shown: str, limit: int = MAX_BYTES) -> bytes:
    """The bytes of a file.

    Args:
        path: The file.
        shown: How messages name it.
        limit: The most bytes that it may have.

    Raises:
        Unopened: It cannot be opened, is no plain file, or is larger than the limit.
    """
    try:
        # A pipe that nobody writes to would wait for ever, unless it is opened without waiting.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as stream:
            kind = os.fstat(handle)
            if not stat.S_ISREG(kind.st_mode):
                raise _unopened(shown, "is not a plain file", "name a plain file")
            if kind.st_size > limit:
                says = f"has {kind.st_size:,} bytes, more than the {limit:,} allowed"
                raise _unopened(shown, says, "split it")
            # Some files of the system tell no size and have no end.
            raw = stream.read(limit + 1)
    except IsADirectoryError as error:
        raise _unopened(shown, "is a folder, not a file", "name the file inside it") from error
    except FileNotFoundError as error:
        do = "check the name and the folder you are in"
        raise _unopened(shown, "does not exist", do) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        do = "check its name and permissions"
        raise _unopened(shown, f"cannot be opened: {reason}", do) from error
    if len(raw) > limit:
        raise _unopened(shown, f"has more than the {limit:,} bytes allowed", "split it")
    return raw


def decoded(raw: bytes, shown: str) -> str:
    """UTF-8 text, with or without a mark of its byte order.

    Raises:
        BadInput: It is something else, with the line and column.
    """
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        column = error.start - (raw.rfind(b"\n", 0, error.start) + 1) + 1
        problem = Problem(
            Place(shown, line, column), "is not UTF-8 text", "save the file as UTF-8 text"
        )
        raise BadInput(f"{shown} cannot be read", [problem]) from error
