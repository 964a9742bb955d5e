"""The resubmittal kit: answers to review comments, the revision box, and what changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.report.packet.blocks import Block, Column, Heading, Paper, Para, Table
from checker.report.packet.closing import difference_table
from checker.report.packet.difference import changes
from checker.report.packet.job import NOT_GIVEN
from checker.report.wording import clean

if TYPE_CHECKING:
    from checker.report.packet.job import Job


def resubmittal_kit(job: Job, number: str) -> Paper:
    """The kit; empty for a first submission without comments."""
    comments = job.project.rows.get("comments", ())
    earlier = job.previous
    blocks: list[Block] = [
        Para(
            "The whole set is handed in again, with the same file names and sheet numbers. Mark "
            "each change on the sheets with a cloud and the revision letter."
        ),
        Heading("Answers to comments"),
        _answers(job) if comments else Para("No comments are listed under 'comments'.", "note"),
        Heading("Revision box"),
        revisions_table(job),
        Heading("What changed"),
    ]
    if earlier is None:
        said = "No earlier revision was given to compare with."
        blocks.append(Para(said, "note"))
    else:
        old, new = earlier.project.revision, job.project.revision
        if old == new:
            said = f"Both site files say revision {new}: raise the letter of the later one."
            blocks.append(Para(said, "warning"))
        found = changes(earlier, job, (old, new), job.figures)
        heads = (f"Revision {old}", f"Revision {new}")
        blocks.append(difference_table(f"Revision {old} and revision {new}", found, heads))
    return Paper(
        id="resubmittal",
        number=number,
        title="Resubmittal kit",
        blocks=tuple(blocks),
        is_empty=not comments and earlier is None,
    )


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
