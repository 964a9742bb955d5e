"""Writes files whole or not at all, and never over what should be kept."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from checker.core.problems import BadInput, Place, Problem


def _refused(path: Path, says: str, do: str) -> BadInput:
    shown = path.as_posix()
    return BadInput(f"{shown} cannot be written", [Problem(Place(shown), says, do)])


def save(path: Path, content: str | bytes, *, may_replace: bool = False) -> Path:
    """Write a file through a temporary one beside it, so that half of it is never seen.

    Args:
        path: The file; its folder is made when it is missing.
        content: Text is written as UTF-8 with plain line ends.
        may_replace: A file that exists may be written over.

    Raises:
        BadInput: It exists and may not be replaced, or cannot be written.
    """
    if path.exists() and not (may_replace and path.is_file()):
        raise _refused(path, "is there already", "choose another name, or move it away")
    raw = content.encode("utf-8") if isinstance(content, str) else content
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".soakline-", dir=path.parent)
    except (OSError, ValueError) as error:
        raise _refused(
            path, f"the folder cannot be used: {_reason(error)}", "choose another"
        ) from error
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(raw)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except OSError as error:
        Path(name).unlink(missing_ok=True)
        raise _refused(path, f"cannot be written: {_reason(error)}", "choose another") from error
    return path


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or "the name cannot be used"
