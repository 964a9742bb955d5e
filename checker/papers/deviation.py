"""The request to change the standard section: prepared here, granted only by those who sign."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.pages.blocks import (
    Block,
    Bullets,
    Column,
    Columns,
    Sign,
    Table,
    caution,
    named_values,
    para,
    part,
    texts_of,
)
from checker.pages.paper import Paper
from checker.papers.job import NOT_GIVEN
from checker.words.amounts import capital, clean

if TYPE_CHECKING:
    from checker.papers.job import Job

GATE = (
    "Not valid until the engineer of record and the reviewing engineer sign. Silence of a reviewer "
    "on a point that is not listed here is no approval, and an approval is no precedent."
)

ASKS = (
    ("The standard, its section and clause", "standard"),
    ("What differs from it", "differs"),
    ("The constraint that makes the standard unworkable here", "constraint"),
    ("Why the result is as good or better", "proof"),
    ("A recognised standard that it follows", "recognised"),
    ("Who keeps it up", "maintained_by"),
)

BESIDE: Final = ("safety", "function", "appearance", "upkeep", "environment", "cost")
"""What an office weighs of both sections; a blank is filled in by the engineer of record."""

ATTACH = (
    "Two drawings, both sealed: the section as the standard wants it, and the section asked for.",
    "The engineer's signed calculation of what the section holds and how fast it empties.",
    "What it costs to keep up over its life, beside the standard section.",
)


_LINES: Final = ("Name", "Licence and state", "Signature and seal", "Date")

AUTHORISATION: Final = (
    Sign(
        "Engineer of record",
        "I ask for the change and stand for its design.",
        _LINES,
        has_seal=True,
    ),
    Sign(
        "Reviewing engineer",
        "The change is approved, or refused for this reason:",
        ("Result and reason", *_LINES),
        has_seal=True,
    ),
)


def deviation_request(job: Job, number: str) -> Paper:
    """The letter; empty where no change is asked for."""
    data = job.project.deviation
    if not data:
        said = "No change of the standard section is asked for. Nothing to sign."
        return Paper(
            id="deviation-request",
            number=number,
            title="Request to change the standard section",
            blocks=(para(said, "fine"),),
            is_empty=True,
        )
    blocks: list[Block] = [caution(GATE), para("To be handed in before any work starts.")]
    asked = [(title, clean(data.get(key, "")) or f"{NOT_GIVEN}.") for title, key in ASKS]
    blocks.append(named_values("What is asked for, and why", asked, ("Point", "Answer")))
    beside = [(capital(key), clean(data.get(key, ""))) for key in BESIDE]
    blank = "Beside the standard section (a blank: by the engineer of record)"
    blocks.append(named_values(blank, beside, ("Of both sections", "Answer")))
    rows = data.get("performance", ())
    if rows:
        cells = tuple(
            tuple(clean(row[key]) for key in ("what", "standard", "proposed")) for row in rows
        )
        columns = (*texts_of("What", "Standard section"), Column("Section asked for"))
        compared: Block = Table("Performance of both sections", columns, cells)
    else:
        compared = caution(
            "Not given. An office compares what the sections do (strength, storage, emptying, "
            "life, upkeep), not only how thick they are."
        )
    blocks += [
        part("Performance side by side", compared),
        part("To be attached", Bullets(ATTACH)),
        part("Authorisation", Columns(tuple((form,) for form in AUTHORISATION))),
    ]
    return Paper(
        id="deviation-request",
        number=number,
        title="Request to change the standard section",
        blocks=tuple(blocks),
    )
