"""Runs a call as a user who may do nothing special: permissions mean nothing to root."""

from __future__ import annotations

import os
import pickle
import shutil
import tempfile
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

T = TypeVar("T")
_NOBODY = 65534


@contextmanager
def open_folder() -> Iterator[Path]:
    """A folder that every user may look into and write to."""
    folder = Path(tempfile.mkdtemp(prefix="open-"))
    folder.chmod(0o777)
    try:
        yield folder
    finally:
        for path in [folder, *folder.rglob("*")]:
            if path.is_dir() and not path.is_symlink():
                path.chmod(0o777)
        shutil.rmtree(folder, ignore_errors=True)


def as_nobody(call: Callable[[], T]) -> T:
    """What a call gives in a process of its own, without root's rights where we are root.

    What the call needs must be imported before: nobody may not see where it lies.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.geteuid() == 0:
                os.setgroups([])
                os.setgid(_NOBODY)
                os.setuid(_NOBODY)
            told = pickle.dumps((True, call()))
        except BaseException:
            told = pickle.dumps((False, traceback.format_exc()))
        with os.fdopen(writing, "wb") as stream:
            stream.write(told)
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        is_well, found = pickle.loads(stream.read())
    os.waitpid(child, 0)
    assert is_well, found
    return found  # type: ignore[no-any-return]
