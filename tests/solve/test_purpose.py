"""What becomes open ground is no patio any more, and rules on patios do not ask for its gaps."""

from __future__ import annotations

from checker.solve.search import least_change
from tests.solve.made import checked, cover_rules
from tests.solve.test_search import DRIVE, HOUSE, sq_ft

# 1,000 sq ft, 50 by 20 ft; with house and drive 3,300 count.
PATIO = """\
  - id: patio
    material: concrete-slab
    stage: proposed
    shape: {rectangle: {corner: [5, 50], size: [50, 20]}}
    attributes: {purpose: patio, gap: 1/4 in}
    may_become: [%s]
"""
GAPS = """\
  - id: gaps
    title: Gaps of patios
    cite: {source: code, section: "2"}
    require: {for_each: {purpose: patio, stage: proposed}, require: {value: gap, at_least: 1/4 in}}
"""


def test_lawn_in_place_of_a_patio_is_not_asked_for_what_patios_have() -> None:
    surfaces = HOUSE + DRIVE + PATIO % "lawn"
    option = least_change(checked(surfaces, cover_rules("3200 sq ft", more=GAPS))).option(
        "least-area"
    )
    assert option.is_met
    assert sq_ft(option.proof.found.value_si) == 100
    lawn = [s for s in option.after.site.surfaces if s.material.id == "lawn"]
    assert [s.attributes["purpose"] for s in lawn] == ["other"]


def test_other_paving_is_a_patio_still() -> None:
    # Nobody says what gaps the permeable paving has.
    surfaces = HOUSE + DRIVE + PATIO % "permeable-paving"
    options = least_change(checked(surfaces, cover_rules("3200 sq ft", more=GAPS)))
    assert not any(option.is_met for option in options.options)
