"""The kinds of things that files name, each said once: words of rules, stages, courses, places."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from checker.core.records import Record
from checker.core.units import RATIO, Dimension

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

DataPath = tuple["str | int", ...]
"""Where something stands in plain data: the keys and positions that lead to it."""

Stage = Literal["existing", "removed", "proposed", "replaced"]

CourseKind = Literal[
    "unit", "joint", "bedding", "choker", "base", "pipe-zone", "subbase", "sand-filter", "fabric",
    "grid", "liner", "subgrade",
]  # fmt: skip

WorkKind = Literal["dry-well", "reservoir", "pipe", "drain", "outlet"]
"""What is built for water; a surface is none of them."""

WORK: Final = "work"
"""The word by which rules ask for what is built for water."""

NO_WORK: Final = ""
"""What a surface answers when it is asked which work it is."""

WAS: Final = "was"
"""The word by which rules ask what a surface is made of today."""

WAS_NOTHING: Final = "nothing"
"""What a new surface answers; one that stays or goes answers its own material."""

WordKind = Literal["amount", "text", "yes or no", "date"]

Subject = Literal["cover", "section", "drainage", "papers"]
"""What a rule is about: cover and place on the lot, pavement, water, what must be on file."""


class Word(Record):
    """A name that rules may use: an attribute, a measure, a fact or a count.

    Attributes:
        name: As written in files.
        kind: What values it takes.
        title: What it means, for people, starting in lower case.
        dimension: For amounts.
        choices: For texts from a fixed set; empty when any text may stand.
        has_states: It can be asked for the existing and for the proposed lot.
        has_regions: It can be cut to a region.
        ask: What a person must give when it is missing; empty for the usual words.
        is_derived: The program works it out from the drawing when the file does not give it.
        source: Where its definition comes from; empty for plain geometry.
        work: Works it out from the drawing; None for what only a file can say.
        each: Of a measure of the lot: the same of each thing it is taken over, by id; None where
            it is of the lot alone.
        subject: What a rule that asks for it is about.
    """

    name: str
    kind: WordKind
    title: str
    dimension: Dimension = RATIO
    choices: tuple[str, ...] = ()
    has_states: bool = False
    has_regions: bool = False
    ask: str = ""
    is_derived: bool = False
    source: str = ""
    work: Callable[..., object] | None = None
    each: Callable[..., Mapping[str, float]] | None = None
    subject: Subject = "cover"
