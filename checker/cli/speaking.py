"""What commands share: printing, judging a site file, reading a day, kinds of argument."""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO

import typer

from checker.core.problems import CheckerError, harmless

if TYPE_CHECKING:
    from datetime import date

    from checker.findings.checked import Checked

SiteFile = Annotated[str, typer.Argument(metavar="SITE", help="A site file.", show_default=False)]
PlaceOption = Annotated[
    str,
    typer.Option(
        metavar="PLACE",
        help="Judge under this rule set instead: an id or a path.",
        show_default=False,
    ),
]


TemplateOption = Annotated[
    str | None,
    typer.Option(
        metavar="FOLDER",
        help="Write the pages with the page.html or page.md in this folder: a letterhead.",
        show_default=False,
    ),
]


class Unsaid(CheckerError):
    """What is to be printed finds no room."""


def say(text: str, *, is_error: bool = False) -> None:
    """Print a text; what the terminal cannot show, or would obey, is replaced.

    Where nobody reads any more, nothing is said and the work goes on.

    Raises:
        Unsaid: The disk that the output goes to is full.
    """
    stream = sys.stderr if is_error else sys.stdout
    if stream is None:  # closed by whoever started us
        return
    encoding = stream.encoding or "utf-8"
    plain = "\n".join(map(harmless, text.split("\n")))
    if stream.isatty():
        plain = _fitted(plain)
    try:
        typer.echo(plain.encode(encoding, "replace").decode(encoding), err=is_error)
    except BrokenPipeError:
        _stop_saying(stream)
    except OSError as error:
        _stop_saying(stream)
        if not is_error:
            raise Unsaid(f"the output cannot be written: {error.strerror}") from error


def _fitted(text: str) -> str:
    """Lines of words broken where the terminal is narrower than they are laid out for."""
    import shutil
    import textwrap

    width = max(20, shutil.get_terminal_size().columns)
    return "\n".join(
        line
        if len(line) <= width or line.strip() == ""
        else "\n".join(
            textwrap.wrap(
                line.strip(),
                width,
                initial_indent=(margin := line[: len(line) - len(line.lstrip())]),
                subsequent_indent=f"{margin}  ",
                break_long_words=False,
                break_on_hyphens=False,
            )
        )
        for line in text.split("\n")
    )


def _stop_saying(stream: TextIO) -> None:
    """Lead a stream to nowhere, so that what it still holds troubles nobody."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def template_folder(template: str | None) -> Path | None:
    """The folder of one's own templates; one without any is refused before any work is done."""
    if template is None:
        return None
    from checker.pages.templating import templates_in

    templates_in(Path(template))
    return Path(template)


def refuse_unread(option: str, given: str | None, needs: str, *, is_there: bool) -> None:
    """Refuse an option that nothing would read, before any work is done."""
    if given and not is_there:
        raise typer.BadParameter(f"'{option}' does nothing here: give '{needs}' too")


def checked(site_file: str, place: str = "") -> Checked:
    """Load a site and its rule set and judge it."""
    from checker import api

    site = api.load_site(Path(site_file))
    ruleset = api.load_ruleset(place) if place else api.load_ruleset_for(site)
    return api.check(site, ruleset)


def progress(done: int, total: int, what: str) -> None:
    """Tell a person who waits; nothing where the output is kept."""
    if sys.stderr is not None and sys.stderr.isatty():
        typer.echo(f"\r\033[K{done} of {total}: {what}", nl=done == total, err=True)


class SlowProgress:
    """Tells a person what a search is at, once it has lasted so long; nothing before that."""

    def __init__(self, after_s: float = 3.0) -> None:
        from threading import Timer

        self._now: tuple[int, int, str] | None = None
        self._is_late = False
        self._timer = Timer(after_s, self._late)
        self._timer.daemon = True
        self._timer.start()

    def __call__(self, done: int, total: int, what: str) -> None:
        """What comes next; see `progress`."""
        self._now = done, total, what
        if self._is_late:
            progress(done, total, what)

    def stop(self) -> None:
        """Say no more."""
        self._timer.cancel()

    def _late(self) -> None:
        self._is_late = True
        if self._now is not None:
            progress(*self._now)


def day_or_none(text: str | None) -> date | None:
    """The day of an option; a text that is no day is refused."""
    if text is None:
        return None
    from checker.core.answers import day_of

    day = day_of(text)
    if day is None:
        raise typer.BadParameter(f"'{text}' is no day: write it as YYYY-MM-DD")
    return day
