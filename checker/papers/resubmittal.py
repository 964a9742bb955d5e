"""The resubmittal kit: answers to review comments, the revision box, and what changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.pages.blocks import Block, Column, Table, caution, para, part
from checker.pages.paper import Paper
from checker.papers.closing import difference_table
from checker.papers.difference import changes
from checker.papers.job import NOT_GIVEN
from checker.words.amounts import clean

if TYPE_CHECKING:
    from checker.papers.job import Job


def resubmittal_kit(job: Job, number: str) -> Paper:
    """The kit; empty for a first submission without comments."""
    comments = job.project.rows.get("comments", ())
    earlier = job.previous
    none = para("No comments are listed under 'comments'.", "fine")
    blocks = (
        para(
            "The whole set is handed in again, with the same file names and sheet numbers. What "
            "changed on the plan stands in a cloud with the letter of the revision; letters of "
            "surfaces stay as they were."
        ),
        part("Answers to comments", _answers(job) if comments else none),
        part("Revision box", revisions_table(job)),
        part("What changed", *_changed(job, earlier)),
    )
    return Paper(
        id="resubmittal",
        number=number,
        title="Resubmittal kit",
        blocks=blocks,
        is_empty=not comments and earlier is None,
    )


def _changed(job: Job, earlier: Job | None) -> list[Block]:
    if earlier is None:
        return [para("No earlier revision was given to compare with.", "fine")]
    old, new = earlier.project.revision, job.project.revision
    found = changes(earlier, job, (old, new), job.figures)
    if old != new:
        heads = (f"Revision {old}", f"Revision {new}")
        return [difference_table(f"Revision {old} and revision {new}", found, heads)]
    said = f"Both site files say revision {new}: raise the letter of the later one."
    heads = ("Handed in before", "This set")
    return [caution(said), difference_table(f"Both of revision {new}", found, heads)]


def _answers(job: Job) -> Table:
    rows = tuple(
        (
            clean(row["number"]),
            clean(row["comment"]),
            clean(row.get("answer", "")) or f"{NOT_GIVEN}",
            clean(row.get("sheet", "")) or NOT_GIVEN,
        )
        for row in job.project.rows.get("comments", ())
    )
    columns = (
        Column("No.", width=0.5),
        Column("Comment", width=2),
        Column("Answer", width=2),
        Column("Sheet or part changed"),
    )
    return Table("Answers to review comments", columns, rows)


def revisions_table(job: Job) -> Table:
    """The revision box as a table."""
    rows = tuple(
        (item.revision, item.day.isoformat() if item.day else NOT_GIVEN, clean(item.says))
        for item in job.project.revisions
    )
    first = ((job.project.revision, NOT_GIVEN, "first issue" if not rows else ""),)
    columns = (Column("Revision", width=0.6), Column("Date"), Column("What changed", width=3))
    return Table("Revisions", columns, rows or first)
