"""Details are to scale and carry the site's own numbers; tables say what is to be built."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from checker import api
from checker.drawing.detail import Detail, box, detail_svg
from checker.drawing.drain_details import details_of
from checker.findings.checked import Checked
from checker.pages.blocks import Table, every
from checker.papers.job import Job, make_job
from checker.papers.schedules import details_paper

SAMPLE = Path("samples/osier-after/site.yaml")


@pytest.fixture(scope="module")
def job() -> Job:
    site = api.load_site(SAMPLE)
    return make_job(api.check(site, api.load_ruleset_for(site)))


def widths_mm(svg: str) -> list[float]:
    """Widths of the outlines of a picture."""
    found = []
    for path in re.findall(r'<path d="M([^"]+)Z"', svg):
        xs = [float(pair.split()[0]) for pair in path.split("L")]
        found.append(round(max(xs) - min(xs), 2))
    return found


@pytest.mark.parametrize(
    ("long_m", "system", "scale", "wide_mm"),
    [
        # 1 m is too long for 52 mm at 1:12 (83 mm) and 1:16 (62.5 mm): 1:24 gives 41.67 mm.
        (1.0, "us", "1/2 in = 1 ft (1:24)", 41.67),
        (1.0, "metric", "1:20", 50.0),
        # 4 m: 1:48 gives 83 mm, 1:96 41.67 mm.
        (4.0, "us", "1/8 in = 1 ft (1:96)", 41.67),
    ],
)
def test_a_detail_is_to_its_written_scale(
    long_m: float, system: str, scale: str, wide_mm: float
) -> None:
    detail = Detail(id="a", title="A box", pieces=(box(0.0, 0.0, long_m, 0.1, "concrete"),))
    svg = detail_svg(detail, system)  # type: ignore[arg-type]
    assert f"Scale {scale}" in svg
    assert widths_mm(svg) == [wide_mm]


def test_every_kind_that_the_site_has_is_drawn(job: Job) -> None:
    ids = " ".join(detail.id for detail in details_of(job))
    for kind in ("channel-", "cleanout-", "dry-well-", "pop-up-", "edge-", "restraint-"):
        assert kind in ids


def test_no_two_levels_of_a_detail_lie_over_each_other(job: Job) -> None:
    for detail in details_of(job):
        svg = detail_svg(detail, job.system)
        rows = sorted(float(y) for y in re.findall(r'y="([0-9.]+)" text-anchor="end"', svg))
        assert all(b - a >= 3.19 for a, b in pairwise(rows))


def test_tables_name_what_is_built(job: Job) -> None:
    """The pipes of the sample: size, length, inverts, each as the site file has it."""
    paper = details_paper(job, "6")
    tables = {t.caption: t for t in every(paper.blocks) if isinstance(t, Table)}
    pipes = tables["Pipes: sizes, materials, levels"]
    drawn = job.checked.site.document.data["ways_out"]["pipes"]
    assert len(pipes.rows) == len(drawn)
    for row, pipe in zip(pipes.rows, drawn, strict=True):
        assert row[0] == pipe["id"]
        assert str(row[3]) == str(pipe["diameter"])
        if "upper" in pipe:
            assert str(row[6]) == f"{pipe['upper']:.2f} ft"
    assert "Dry wells and stone: measures, levels" in tables
    assert "Planes of the paving" in tables


def test_nothing_drawn_gives_no_paper(plain: Callable[[str], Checked]) -> None:
    bare = """
format: site/1
title: Bare
invented: yes
place: larkmoor
units: ft
rest_of_lot: lawn
lot: {boundary: {points: [[0, 0], [80, 0], [80, 100], [0, 100]]}}
surfaces: [{id: house, material: roof, shape: {rectangle: {corner: [20, 30], size: [40, 30]}}}]
"""
    assert details_paper(make_job(plain(bare)), "6").is_empty
