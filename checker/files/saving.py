"""Writes files whole or not at all, together or not at all, and never over what is not ours.

One rule for every writer: a file that is there is replaced only when it bears the mark of the same
kind of file of ours; all else is refused, with its name.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

from checker.core.problems import BadInput, Place, Problem
from checker.files.drafts import OLD, OWNER, draft, swap

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

Files = Mapping[str, str | bytes]
"""The content of each file by its name; texts are written as UTF-8 with plain line ends."""

HEAD_BYTES: Final = 1000
"""A mark of ours stands this near the start of a file."""

_FOREIGN: Final = "is there already and was not written by this program"
_OTHER: Final = "move it away, or choose another name"


def bears(path: Path, mark: str) -> bool:
    """Whether a file is plain and has a mark near its start; the empty mark is in none."""
    if not mark or path.is_symlink() or not path.is_file():
        return False
    with path.open("rb") as stream:
        return mark.encode() in stream.read(HEAD_BYTES)


def save(path: Path, content: str | bytes, mark: str = "") -> Path:
    """Write one file; its folder is made when it is missing.

    Args:
        path: The file.
        content: What it holds.
        mark: Stands near the start of the content; a file there with the same mark is replaced.
            Without one nothing is.

    Raises:
        BadInput: Something else is there, or it cannot be written.
    """
    with _told(path, f"{path.as_posix()} cannot be written"):
        is_there = path.exists() or path.is_symlink()
        if is_there and not bears(path, mark):
            raise _refused(path, mark)
        path.parent.mkdir(parents=True, exist_ok=True)
        with draft(path.parent) as folder:
            new = folder / "new"
            new.write_bytes(_raw(content))
            _place(new, path, mark, is_there=is_there)
    return path


def refuse_taken(path: Path) -> None:
    """Tell before long work that something is there which would not be written over.

    Raises:
        BadInput: There is, or nothing can be written there.
    """
    with _told(path, f"{path.as_posix()} cannot be written"):
        is_there = path.exists() or path.is_symlink()
    if is_there:
        raise _refused(path, "")


def save_together(folder: Path, files: Files, marks: Mapping[str, str], title: str) -> list[Path]:
    """Write pages that belong together into a folder, in which other files stay as they are.

    Where nothing else lies in the folder, the new pages take the place of the old ones in one
    step. Beside other files the old pages go first and the new ones follow, so that no page ever
    stands beside one of another design.

    Args:
        folder: Is made when it is missing.
        files: The pages.
        marks: The mark that each page bears, by its name.
        title: What a refusal is headed with.

    Returns:
        The files written.

    Raises:
        BadInput: Something else is there under one of the names, or the disk refuses.
    """
    with _told(folder, title):
        refuse_others(folder, marks, title)
        own = folder.parent.is_dir() and _may_swap(folder, files)
        if own or not folder.exists():
            save_folder(folder, files, lambda there: refuse_others(there, marks, title), title)
        else:
            _save_among_others(folder, files)
    return [folder / name for name in files]


def refuse_others(folder: Path, marks: Mapping[str, str], title: str) -> None:
    """Refuse a folder that holds something of others under one of the names.

    Raises:
        BadInput: With each of them.
    """
    if folder.exists() and not folder.is_dir():
        do = "choose another folder"
        raise BadInput(title, [Problem(Place(folder.as_posix()), "is a file, not a folder", do)])
    foreign = [
        folder / name
        for name, mark in marks.items()
        if ((folder / name).exists() or (folder / name).is_symlink())
        and not bears(folder / name, mark)
    ]
    if foreign:
        do = "move it away, or choose another folder"
        problems = [Problem(Place(path.as_posix()), _FOREIGN, do) for path in foreign]
        raise BadInput(title, problems)


def save_folder(folder: Path, files: Files, refuse: Callable[[Path], None], title: str) -> None:
    """Write a folder that holds these files and nothing else, in one step.

    Args:
        folder: Where it comes to lie; one that is there is replaced when it is ours.
        files: What it holds.
        refuse: Is given the folder that is there, and raises `BadInput` when it must be kept.
        title: What a refusal is headed with.

    Raises:
        BadInput: The folder that is there must be kept, or the disk refuses.
    """
    with _told(folder, title):
        refuse_shut(folder)
        folder.parent.mkdir(parents=True, exist_ok=True)
        with draft(folder.parent) as place:
            new = place / "new"
            new.mkdir()
            for name, content in files.items():
                (new / name).write_bytes(_raw(content))
            while not _moved(new, folder):
                refuse(folder)
                if _replaced(place, new, folder, refuse):
                    return


def refuse_shut(folder: Path) -> None:
    """Tell before long work that its folder could not be written.

    Raises:
        PermissionError: It, or the folder that it would lie in, may not be written to.
    """
    if folder.is_dir() and not os.access(folder, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    above = folder.parent
    while not above.exists() and above != above.parent:
        above = above.parent
    if not os.access(above, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))


def _moved(new: Path, folder: Path) -> bool:
    """Put a folder where none is; False when there is one."""
    try:
        new.rename(folder)
    except OSError as error:
        if error.errno in {errno.ENOTEMPTY, errno.EEXIST, errno.ENOTDIR} or folder.exists():
            return False
        raise
    return True


def _replaced(place: Path, new: Path, folder: Path, refuse: Callable[[Path], None]) -> bool:
    """Put a folder where another is; False when that one is gone meanwhile."""
    try:
        if swap(new, folder):
            try:
                refuse(new)
            except BadInput:  # somebody laid a file there at the last moment
                swap(new, folder)
                raise
            return True
        (place / OWNER).write_text(folder.name, encoding="utf-8")
        folder.rename(place / OLD)
    except FileNotFoundError:
        return False
    try:
        new.rename(folder)
    except OSError:
        (place / OLD).rename(folder)
        raise
    return True


def _may_swap(folder: Path, files: Files) -> bool:
    """Whether a folder holds nothing but these files, and nobody stands in it."""
    if folder.is_symlink() or not folder.is_dir() or folder.is_mount():
        return False
    here, there = Path.cwd().resolve(), folder.resolve()
    is_free = here != there and there not in here.parents and os.access(folder.parent, os.W_OK)
    return is_free and all(entry.name in files for entry in folder.iterdir())


def _save_among_others(folder: Path, files: Files) -> None:
    with draft(folder) as place:
        new, old = place / "new", place / OLD
        new.mkdir()
        old.mkdir()
        for name, content in files.items():
            (new / name).write_bytes(_raw(content))
        try:
            for name in files:
                if (folder / name).exists():
                    (folder / name).rename(old / name)
            for name in files:
                (new / name).rename(folder / name)
        except OSError:
            for name in files:
                if (old / name).exists():
                    (old / name).replace(folder / name)
                elif not (new / name).exists():
                    (folder / name).unlink(missing_ok=True)
            raise


def _place(new: Path, path: Path, mark: str, *, is_there: bool) -> None:
    """Give a draft its name; one that appeared meanwhile is kept, unless it is ours too."""
    if not is_there:
        try:
            os.link(new, path)
        except FileExistsError:
            if not bears(path, mark):
                raise _refused(path, mark) from None
        except OSError:  # a disk without links
            if path.exists() and not bears(path, mark):
                raise _refused(path, mark) from None
        else:
            return
    new.replace(path)


def _raw(content: str | bytes) -> bytes:
    return content.encode("utf-8") if isinstance(content, str) else content


def _refused(path: Path, mark: str) -> BadInput:
    says = _FOREIGN if mark else "is there already"
    title = f"{path.as_posix()} cannot be written"
    return BadInput(title, [Problem(Place(path.as_posix()), says, _OTHER)])


@contextmanager
def _told(path: Path, title: str) -> Iterator[None]:
    """What the system refuses, in our words."""
    try:
        yield
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        if isinstance(error, FileExistsError | NotADirectoryError):
            reason = "a file stands where a folder must"
        do = "choose another place, or check its permissions"
        problem = Problem(Place(path.as_posix()), f"cannot be written: {reason}", do)
        raise BadInput(title, [problem]) from error


def replace_known(path: Path, content: str) -> None:
    """Write a file anew that the caller has read and answers for; whole or not at all.

    Raises:
        BadInput: It cannot be written; it is then as it was.
    """
    with _told(path, f"{path.as_posix()} cannot be written"):
        target = path.resolve()
        with draft(target.parent) as folder:
            new = folder / "new"
            new.write_bytes(_raw(content))
            if target.exists():
                new.chmod(target.stat().st_mode & 0o777)
            new.replace(target)
