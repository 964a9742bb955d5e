"""Draft folders, in which files are made before they take their place, and the swap of two folders.

A draft lies beside what it becomes, under a name that nobody else has, and is locked while its
process lives. What a killed process left behind is known by its lock being gone.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

PREFIX: Final = ".soakline-draft-"
OLD: Final = "old"
"""In a draft: the folder that was moved out of the way."""
OWNER: Final = "of"
"""In a draft: the name that the moved folder had."""

_LONGEST_S: Final = 86_400.0
"""Where nothing can be locked, a draft older than a day is nobody's any more."""
_SWAP: Final = 2
_UNKNOWN: Final = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EXDEV, errno.EPERM}


@contextmanager
def draft(parent: Path) -> Iterator[Path]:
    """A new folder in a folder, which is gone at the end; what killed processes left goes first."""
    clear_stale(parent)
    folder, lock = _locked_new(parent)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if lock is not None:
            os.close(lock)


def clear_stale(parent: Path) -> None:
    """Remove the drafts of processes that live no more; a folder on its way goes back to its place.

    Nothing is said of what cannot be removed: it stands in nobody's way.
    """
    with contextlib.suppress(OSError):
        for left in sorted(parent.glob(f"{PREFIX}*")):
            if left.is_symlink() or not left.is_dir():
                continue
            with contextlib.suppress(OSError):
                lock = _lock(left)
                if lock is None and time.time() - left.stat().st_mtime < _LONGEST_S:
                    continue
                try:
                    _put_back(left)
                    shutil.rmtree(left, ignore_errors=True)
                finally:
                    if lock is not None:
                        os.close(lock)


def _put_back(left: Path) -> None:
    """Return a folder that was moved away when its process was killed before the new one came."""
    old, owner = left / OLD, left / OWNER
    if not (old.is_dir() and owner.is_file()):
        return
    name = owner.read_text(encoding="utf-8")[:255]
    target = left.parent / name
    if name and Path(name).name == name and not target.exists() and not target.is_symlink():
        old.rename(target)


def _locked_new(parent: Path) -> tuple[Path, int | None]:
    while True:
        folder = Path(tempfile.mkdtemp(prefix=PREFIX, dir=parent))
        try:
            lock = _lock(folder, is_new=True)
        except OSError:  # another process took it for stale before it was locked
            continue
        return folder, lock


def _lock(folder: Path, *, is_new: bool = False) -> int | None:
    """An open handle that holds the folder; None where folders cannot be locked.

    Raises:
        OSError: Another process holds it, or it is gone.
    """
    try:
        import fcntl
    except ImportError:  # not a POSIX system
        return None
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if is_new:
            folder.stat()
    except OSError as error:
        os.close(handle)
        if error.errno in {errno.ENOLCK, errno.ENOTSUP, errno.EINVAL, errno.EBADF}:
            return None
        raise
    return handle


def swap(first: Path, second: Path) -> bool:
    """Let two folders change places in one step that nobody sees half of.

    Returns:
        False where the system or the disk has no such step.

    Raises:
        OSError: The system has it and refuses.
    """
    import ctypes

    try:
        library = ctypes.CDLL(None, use_errno=True)
        names = os.fsencode(first), os.fsencode(second)
        if sys.platform == "darwin":
            code = library.renamex_np(*names, _SWAP)
        else:
            here = -100  # AT_FDCWD: the names are taken as they are
            code = library.renameat2(here, names[0], here, names[1], _SWAP)
    except (AttributeError, OSError, TypeError):
        return False
    if code == 0:
        return True
    number = ctypes.get_errno()
    if number in _UNKNOWN:
        return False
    raise OSError(number, os.strerror(number))
