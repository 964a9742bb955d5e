"""Neighbouring layers; the ratios were worked by hand from the band edges."""

from __future__ import annotations

import pytest

from checker.courses.filters import (
    Grains,
    Neighbours,
    filter_d15_limits_m,
    grain_span,
    is_coarser,
    neighbours,
    pipe_opening_ratio,
)
from checker.courses.gradation import SieveBand, SieveCurve

BY_HAND = {
    ("8", "57"): (1.04, 1.47, 1.50, 2.17, 2.77),
    ("89", "57"): (1.13, 2.06, 1.61, 2.49, 3.88),
    ("9", "57"): (2.13, 3.20, 3.0, 4.49, 6.0),
    ("57", "2"): (2.20, 4.12, 2.8, 3.58, 5.2),
    ("57", "3"): (1.54, 2.89, 2.0, 2.67, 3.9),
    ("57", "4"): (1.21, 2.27, 1.5, 1.99, 2.9),
    ("8", "2"): (5.18, 7.33, 6.6, 7.78, 9.2),
    ("89", "2"): (5.63, 10.3, None, 8.9, None),
    ("concrete-sand", "8"): (4.22, 10.5, 4.9, 8.6, 14.4),
    ("concrete-sand", "57"): (7.19, 17.8, None, 18.7, 33.6),
}
"""By (finer, coarser): worst D15/D85, worst D15/D50, and D50/D50 least, half way and most."""


def between(sizes: dict[str, SieveBand], finer: str, coarser: str) -> Neighbours:
    return neighbours(grain_span(sizes[coarser]), grain_span(sizes[finer]))


@pytest.mark.parametrize(("finer", "coarser"), BY_HAND)
def test_ratios_by_hand(finer: str, coarser: str, sizes: dict[str, SieveBand]) -> None:
    found = between(sizes, finer, coarser)
    numbers = (
        found.retention_worst_ratio,
        found.choke_worst_ratio,
        found.spread_low_ratio,
        found.spread_mid_ratio,
        found.spread_high_ratio,
    )
    for number, expected in zip(numbers, BY_HAND[finer, coarser], strict=True):
        if expected is not None:
            assert number == pytest.approx(expected, rel=0.02)


def test_permeability_of_two_stones_is_low_and_no_defect(sizes: dict[str, SieveBand]) -> None:
    # The facts give 1.0 to 1.6 for No. 8 over No. 57 at the middle of the bands, worked by hand:
    # 6.149 / 3.755 = 1.64.
    assert between(sizes, "8", "57").permeability_mid_ratio == pytest.approx(1.64, rel=0.01)


def test_the_worst_is_never_better_than_the_middle(sizes: dict[str, SieveBand]) -> None:
    for finer, coarser in BY_HAND:
        found = between(sizes, finer, coarser)
        assert found.retention_worst_ratio is not None
        assert found.retention_mid_ratio is not None
        assert found.retention_worst_ratio >= found.retention_mid_ratio


def test_a_tested_stone_has_no_worse_edge(sizes: dict[str, SieveBand]) -> None:
    tested = SieveCurve.of([(0.0125, 1.0), (0.0095, 0.92), (0.00475, 0.22), (0.00236, 0.07)])
    found = neighbours(grain_span(sizes["57"]), grain_span(tested))
    assert found.spread_low_ratio is not None
    assert found.spread_mid_ratio is not None
    assert found.spread_low_ratio < found.spread_mid_ratio
    span = grain_span(tested)
    assert span.fine == span.mid == span.coarse


def test_a_ratio_without_its_size_is_unknown(sizes: dict[str, SieveBand]) -> None:
    screenings = grain_span(sizes["10"])
    # 10 to 30 % of No. 10 pass the finest sieve of its band, so its fine edge has no D15.
    assert screenings.fine.d15_m is None
    found = neighbours(grain_span(sizes["57"]), screenings)
    assert found.permeability_high_ratio is None
    assert found.retention_worst_ratio is not None


def test_which_of_two_is_coarser(sizes: dict[str, SieveBand]) -> None:
    assert is_coarser(grain_span(sizes["57"]), grain_span(sizes["8"])) is True
    assert is_coarser(grain_span(sizes["8"]), grain_span(sizes["57"])) is False
    unknown = grain_span(Grains(d15_m=None, d50_m=None, d85_m=0.001))
    assert is_coarser(unknown, grain_span(sizes["8"])) is None


def test_the_segregation_limit_governs_or_not() -> None:
    # By hand: D85 of 1.0 mm gives 5.0 mm, less than 40 x 0.17 = 6.8.
    least_m, most_m = filter_d15_limits_m(0.17e-3, 1.0e-3)
    assert (least_m, most_m) == pytest.approx((0.85e-3, 5.0e-3))


def test_slots_and_holes_use_one_ratio() -> None:
    assert pipe_opening_ratio(0.012, 0.010) == pytest.approx(1.2)


def test_a_material_is_not_coarser_than_itself(sizes: dict[str, SieveBand]) -> None:
    assert is_coarser(grain_span(sizes["57"]), grain_span(sizes["57"])) is False
