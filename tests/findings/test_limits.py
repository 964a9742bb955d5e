"""Limits on what counts, in a region or of an amount, with maximum, existing, proposed and room.

A lot of 100 by 100 ft; an old slab of 20 by 50 ft and a new one of 10 by 30 ft lie side by side
along the rear line, in a rear yard of 100 by 40 ft.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from checker import api
from checker.core.units import AREA, Amount
from checker.files.source import read_text
from checker.findings.coverage_lines import coverages
from checker.findings.limits import Limit, limits_of
from checker.site.read import site_of
from tests.findings.rulesets import SITE, ruleset

MORE = """\
regions:
  rear-yard: {title: rear yard, yard: rear, depth: 40 ft}
amounts:
  net_cover: {title: net cover, is: {difference: {take: cover, less: [100 sq ft]}}}
"""
SURFACES = """\
rest_of_lot: lawn
surfaces:
  - {id: old, material: concrete-slab, shape: {rectangle: {corner: [0, 50], size: [20, 50]}}}
  - id: new
    material: concrete-slab
    stage: proposed
    shape: {rectangle: {corner: [40, 70], size: [10, 30]}}
"""


def limit(require: str) -> Limit:
    rules = ruleset(
        f'  - {{id: a, title: A, cite: {{source: code, section: "1"}}, require: {require}}}\n', MORE
    )
    site = site_of(read_text(SITE + SURFACES, "site.yaml"), Path("site.yaml"))
    checked = api.check(site, rules)
    found = limits_of(coverages(checked)[0], checked)
    assert len(found) == 1
    return found[0]


def feet(value_m2: float | None) -> float:
    assert value_m2 is not None
    return round(Amount(value_m2, AREA).to("sq ft"), 6)


@pytest.mark.parametrize(
    ("require", "most", "existing", "proposed", "left", "whole"),
    [
        # 20 x 50 = 1,000 today and 10 x 30 = 300 more; 25 % of 10,000 = 2,500.
        ("{measure: cover, at_most: {percent: 25, of: lot_area}}", 2500, 1000, 1300, 1200, 10000),
        ("{value: {ratio: [cover, lot_area]}, at_most: 25 %}", 2500, 1000, 1300, 1200, 10000),
        # In the yard 20 x 40 = 800 of 100 x 40 = 4,000; half of that is 2,000.
        (
            ("{measure: cover, in: rear-yard, "
            "at_most: {percent: 50, of: {measure: lot_area, in: rear-yard}}}"),
            2000, 800, 1100, 900, 4000,
        ),
        # 100 less: 900 and 1,200.
        ("{measure: net_cover, at_most: 1200 sq ft}", 1200, 900, 1200, 0, 10000),
        ("{value: {ratio: [net_cover, lot_area]}, at_most: 10 %}", 1000, 900, 1200, -200, 10000),
        (
            "{any: [{measure: cover, at_most: 100 sq ft}, {measure: cover, at_most: 1400 sq ft}]}",
            1400, 1000, 1300, 100, 10000,
        ),
    ],
)  # fmt: skip
def test_a_limit_has_maximum_existing_proposed_and_remaining(
    require: str, most: float, existing: float, proposed: float, left: float, whole: float
) -> None:
    found = limit(require)
    assert feet(found.most.low_si) == most
    assert feet(found.existing.low_si) == existing
    assert feet(found.proposed.low_si) == proposed
    assert feet(found.increase.low_si) == proposed - existing
    assert feet(found.remaining_m2) == left
    assert feet(found.whole_m2) == whole
