"""The coverage ledger against hand sums and against published coverage sheets."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from checker.core.rounding import rounded
from checker.core.units import AREA, Amount, amount
from checker.files.source import read_document
from checker.findings.checked import Checked
from checker.findings.conversion import area_to_convert_m2
from checker.findings.coverage import MOVES, Coverage, MoveLine
from checker.papers.job import Job, make_job

CASES = read_document(Path(__file__).parents[1] / "published" / "packet-cases.yaml").data


def sq_ft(area_m2: float) -> float:
    return Amount(area_m2, AREA).to("sq ft")


def worksheet(job: Job) -> Coverage:
    return job.coverages[0]


def line_of(job: Job, surface: str) -> MoveLine:
    return next(line for line in worksheet(job).lines if line.of == surface)


# By hand, from the rectangles of files/orchard.yaml, in sq ft:
# house 50 x 32 = 1,600; drive 16 x 50 = 800; old patio 20 x 12 = 240, taken out;
# side walk 4 x 30 = 120, concrete (1.00) becomes permeable (0.50): 60;
# pool 28 x 14 = 392, left out; coping 30 x 16 - 392 = 88;
# terrace 44 x 36 - 30 x 16 = 1,104, permeable: 552; shed 10 x 12 = 120.
BY_HAND = {
    "house": (1600, 0, 0, 0, 0, 1600),
    "drive": (800, 0, 0, 0, 0, 800),
    "old-patio": (240, 240, 0, 0, 0, 0),
    "side-walk": (120, 0, 120, 60, 0, 60),
    "pool": (0, 0, 0, 0, 0, 0),
    "coping": (0, 0, 0, 0, 88, 88),
    "terrace": (0, 0, 0, 0, 552, 552),
    "shed": (120, 0, 0, 0, 0, 120),
    "rest-of-lot": (0, 0, 0, 0, 0, 0),
}


@pytest.mark.parametrize("surface", BY_HAND)
def test_moves_of_each_surface(orchard_job: Job, surface: str) -> None:
    moves = line_of(orchard_job, surface).moves
    assert [sq_ft(ends.low_m2) for ends in moves] == pytest.approx(BY_HAND[surface], abs=1e-6)
    assert [sq_ft(ends.high_m2) for ends in moves] == pytest.approx(BY_HAND[surface], abs=1e-6)


def test_totals(orchard_job: Job) -> None:
    # 1,600 + 800 + 240 + 120 + 120; ... ; 2,880 - 240 - 120 + 60 + 640 = 3,220
    sums = [sq_ft(worksheet(orchard_job).total_m2(what)) for what in MOVES]
    assert sums == pytest.approx([2880, 240, 120, 60, 640, 3220], abs=1e-6)


def test_overlaps_are_taken_out_once(orchard_job: Job) -> None:
    # 44 x 36 = 1,584 drawn; 30 x 16 = 480 lies under pool and coping.
    line = line_of(orchard_job, "terrace").shown
    assert line.drawn_m2 is not None
    assert [sq_ft(line.drawn_m2), sq_ft(line.taken_m2), sq_ft(line.used_m2)] == pytest.approx(
        [1584, 480, 1104], abs=1e-6
    )


def test_groups_sum_to_the_total(orchard_job: Job) -> None:
    found = worksheet(orchard_job)
    for what in MOVES:
        parts = [getattr(x.moves, what) for lines in found.groups.values() for x in lines]
        assert sum(map(found.worst_m2, parts)) == pytest.approx(found.total_m2(what))


def test_limit_and_shares(orchard_job: Job) -> None:
    # 40 % of 11,000 = 4,400; 4,400 - 3,220 = 1,180; 3,220 / 11,000 = 29.27 %; 2,880: 26.18 %
    text = orchard_job.figures.text
    assert text("rule.cover-limit.limit") == "4,400 sq ft"
    assert text("rule.cover-limit.margin") == "+1,180 sq ft"
    assert text("limit.impervious_area.cover-limit.proposed_share") == "29.27 %"
    assert text("cover.impervious_area.existing_share") == "26.18 %"
    assert text("cover.impervious_area.total.net") == "+340 sq ft"


def lot_of(areas: list[float], lot_sq_ft: float, rest: str = "lawn") -> str:
    """A lot of that area, 100 ft wide, with a strip of concrete per item."""
    rows = []
    y = 0.0
    for index, area in enumerate(areas):
        rows.append(
            f"  - {{id: item-{index}, material: concrete-slab, "
            f"shape: {{rectangle: {{corner: [0, {y!r}], size: [100, {area / 100!r}]}}}}}}"
        )
        y += area / 100
    deep = lot_sq_ft / 100
    return "\n".join(
        [
            "format: site/1",
            "title: Strips",
            "place: larkmoor",
            "units: ft",
            f"rest_of_lot: {rest}",
            f"lot: {{boundary: {{points: [[0, 0], [100, 0], [100, {deep!r}], [0, {deep!r}]]}}}}",
            "surfaces:",
            *rows,
        ]
    )


@pytest.mark.parametrize("case", CASES["coverage"], ids=lambda case: case["id"])
def test_published_sheets(plain: Callable[[str], Checked], case: dict[str, Any]) -> None:
    """Filled worksheets of Orono MN: the items, their sum and its share of the lot."""
    job = make_job(plain(lot_of(case["items"], case["lot"])))
    total = job.figures.text("cover.impervious_area.total.proposed")
    assert total == f"{case['total']} sq ft"
    assert job.figures.text("cover.impervious_area.proposed_share") == f"{case['share']} %"


@pytest.mark.parametrize(("drawn", "over"), CASES["excess"]["drawn"].items())
def test_published_excess(plain: Callable[[str], Checked], drawn: str, over: int) -> None:
    """A Minnesota city's staff report, 2019: allowed 3,250, drawn 3,410 and 3,482 sq ft.

    Its limit is 35 per cent; this town's is 40, so the lot is 3,250 / 0.40 = 8,125 sq ft.
    """
    job = make_job(plain(lot_of([float(drawn)], 8125)))
    assert job.figures.text("rule.cover-limit.limit") == "3,250 sq ft"
    assert job.figures.text("rule.cover-limit.margin") == f"−{over} sq ft"


def test_area_to_rebuild_is_rounded_up(plain: Callable[[str], Checked]) -> None:
    """160 sq ft too much, by hand: 160 / 1, 160 / 0.75 = 213.3, 160 / 0.5, 160 / 0.25."""
    job = make_job(plain(lot_of([3410], 8125)))
    found = [
        job.figures.text(f"rule.cover-limit.convert.{c}") for c in ("0.00", "0.25", "0.50", "0.75")
    ]
    assert found == ["160 sq ft", "214 sq ft", "320 sq ft", "640 sq ft"]


@pytest.mark.parametrize(("factor", "area"), CASES["conversion"]["at_factor"].items())
def test_conversion_cases(factor: str, area: float) -> None:
    over_m2 = amount(CASES["conversion"]["over"], "sq ft").value_si
    wanted_m2 = area_to_convert_m2(over_m2, float(factor))
    assert wanted_m2 is not None
    assert rounded(sq_ft(wanted_m2), 1.0, "up") == area


def test_a_share_just_over_the_limit_never_prints_as_the_limit(
    plain: Callable[[str], Checked],
) -> None:
    job = make_job(plain(lot_of([4000.2], 10000)))
    share = job.figures.text("limit.impervious_area.cover-limit.proposed_share")
    assert share != job.figures.text("limit.impervious_area.cover-limit.maximum_share")
    assert job.figures.text("rule.cover-limit.margin").startswith("−")


def test_existing_cover_under_new_work_is_removed_cover(changed: Callable[..., Checked]) -> None:
    """An existing gravel patch 20 x 12 = 240 sq ft, y from 62 to 74; the terrace begins at 64.

    By hand: 20 x 2 = 40 stays and 200 goes, though nobody wrote "removed".
    """
    old, new = "concrete-slab, stage: removed, shape", "gravel, stage: existing, shape"
    job = make_job(changed((old, new)))
    moves = line_of(job, "old-patio").moves
    ends = (moves.existing, moves.removed, moves.new, moves.proposed)
    found = [sq_ft(end.high_m2) for end in ends]
    assert found == pytest.approx([240, 200, 0, 40], abs=1e-6)
