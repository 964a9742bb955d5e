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
        """Go on where nothing is wrong.

        Raises:
            BadInput: With all that was collected, under the title.
        """
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
    """The hint for a misspelt name: what it may mean, or the list when nothing is near.

    Example:
        >>> did_you_mean("lawm", ["lawn", "gravel"])
        "did you mean 'lawn'?"
        >>> did_you_mean("impervious", ["porous", "sealed"])
        "did you mean 'sealed'?"
    """
    import difflib

    from checker.core.everyday import MEANT

    names = sorted(set(allowed))
    text = str(given)
    alike = [name for name in names if _plain(name) == _plain(text)]
    meant = [name for name in MEANT.get(text.lower(), ()) if name in names]
    near = difflib.get_close_matches(text, names, n=1, cutoff=0.6)
    if found := alike[:1] or meant or near:
        said = " or ".join(f"'{name}'" for name in found)
        return f"did you mean {said}?"
    return use_one_of(names)


def nearly(given: str, allowed: Iterable[str]) -> str:
    """The allowed name that differs by a letter or two; empty when there is none.

    Example:
        >>> nearly("storey", ["storeys", "width"]), nearly("base_type", ["base_compacted"])
        ('storeys', '')
    """
    import difflib

    return next(iter(difflib.get_close_matches(given, sorted(allowed), n=1, cutoff=0.85)), "")


def one_of_these(given: object, allowed: Iterable[str]) -> str:
    """The hint for a wrong code, such as a zone: never another code that merely looks like it.

    Example:
        >>> one_of_these("R1", ["R-1", "R-2"]), one_of_these("R-3", ["R-1", "R-2"])
        ("did you mean 'R-1'?", 'use one of: R-1, R-2')
    """
    names = sorted(set(allowed))
    alike = [name for name in names if _plain(name) == _plain(str(given))]
    if not alike and not any(sign.isdigit() or sign.isupper() for sign in "".join(names)):
        return did_you_mean(given, names)
    return f"did you mean '{alike[0]}'?" if alike else use_one_of(names)


def use_one_of(names: Iterable[str]) -> str:
    """The first dozen of the names that are allowed."""
    known = sorted(set(names))
    shown = ", ".join(known[:12]) + (", ..." if len(known) > 12 else "")
    return f"use one of: {shown}" if known else ""


def _plain(text: str) -> str:
    return "".join(sign for sign in text.lower() if sign.isalnum())
