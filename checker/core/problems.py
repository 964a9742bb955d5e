"""What can be wrong with a file, and how it is said: always with the place and what to do.

Problems are collected, never raised one by one, so that a person sees all of them at once.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, Final

from checker.core.records import Record, Struct, field

if TYPE_CHECKING:
    from collections.abc import Iterable


MOST_SHOWN: Final = 100
"""Problems of one file that a message lists; the rest are counted."""


class CheckerError(Exception):
    """The base of every exception that this package raises on purpose."""


class Place(Record):
    """Where something stands: a file as the user named it, line and column counted from 1."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        parts = [self.file]
        if self.line:
            parts.append(str(self.line))
            if self.column:
                parts.append(str(self.column))
        return ":".join(parts)


class Problem(Record):
    """One thing that is wrong in a file.

    Attributes:
        place: Where it stands.
        says: What is wrong, naming the value given and the values allowed.
        do: What to do about it; empty when `says` already tells.
    """

    place: Place
    says: str
    do: str = ""

    def __str__(self) -> str:
        text = f"{self.place}: {self.says}"
        return f"{text}; {self.do}" if self.do else text


class BadInput(CheckerError):
    """An input file cannot be used. Carries every problem found, in file order."""

    def __init__(self, title: str, problems: Iterable[Problem]) -> None:
        self.title = title
        self.problems = tuple(
            sorted(
                set(problems), key=lambda p: (p.place.file, p.place.line, p.place.column, p.says)
            )
        )
        super().__init__(title)

    def __str__(self) -> str:
        shown = [f"  {harmless(problem)}" for problem in self.problems[:MOST_SHOWN]]
        more = len(self.problems) - len(shown)
        last = [f"  and {more:,} more; mend these first"] if more else []
        return "\n".join([harmless(self.title), *shown, *last])


class Problems(Struct):
    """Collects problems while a file is read.

    Example:
        >>> found = Problems()
        >>> found.add(Place("lot.yaml", 3, 5), "'12 foo' is not an amount", "write it like 12 ft")
        >>> found.stop_if_any("lot.yaml cannot be read")
        Traceback (most recent call last):
        checker.core.problems.BadInput: lot.yaml cannot be read
          lot.yaml:3:5: '12 foo' is not an amount; write it like 12 ft
    """

    items: list[Problem] = field(default_factory=list)

    def add(self, place: Place, says: str, do: str = "") -> None:
        """Note one problem and go on."""
        self.items.append(Problem(place, says, do))

    def stop_if_any(self, title: str) -> None:
        """Raise `BadInput` with all that was collected, if anything was."""
        if self.items:
            raise BadInput(title, self.items)

    def __bool__(self) -> bool:
        return bool(self.items)


def harmless(text: object) -> str:
    r"""One line that a terminal may show: control and direction signs are spelled out.

    Names of files and titles come from strangers; an escape sequence in one could repaint the
    screen, and a line break could forge a message of ours.

    Example:
        >>> print(harmless("lot\x1b[31m\nPASSES"))
        lot\x1b[31m\nPASSES
    """
    raw = str(text)
    if raw.isprintable():
        return raw
    return "".join(
        sign
        if sign.isprintable() or unicodedata.category(sign) == "Zs"
        else sign.encode("unicode_escape").decode("ascii")
        for sign in raw
    )


def did_you_mean(given: object, allowed: Iterable[str]) -> str:
    """The hint for a misspelt name: the nearest allowed name, or the list when none is near."""
    import difflib

    names = sorted(set(allowed))
    near = difflib.get_close_matches(str(given), names, n=1, cutoff=0.6)
    if near:
        return f"did you mean '{near[0]}'?"
    shown = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
    return f"use one of: {shown}" if names else ""
