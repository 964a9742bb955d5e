"""All documents of a packet, in the order in which a reviewer opens it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from checker.core.records import Record
from checker.packet.preflight import preflight
from checker.pages.paper import Paper
from checker.papers.cautions import cautions
from checker.papers.certifications import certifications
from checker.papers.closing import closing_set
from checker.papers.cover import cover
from checker.papers.data_sheet import data_sheet
from checker.papers.deviation import deviation_request
from checker.papers.drainage import drainage_calculations, drainage_results, overflow_results
from checker.papers.names import NUMBERS, ORDER
from checker.papers.narrative import narrative
from checker.papers.overflow import overflow_statement
from checker.papers.preflight import preflight_paper
from checker.papers.resubmittal import resubmittal_kit
from checker.papers.schedules import details_paper
from checker.papers.section import section_sheet
from checker.papers.sequence import sequence
from checker.papers.sheets import site_sheets
from checker.papers.upkeep import upkeep_plan
from checker.papers.worksheet import worksheet

if TYPE_CHECKING:
    from collections.abc import Callable

    from checker.pages.sheet import Sheet
    from checker.papers.checks import Preflight
    from checker.papers.job import Job


class Papers(Record, kw_only=True):
    """What is in a packet.

    Attributes:
        papers: The documents, the site plan as an entry without content.
        sheets: The sheets of the site plan.
        images: Drawings of the sheets as SVG, by file name.
        preflight: What is missing, wrong or in doubt.
    """

    papers: tuple[Paper, ...]
    sheets: tuple[Sheet, ...]
    images: dict[str, str]
    preflight: Preflight

    def paper(self, name: str) -> Paper:
        """The document with an id.

        Raises:
            KeyError: There is none.
        """
        for paper in self.papers:
            if paper.id == name:
                return paper
        raise KeyError(name)

    def parts(self) -> list[Paper | Sheet]:
        """Documents and sheets as they follow each other on paper.

        What has nothing to show is left out: the index says what to give.
        """
        parts: list[Paper | Sheet] = []
        for paper in self.papers:
            if not paper.is_empty:
                parts += self.sheets if paper.id == "site-plan" else [paper]
        return parts


def make_papers(job: Job, step: Callable[[str], None]) -> Papers:
    """Make every document.

    Args:
        job: What they read.
        step: Called with the name of each part before it is made.
    """
    number = NUMBERS.__getitem__
    step("site plan")
    sheets, images = site_sheets(job)
    says = "; ".join(f"{sheet.number} {sheet.title}" for sheet in sheets)
    made = {
        "site-plan": Paper(
            id="site-plan", number=number("site-plan"), title=f"Site plan: {says}", blocks=()
        )
    }
    step("tables and letters")
    for name, make in (
        ("coverage-worksheet", worksheet),
        ("pavement-section", section_sheet),
        ("details", details_paper),
        ("drainage-calculations", drainage_calculations),
        ("deviation-request", deviation_request),
        ("upkeep-plan", upkeep_plan),
        ("sequence", sequence),
        ("certifications", certifications),
        ("data-sheet", data_sheet),
        ("cautions", cautions),
        ("closing-set", closing_set),
        ("resubmittal", resubmittal_kit),
    ):
        made[name] = make(job, number(name))
    made["overflow-statement"] = overflow_statement(
        job, number("overflow-statement"), overflow_results(job)
    )
    step("narrative")
    made["narrative"] = narrative(job, number("narrative"), drainage_results(job))
    step("preflight")
    ordered = [made[name] for name in ORDER if name in made]
    found = preflight(job, ordered)
    made["preflight"] = preflight_paper(job, found, number("preflight"))
    listed = [made[name] for name in ORDER if name in made]
    made["cover"] = cover(job, listed, found, number("cover"))
    return Papers(
        papers=tuple(made[name] for name in ORDER),
        sheets=tuple(sheets),
        images=images,
        preflight=found,
    )
