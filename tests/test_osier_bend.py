# ruff: noqa: E501 - one change a line
"""The place that asks for everything, a second way: squares counted one by one, and spoilt drawings.

Cover, yards, volume, fee and limit are worked from whole feet without the rule language and without
geometry: every square foot of the lot is asked what lies on it. Then each judgement of the place is
spoilt by one change of the drawing, and must turn.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Final

import pytest

from checker import api
from checker.algebra.evaluate import as_amount

if TYPE_CHECKING:
    from checker.findings.checked import Checked

SAMPLE: Final = Path("samples/osier-after/site.yaml")
WHOLE: Final = SAMPLE.read_text(encoding="utf-8")
DRY: Final = re.sub(
    ", drains_to: (apron|shed-eave|pad-edge)|, attributes: {drains_to: pad-edge}", "",
    WHOLE[: WHOLE.index("panels:")] + WHOLE[WHOLE.index("sections:") : WHOLE.index("storms:")]
    + WHOLE[WHOLE.index("on_file:") :],
)  # fmt: skip
"""The same without drainage, which takes most of the time."""

Box = tuple[int, int, int, int]
"""Left, bottom, width, depth in feet."""

KEPT: Final[list[Box]] = [
    (20, 30, 45, 30), (42, 0, 20, 30), (30, 22, 12, 4), (30, 26, 6, 4), (5, 106, 10, 12),
    (84, 68, 4, 6),
]  # fmt: skip
POOL: Final[Box] = (30, 78, 30, 15)
OLD: Final[Box] = (23, 71, 44, 29)


def judged(text: str, folder: Path) -> Checked:
    (folder / "site.yaml").write_text(text, encoding="utf-8")
    (folder / "rain.csv").write_bytes(SAMPLE.with_name("rain.csv").read_bytes())
    site = api.load_site(folder / "site.yaml")
    return api.check(site, api.load_ruleset("osier-bend"))


@lru_cache(maxsize=1)
def as_handed_in() -> Checked:
    site = api.load_site(SAMPLE)
    return api.check(site, api.load_ruleset_for(site))


def holds(box: Box, x: int, y: int) -> bool:
    left, low, wide, deep = box
    return left <= x < left + wide and low <= y < low + deep


def weight(x: int, y: int, stone: Box | None, permeable: Box | None, old: Box | None) -> Fraction:
    """What the square foot whose lower left corner is x, y counts."""
    left, low, wide, deep = POOL
    if holds(POOL, x, y):
        return Fraction(0)
    if holds((left - 1, low - 1, wide + 2, deep + 2), x, y):
        return Fraction(1)
    if any(box and holds(box, x, y) for box in (*KEPT, stone, old)):
        return Fraction(1)
    return Fraction(1, 4) if permeable and holds(permeable, x, y) else Fraction(0)


def counted(boxes: tuple[Box | None, Box | None, Box | None], rows: range) -> Fraction:
    squares = ((x, y) for x in range(90) for y in rows)
    return sum((weight(x, y, *boxes) for x, y in squares), start=Fraction(0))


def expect(checked: Checked, stone: Box, permeable: Box) -> None:
    new, now = (stone, permeable, None), (None, None, OLD)
    findings = {finding.rule: finding for finding in checked.verdict.findings}
    results = {result.result: result for result in checked.verdict.results}
    whole, before = counted(new, range(130)), counted(now, range(130))
    limit = min(Fraction(35, 100) * (90 * 130 - 90 * 10), Fraction(6000))
    yards = {
        "front-yard-cover": (counted(new, range(25)), Fraction(40, 100) * 90 * 25),
        "rear-yard-cover": (counted(new, range(105, 130)), Fraction(25, 100) * 90 * 25),
    }
    for rule, (measured, most) in {"cover-limit": (whole, limit), **yards}.items():
        finding = findings[rule]
        assert finding.status == ("passes" if measured <= most else "fails"), rule
        assert finding.measured is not None
        assert finding.limit is not None
        assert finding.measured.to("sq ft") == pytest.approx(float(measured), rel=1e-9), rule
        assert finding.limit.to("sq ft") == pytest.approx(float(most), rel=1e-9), rule
    added = max(whole - before, Fraction(0))
    held = findings["held-rain"]
    owed = added > 250
    assert held.status == ("does not apply" if not owed else held.status)
    assert results["volume-to-hold"].status == ("owed" if owed else "not owed")
    if owed:
        assert held.status == ("passes" if Fraction(1568, 10) >= added / 12 else "fails")
        assert held.limit is not None
        assert held.limit.to("cu ft") == pytest.approx(float(added / 12), rel=1e-9)
    quantity = results["yearly-fee"].amount
    assert quantity is not None
    fee = as_amount(quantity)
    assert fee is not None
    assert fee.value_si == 18 * math.ceil(whole / 500)


def test_cover_volume_and_fee_square_by_square() -> None:
    expect(as_handed_in(), (17, 60, 56, 17), (17, 94, 56, 14))


@pytest.mark.parametrize("seed", range(12))
def test_random_terraces_square_by_square(seed: int, tmp_path: Path) -> None:
    dice = Random(seed)
    stone = (dice.randint(2, 28), 60, dice.randint(20, 58), dice.randint(5, 17))
    permeable = (dice.randint(2, 28), 94, dice.randint(20, 58), dice.randint(8, 24))
    text = DRY
    for old, new in (((17, 60, 56, 17), stone), ((17, 94, 56, 14), permeable)):
        was = f"corner: [{old[0]}, {old[1]}], size: [{old[2]}, {old[3]}]"
        assert was in text
        text = text.replace(was, f"corner: [{new[0]}, {new[1]}], size: [{new[2]}, {new[3]}]", 1)
    text = text.replace("corner: [84, 68]", "corner: [86, 30]")
    kept = KEPT[-1]
    KEPT[-1] = (86, 30, 4, 6)
    try:
        expect(judged(text, tmp_path), stone, permeable)
    finally:
        KEPT[-1] = kept


@pytest.mark.parametrize(
    ("rule", "old", "new", "status"),
    [
        ("cover-limit", "{lot-area-of: less-easements}", "{lot-area-of: whole}", "passes"),
        ("cover-limit", "readings: {lot-area-of: less-easements}\n", "", "passes"),
        ("cover-limit", "corner: [20, 30], size: [45, 30]", "corner: [17, 30], size: [60, 30]", "fails"),
        ("cover-limit", "zone: R-1", "zone: B-1", "does not apply"),
        ("front-yard-cover", "size: [20, 30]", "size: [36, 30]", "fails"),
        ("rear-yard-cover", "size: [10, 12]", "size: [30, 20]", "fails"),
        ("decks-from-side-line", "corner: [17, 94], size: [56, 14]", "corner: [4, 94], size: [69, 14]", "fails"),
        ("held-rain", "held_volume: 156.8 cu ft", "held_volume: 34.6 cu ft", "fails"),
        ("held-rain", "held_volume: 156.8 cu ft, ", "", "cannot tell"),
        ("no-sand", "sanded: no", "sanded: yes", "fails"),
        ("no-sand", ", sanded: no", "", "cannot tell"),
        ("permeable-upkeep", "document: upkeep-agreement", "document: upkeep-note", "fails"),
        ("change-of-section", "of: terrace, title: Base", "of: other, title: Base", "fails"),
        ("change-of-section", "by: the town engineer (invented), ", "", "fails"),
        ("from-pool", "covers: one side", "covers: base", "passes with conditions"),
        ("storage", "design_rain: 2.0 in", "design_rain: 2.5 in", "fails"),
        ("pool-edge", "corner: [17, 94], size: [56, 14]", "corner: [17, 96], size: [56, 14]", "passes with conditions"),
        ("rate-when-new", "[80 in/h, 96 in/h]", "[40 in/h, 50 in/h]", "fails"),
        ("high-water", "water_table_depth: 12 ft", "water_table_depth: 3 ft", "fails"),
    ],
)  # fmt: skip
def test_a_change_of_the_drawing_turns_the_verdict(
    rule: str, old: str, new: str, status: str, tmp_path: Path
) -> None:
    assert old in DRY
    finding = next(
        f for f in judged(DRY.replace(old, new, 1), tmp_path).verdict.findings if f.rule == rule
    )
    assert finding.status == status, finding.because


def test_the_credit_is_lost_where_the_surface_is_too_slow(tmp_path: Path) -> None:
    """784 sq ft in full: 2,260 + 952 + 784 = 3,996, more than 3,780."""
    slow = judged(DRY.replace("[80 in/h, 96 in/h]", "[40 in/h, 50 in/h]"), tmp_path)
    cover = next(f for f in slow.verdict.findings if f.rule == "cover-limit")
    assert cover.status == "fails"
    assert cover.measured is not None
    assert cover.measured.to("sq ft") == pytest.approx(3996, abs=1e-6)


def test_between_the_readings_the_office_is_asked(tmp_path: Path) -> None:
    """3,996 lies between 35 % of 10,800 = 3,780 and 35 % of 11,700 = 4,095."""
    text = DRY.replace("readings: {lot-area-of: less-easements}\n", "")
    text = text.replace("[80 in/h, 96 in/h]", "[40 in/h, 50 in/h]")
    cover = next(f for f in judged(text, tmp_path).verdict.findings if f.rule == "cover-limit")
    assert cover.status == "cannot tell"
    assert "easement" in cover.because


@pytest.mark.parametrize(
    "changes",
    [
        [
            (", to: main, spills_to: valley-end}", ", to: main}", {"independent-ways", "one-blocked"}),
            ("at: [75, 85]", "at: [77, 85]", {"soak-lot-line"}),
            ("water_table_depth: 12 ft", "water_table_depth: 8 ft", {"soak-high-water"}),
            ("document: soaking-test-report", "document: soil-map", {"soaking-tests"}),
        ],
        [
            ("upper: 98.60, lower: 98.40", "upper: 98.50, lower: 98.40", {"pipes-fall"}),
            ("rim: 99.80", "rim: 99.83", {"drains-low"}),
            ("at: [75, 85]", "at: [73, 85]", {"soak-pool"}),
        ],
        [
            ("to: dry-well, diameter: 6 in", "to: dry-well, diameter: 3 in", {"pipes-carry", "pipes-never-narrow"}),
            ("slot: 3/8 in", "slot: 1/16 in", {"drains-take"}),
            ("measured_rate: 1.2 in/h", "measured_rate: 0.1 in/h", {"stores-empty"}),
        ],
    ],
    ids=["ways", "levels", "sizes"],
)  # fmt: skip
def test_changes_of_the_drainage_fail(
    changes: list[tuple[str, str, set[str]]], tmp_path: Path
) -> None:
    text = WHOLE
    for old, new, _ in changes:
        assert old in text
        text = text.replace(old, new, 1)
    findings = {f.rule: f for f in judged(text, tmp_path).verdict.findings}
    for rule in set.union(*(rules for _, _, rules in changes)):
        assert findings[rule].status == "fails", findings[rule].because
