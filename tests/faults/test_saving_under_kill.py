"""Pages and packets are whole at every moment: under kill, beside a second run, on a full disk."""

from __future__ import annotations

import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.files import drafts, saving
from checker.files.saving import bears, save, save_folder, save_together

MARK = "<!-- ours -->"
NAMES = ("a.md", "b.md", "c.md", "d.md")
MARKS = dict.fromkeys(NAMES, MARK)
OLD = {name: f"{MARK}\nold {name}\n" for name in NAMES}
NEW = {name: f"{MARK}\nnew {name}\n" for name in NAMES}
_TOUCHES = ("open", "os.", "shutil.", "ctypes.")


def write(folder: Path, pages: dict[str, str]) -> None:
    save_together(folder, pages, MARKS, "the pages cannot be written")


def replace(folder: Path, pages: dict[str, str]) -> None:
    """As a packet is written."""

    def refuse(there: Path) -> None:
        if not all(bears(path, MARK) for path in there.iterdir()):
            raise BadInput("the packet cannot be written", [])

    save_folder(folder, pages, refuse, "the packet cannot be written")


def told(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir() if path.is_file()}


def killed_at(step: int, call: Callable[[], None]) -> bool:
    """Whether a process that makes the call was killed as it touched the disk that often.

    A file that is half written is touched, too.
    """
    child = os.fork()
    if child == 0:
        count = 0

        def hook(event: str, _arguments: object) -> None:
            nonlocal count
            if event.startswith(_TOUCHES):
                count += 1
                if count == step:
                    os.kill(os.getpid(), signal.SIGKILL)

        def write_in_halves(path: Path, content: bytes) -> int:
            half = len(content) // 2
            with path.open("wb") as stream:
                stream.write(content[:half])
                stream.flush()
                hook("os.half", ())
                return half + stream.write(content[half:])

        try:
            Path.write_bytes = write_in_halves  # type: ignore[assignment, method-assign]
            sys.addaudithook(hook)
            call()
        finally:
            os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status)


def no_swap(_first: Path, _second: Path) -> bool:
    return False


