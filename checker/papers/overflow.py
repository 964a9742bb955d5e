"""Redundancy and overflow: for every control, what happens when it is full, clogged or blocked.

What the drainage calculation knows is printed; what only a designer can say is a blank to fill in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages.blocks import Block, Bullets, Column, Table, caution, para, part
from checker.pages.paper import Paper
from checker.papers.job import NOT_GIVEN
from checker.papers.upkeep import facilities
from checker.words.amounts import clean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from checker.papers.job import Job

CASES: Final = (
    "Storm above the design storm",
    "Surface clogged",
    "Drain or pipe blocked",
    "Ground frozen or saturated",
    "Pool full and a cover on it",
)

_PASSED_ON: Final = frozenset({"pipe", "overflow edge", "curb", "daylight", "pop up", "sewer"})
"""Parts that stand in the statements of the drains and stores they belong to."""

ASKED: Final = (
    "A second way for the water, and where it begins",
    "Its level below the lowest threshold and below the coping",
    "What it can carry",
    "Where it leaves the lot, and that water left there before",
    "Protection of the ground there against erosion",
)


def overflow_statement(job: Job, number: str, water: Sequence[Block]) -> Paper:
    """The statement.

    Args:
        job: What the documents read.
        number: Its number in the index.
        water: What the drainage calculation says of overflow; empty without one.
    """
    controls = [item for item in facilities(job) if item[1] not in _PASSED_ON]
    said = job.project.texts.get("overflow")
    blocks: list[Block] = [
        para(clean(said) if said else f"Where water goes when everything is full: {NOT_GIVEN}."),
    ]
    if water:
        blocks.append(part("By the drainage calculation", *water))
    else:
        blocks.append(
            caution(
                "Not verified: no drainage calculation stands behind this statement. Give "
                "'ways_out', 'ground' and 'storms' in the site file."
            )
        )
    for name, what, _ in controls:
        rows = tuple((case, "", "", "") for case in CASES)
        columns = (
            Column("When", width=1.3),
            Column("What happens", width=1.8),
            Column("Second way and its level", width=1.8),
            Column("Where it leaves the lot", width=1.5),
        )
        table = Table(f"{name}: to be filled in by the designer", columns, rows)
        blocks.append(part(f"{name} ({what.lower()})", table))
    blocks.append(part("Every line must say", Bullets(ASKED)))
    is_empty = not controls and not water and not said
    return Paper(
        id="overflow-statement",
        number=number,
        title="Overflow and redundancy statement",
        blocks=tuple(blocks),
        is_empty=is_empty,
    )
