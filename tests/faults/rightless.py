"""Runs a call bound by the permissions of files, which mean nothing to root."""

from __future__ import annotations

import ctypes
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
# From linux/capability.h: the version of the call that takes two words for each set of rights.
_CAPABILITY_VERSION_3 = 0x20080522


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


def _give_up_rights() -> None:
    """Takes root's power over permissions from this process; its user, and what that owns, stay.

    Another user could not look into a checkout that lies in a folder of ours alone.
    """
    header = (ctypes.c_uint32 * 2)(_CAPABILITY_VERSION_3, 0)
    none = (ctypes.c_uint32 * 6)()
    if ctypes.CDLL(None, use_errno=True).capset(header, none) != 0:
        raise OSError(ctypes.get_errno(), "the rights of root cannot be given up")


def without_rights(call: Callable[[], T]) -> T:
    """What a call gives in a process of its own, in which a file's permissions bind root too."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.geteuid() == 0:
                _give_up_rights()
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