@pytest.fixture(params=["swapped", "moved"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """With the one step that a system may have, and without."""
    if request.param == "moved":
        monkeypatch.setattr(saving, "swap", no_swap)
    return str(request.param)


@pytest.mark.parametrize("writer", [write, replace])
def test_killed_at_every_step(
    tmp_path: Path, way: str, writer: Callable[[Path, dict[str, str]], None]
) -> None:
    folder = tmp_path / "pages"
    step, seen = 0, set()
    while True:
        step += 1
        shutil.rmtree(folder, ignore_errors=True)
        writer(folder, OLD)
        was_killed = killed_at(step, lambda: writer(folder, NEW))
        if way == "swapped":
            assert told(folder) in (OLD, NEW), step
        drafts.clear_stale(tmp_path)
        assert told(folder) in (OLD, NEW), step
        assert [path.name for path in tmp_path.iterdir()] == ["pages"], step
        seen.add(told(folder) == NEW)
        if not was_killed:
            break
    assert step > 10
    assert seen == {False, True}


def test_the_first_pages_killed_at_every_step(tmp_path: Path) -> None:
    step = 0
    while True:
        step += 1
        folder = tmp_path / f"{step}" / "pages"
        was_killed = killed_at(step, lambda folder=folder: write(folder, NEW))  # type: ignore[misc]
        assert not folder.exists() or told(folder) == NEW, step
        if not was_killed:
            break
    assert step > 10


def test_among_other_files_killed_at_every_step(tmp_path: Path) -> None:
    """No page of one design ever stands beside a page of another, and the others stay."""
    step = 0
    while True:
        step += 1
        folder = tmp_path / f"{step}"
        folder.mkdir()
        (folder / "notes.txt").write_text("mine")
        write(folder, OLD)
        was_killed = killed_at(step, lambda folder=folder: write(folder, NEW))  # type: ignore[misc]
        pages = told(folder)
        assert pages.pop("notes.txt") == "mine"
        assert pages.items() <= OLD.items() or pages.items() <= NEW.items(), step
        write(folder, NEW)
        assert told(folder) == NEW | {"notes.txt": "mine"}
        assert sorted(path.name for path in folder.iterdir()) == [*NAMES, "notes.txt"]
        if not was_killed:
            break
    assert step > 10


@pytest.mark.parametrize("old_count", [len(NAMES), 2])
def test_where_a_page_cannot_be_moved_the_old_ones_come_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, old_count: int
) -> None:
    rename, left = Path.rename, 0

    def refusing(path: Path, target: Path) -> Path:
        nonlocal left
        left -= 1
        if left == 0:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return rename(path, target)

    old = {name: OLD[name] for name in NAMES[:old_count]}
    (tmp_path / "notes.txt").write_text("mine")
    write(tmp_path, old)
    monkeypatch.setattr(Path, "rename", refusing)
    # The old pages go and four new ones come: each of the moves fails once.
    for step in range(1, old_count + len(NAMES) + 1):
        left = step
        with pytest.raises(BadInput, match="cannot be written"):
            write(tmp_path, NEW)
        assert told(tmp_path) == old | {"notes.txt": "mine"}, step
    write(tmp_path, NEW)
    assert told(tmp_path) == NEW | {"notes.txt": "mine"}


def test_one_file_killed_at_every_step(tmp_path: Path) -> None:
    path, step = tmp_path / "a.md", 0
    save(path, OLD["a.md"], MARK)

    def once() -> None:
        save(path, NEW["a.md"], MARK)

    while True:
        step += 1
        was_killed = killed_at(step, once)
        assert path.read_text() in (OLD["a.md"], NEW["a.md"])
        if not was_killed:
            break
    save(path, NEW["a.md"], MARK)
    assert [item.name for item in tmp_path.iterdir()] == ["a.md"]


def read_at_once(folder: Path) -> dict[str, str] | None:
    """All pages of the folder as it is now, though another takes its place meanwhile."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except FileNotFoundError:
        return None
    try:
        found = {}
        for name in NAMES:
            with os.fdopen(os.open(name, os.O_RDONLY, dir_fd=handle)) as stream:
                found[name] = stream.read()
    except FileNotFoundError:  # it was the old one, on its way out
        return None
    finally:
        os.close(handle)
    return found


@pytest.mark.parametrize("writer", [write, replace])
def test_two_runs_at_once(tmp_path: Path, writer: Callable[[Path, dict[str, str]], None]) -> None:
    folder = tmp_path / "pages"
    writer(folder, OLD)
    children = []
    for pages in (OLD, NEW):
        child = os.fork()
        if child == 0:
            try:
                for _ in range(60):
                    writer(folder, pages)
            except BaseException:
                os._exit(1)
            os._exit(0)
        children.append(child)
    seen = []
    ends = [0, 0]
    while not all(ends):
        found = read_at_once(folder)
        if found is not None:
            assert found in (OLD, NEW)
            seen.append(found == NEW)
        ends = [end or os.waitpid(c, os.WNOHANG)[0] for c, end in zip(children, ends, strict=True)]
    assert set(seen) == {False, True}
    assert told(folder) in (OLD, NEW)
    assert [path.name for path in tmp_path.iterdir()] == ["pages"]


def test_the_draft_of_a_run_that_lives_is_left_alone(tmp_path: Path) -> None:
    with drafts.draft(tmp_path) as place:
        (place / "new").write_text("x")
        child = os.fork()
        if child == 0:
            drafts.clear_stale(tmp_path)
            os._exit(0)
        os.waitpid(child, 0)
        assert (place / "new").is_file()
    assert list(tmp_path.iterdir()) == []


def test_links_under_the_name_of_a_draft_are_not_followed(tmp_path: Path) -> None:
    precious = tmp_path / "precious"
    precious.mkdir()
    (precious / "work.txt").write_text("mine")
    out = tmp_path / "out"
    out.mkdir()
    (out / f"{drafts.PREFIX}abc").symlink_to(precious)
    (out / ".a.md.part").symlink_to(precious / "work.txt")
    write(out, NEW)
    assert (precious / "work.txt").read_text() == "mine"
    assert (out / ".a.md.part").is_symlink()


def test_a_file_laid_into_the_folder_at_the_last_moment_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "pages"
    replace(folder, OLD)
    real = drafts.swap

    def late(first: Path, second: Path) -> bool:
        (folder / "notes.txt").write_text("mine")
        monkeypatch.setattr(saving, "swap", real)
        return real(first, second)

    monkeypatch.setattr(saving, "swap", late)
    with pytest.raises(BadInput):
        replace(folder, NEW)
    assert told(folder) == OLD | {"notes.txt": "mine"}
    assert [path.name for path in tmp_path.iterdir()] == ["pages"]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 40 kB; where none may be mounted, a limit on the size of files instead."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = (
        os.geteuid() == 0
        and subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=40k", "tmpfs", str(place)],
            check=False, capture_output=True,
        ).returncode == 0
    )  # fmt: skip
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    if not mounted:
        resource.setrlimit(resource.RLIMIT_FSIZE, (30_000, before[1]))
    try:
        yield place
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        if mounted:
            subprocess.run(["umount", str(place)], check=True)


@pytest.mark.parametrize("writer", [write, replace])
def test_a_full_disk_keeps_the_old(
    small_disk: Path, writer: Callable[[Path, dict[str, str]], None]
) -> None:
    folder = small_disk / "pages"
    writer(folder, OLD)
    large = NEW | {"d.md": MARK + "x" * 60_000}
    with pytest.raises(BadInput) as refused:
        writer(folder, large)
    reasons = (os.strerror(errno.ENOSPC), os.strerror(errno.EFBIG))
    assert any(
        str(refused.value.problems[0])
        == f"{folder}: cannot be written: {reason}; choose another place, or check its permissions"
        for reason in reasons
    )
    assert told(folder) == OLD
    assert [path.name for path in small_disk.iterdir()] == ["pages"]


def test_what_a_killed_run_left_long_ago_goes_where_nothing_can_be_locked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, age_s in (("old", 100_000), ("young", 10)):
        left = tmp_path / f"{drafts.PREFIX}{name}"
        left.mkdir()
        os.utime(left, (time.time() - age_s,) * 2)
    monkeypatch.setattr(drafts, "_lock", lambda *_, **__: None)
    drafts.clear_stale(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == [f"{drafts.PREFIX}young"]
