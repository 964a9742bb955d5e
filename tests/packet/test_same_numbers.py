"""The report and the packet of one lot print the same numbers, whoever reads which."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from pathlib import Path

import pytest

from checker.findings.coverage import MOVES
from checker.pages.blocks import Block, Section, every
from checker.papers.job import Job, make_job
from checker.papers.report import page_of
from checker.papers.workbook import csv_text
from checker.papers.worksheet import worksheet
from checker.words.findings import finding_views
from checker.words.view import view_of
from tests.packet.conftest import FILES, judged

TESTS = Path(__file__).parents[1]
LOTS = [
    FILES / "orchard.yaml",
    TESTS / "report" / "sites" / "sorrel-bend.yaml",
    TESTS / "report" / "sites" / "brine-court.yaml",
    TESTS.parent / "samples" / "fernhollow-after" / "site.yaml",
    TESTS.parent / "samples" / "dxf-lot" / "site.yaml",
]


@pytest.fixture(scope="module", params=LOTS, ids=lambda path: f"{path.parent.name}-{path.stem}")
def job(request: pytest.FixtureRequest) -> Job:
    path: Path = request.param
    return make_job(judged(path))


def worksheets(blocks: Iterable[Block]) -> list[tuple[str, list[Block]]]:
    """The worksheets of a page, with all their blocks."""
    found = every(blocks)
    return [
        (block.id, list(every(block.blocks)))
        for block in found
        if isinstance(block, Section) and block.id.startswith("coverage-")
    ]


def test_one_worksheet(job: Job) -> None:
    """The report shows the very tables that the packet shows, ranges and all."""
    report = page_of(view_of(job.checked), "", "plan.svg")
    shown = worksheets(report.sections)
    assert shown == worksheets(worksheet(job, "2").blocks)
    assert len(shown) == len(job.coverages) > 0


def test_totals_of_the_worksheet(job: Job) -> None:
    """The end that rules compare is the high one of each range: all these want the number small."""
    for coverage in job.coverages:
        for what in MOVES:
            at = f"cover.{coverage.name}.total.{what}"
            low, high = getattr(coverage.total, what)
            amount = job.figures[at].amount
            assert amount is not None
            assert amount.value_si == pytest.approx(high)
            text, unit = job.figures.text(at), job.figures.text(at).rpartition(" ")[2]
            shown = job.figures.span(at).removesuffix(f" {unit}").split(" to ")
            assert f"{shown[-1]} {unit}" == text
            assert (len(shown) == 2) == (low != high)


def test_verdicts(job: Job) -> None:
    for view in finding_views(job.checked, job.keys):
        if f"rule.{view.id}.margin" not in job.figures or " to " in view.measured:
            continue
        if view.order:
            printed = (view.measured, view.limit, view.margin)
            keys = (f"rule.{view.id}.{what}" for what in ("measured", "limit", "margin"))
            assert tuple(map(job.figures.text, keys)) == printed


def test_a_range_reaches_the_sheets() -> None:
    """Sorrel Bend, by hand: 4,067 where the terrace proves out, 4,590 where it does not."""
    job = make_job(judged(TESTS / "report" / "sites" / "sorrel-bend.yaml"))
    rows = list(csv.reader(csv_text(job).splitlines()))
    total = dict(zip(rows[0], rows[-1], strict=True))
    assert total["Proposed (sq ft)"] == "4590"
    assert total["Proposed at best (sq ft)"] == "4067"
    terrace = next(dict(zip(rows[0], row, strict=True)) for row in rows if "Terrace" in row)
    assert (terrace["Proposed (sq ft)"], terrace["Proposed at best (sq ft)"]) == ("1046", "523")
