"""The report and the packet of one lot print the same numbers, whoever reads which."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.findings.coverage import MOVES
from checker.papers.job import Job, make_job
from checker.words.coverage import coverage_views
from checker.words.findings import finding_views
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


def worst(cell: str) -> str:
    """The high end of a cell: all these rules want the number small."""
    return cell.rpartition(" to ")[2].removeprefix("+")


def test_totals_of_the_worksheet(job: Job) -> None:
    views = coverage_views(job.checked, job.keys)
    assert views
    for view in views:
        for what in MOVES if view.changes else ():
            text = job.figures.text(f"cover.{view.name}.total.{what}")
            assert text == f"{worst(getattr(view.change_total, what))} {view.unit}"
        if view.changes:
            net = job.figures.text(f"cover.{view.name}.total.net")
            assert net.removeprefix("+").removesuffix(f" {view.unit}") in (
                view.change_total.net.removeprefix("+").split(" to ")
            )


def test_lines_of_the_worksheet(job: Job) -> None:
    seen = 0
    for view in coverage_views(job.checked, job.keys):
        coverage = next(item for item in job.coverages if item.name == view.name)
        index_of = {job.keys.letter(line.of): i for i, line in enumerate(coverage.lines)}
        for row in view.changes:
            at = f"cover.{view.name}.{index_of[row.letter]}"
            for what in MOVES:
                assert (
                    job.figures.text(f"{at}.{what}") == f"{worst(getattr(row, what))} {view.unit}"
                )
                seen += 1
    assert seen or all(surface.stage == "existing" for surface in job.checked.site.surfaces)


def test_verdicts(job: Job) -> None:
    for view in finding_views(job.checked, job.keys):
        if f"rule.{view.id}.margin" not in job.figures or " to " in view.measured:
            continue
        if view.order:
            printed = (view.measured, view.limit, view.margin)
            keys = (f"rule.{view.id}.{what}" for what in ("measured", "limit", "margin"))
            assert tuple(map(job.figures.text, keys)) == printed


def test_limits(job: Job) -> None:
    for view in coverage_views(job.checked, job.keys):
        for limit in view.limits:
            rows = {name: (area, share) for name, area, share in limit.rows}
            at = f"limit.{limit.finding}"
            area, share = rows["Maximum allowed"]
            assert worst(rows["Proposed"][1]) == job.figures.text(f"{at}.proposed_share")
            assert share == job.figures.text(f"{at}.maximum_share")
            if " to " not in rows["Proposed"][0]:
                assert area == job.figures.text(f"{at}.maximum")
                assert rows["Proposed"][0] == job.figures.text(f"{at}.proposed")
                assert rows["Remaining"][0] == job.figures.text(f"{at}.remaining")
