"""The working folder of a screening: what is dealt out, what is done, where to go on after a kill.

It lies beside the output and is named after it. A digest of all that the result hangs on stands in
it: a later run with the same digest goes on where the former one stopped, any other begins anew.
Files appear in it whole or not at all.
"""

from __future__ import annotations

import hashlib
import json
import secrets
import shutil
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from checker.core.problems import BadInput, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

_MARK: Final = "soakline-screening"


class WorkFolder:
    """A working folder.

    Args:
        folder: Where it is.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @classmethod
    def begun(cls, output: Path, digest: str) -> WorkFolder:
        """The working folder of an output, with what a former run of the same work left in it.

        Raises:
            BadInput: Something else has its name, or it cannot be made.
        """
        folder = output.with_name(f"{output.name}.work")
        mark = folder / _MARK
        try:
            if folder.exists() or folder.is_symlink():
                if folder.is_symlink() or not mark.is_file():
                    says = f"{folder.name} is there already and was not made by this program"
                    problem = Problem(Place(folder.as_posix()), says, "move it away")
                    raise BadInput("cannot be screened", [problem])
                if mark.read_text(encoding="utf-8") == digest:
                    return cls(folder)
                shutil.rmtree(folder)
            folder.mkdir(parents=True)
            mark.write_text(digest, encoding="utf-8")
        except OSError as error:
            says = f"the working folder cannot be made: {error.strerror}"
            raise BadInput(
                "cannot be screened", [Problem(Place(folder.as_posix()), says)]
            ) from error
        return cls(folder)

    def path(self, name: str) -> Path:
        """A file in it."""
        return self.folder / name

    @contextmanager
    def whole(self, name: str) -> Iterator[Path]:
        """A path to write to; the file appears under its name when all of it is there."""
        # A worker taken for lost may still be writing, on another machine with the same number.
        draft = self.folder / f"{name}.{secrets.token_hex(8)}.draft"
        yield draft
        draft.replace(self.folder / name)

    def has(self, *names: str) -> bool:
        """Whether files are done."""
        return all((self.folder / name).is_file() for name in names)

    def end(self) -> None:
        """Remove it."""
        shutil.rmtree(self.folder, ignore_errors=True)


def digest_of(files: Iterable[Path], texts: Iterable[str]) -> str:
    """What tells whether the same work is to be done: what files hold, texts whole."""
    found: list[Any] = []
    for path in files:
        with path.open("rb") as stream:
            found.append([path.name, hashlib.file_digest(stream, "blake2b").hexdigest()])
    return hashlib.sha256(json.dumps([found, list(texts)]).encode()).hexdigest()
