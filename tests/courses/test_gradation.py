"""Sieve curves, bands and grain sizes; the sizes of the bands were worked by hand."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checker.core.formula import OutOfRange
from checker.courses.filters import grain_span
from checker.courses.gradation import (
    BadCurve,
    BandEdge,
    CurveTooShort,
    SieveBand,
    SieveCurve,
    fit,
    fits,
    grain_size_m,
    uniformity_coefficient,
)

GRAINS_MM = {
    "2": ((42.4, 39.3, 37.5), (53.3, 49.2, 45.0), (61.7, 59.7, 56.1)),
    "3": ((29.7, 26.7, 25.0), (40.6, 36.7, 32.4), (48.7, 46.7, 43.3)),
    "4": ((23.3, 20.3, 19.0), (29.7, 27.3, 24.2), (36.4, 34.9, 32.8)),
    "5": ((17.1, 14.2, 13.1), (21.4, 20.2, 18.1), (24.5, 23.8, 22.8)),
    "57": ((8.49, 6.15, 5.23), (16.0, 13.7, 10.3), (22.6, 21.4, 19.3)),
    "67": ((7.99, 5.88, 5.13), (12.8, 11.0, 8.80), (18.1, 16.8, 15.1)),
    "7": ((6.16, 5.30, 4.75), (10.0, 8.83, 7.38), (12.2, 11.7, 10.9)),
    "8": ((4.97, 3.76, 2.81), (6.87, 6.33, 5.79), (9.50, 8.84, 8.19)),
    "89": ((3.76, 2.05, 1.40), (6.39, 5.52, 4.13), (9.04, 8.42, 7.54)),
    "9": ((2.47, 1.67, 1.32), (3.43, 3.06, 2.65), (4.75, 4.39, 3.99)),
    "concrete-sand": ((0.38, 0.23, 0.18), (1.18, 0.73, 0.48), (2.98, 2.02, 1.18)),
}
"""D15, D50 and D85 in mm at the coarse edge, half way and the fine edge, worked by hand.

For instance half way in No. 3: 52.5 % pass 37.5 mm and 7.5 % pass 25 mm, so D15 is
25 x 1.5^(7.5/45) = 25 x 1.0699 = 26.7.
"""


@pytest.mark.parametrize("size", GRAINS_MM)
def test_sizes_of_the_bands_by_hand(size: str, sizes: dict[str, SieveBand]) -> None:
    span = grain_span(sizes[size])
    for number, name in enumerate(("d15_m", "d50_m", "d85_m")):
        found = [getattr(grains, name) * 1000 for grains in (span.coarse, span.mid, span.fine)]
        for size_mm, printed_mm in zip(found, GRAINS_MM[size][number], strict=True):
            half_digit_mm = 0.05 if printed_mm >= 10 else 0.005
            assert abs(size_mm - printed_mm) <= half_digit_mm * 1.001, (name, size_mm, printed_mm)


def test_reading_on_the_opening_itself_moves_d15(sizes: dict[str, SieveBand]) -> None:
    # By hand, mid-band No. 57: 4.75 + 10/37.5 x 7.75 = 6.82 mm, against 6.15 on the logarithm.
    mid = sizes["57"].curve("mid")
    assert grain_size_m(mid, 0.15, "linear") * 1000 == pytest.approx(6.8167, rel=1e-4)
    assert grain_size_m(mid, 0.15, "log") * 1000 == pytest.approx(6.149, rel=1e-3)


MM = {"inch": 25.0, "half": 12.5, "three_eighths": 9.5, "n4": 4.75, "n8": 2.36, "n16": 1.18}


def curve(**passing: float) -> SieveCurve:
    return SieveCurve.of((MM[name] / 1000, share / 100) for name, share in passing.items())


def test_a_missing_sieve_cannot_be_told(sizes: dict[str, SieveBand]) -> None:
    found = fit(curve(half=100, three_eighths=92, n8=7, n16=3), sizes["8"])
    # Between 7 and 92 % pass the No. 4 sieve; the band is 10 to 30.
    assert [one.holds for one in found] == [True, True, None, True, True]
    assert fits(found) is None


def test_a_missing_sieve_that_its_neighbours_settle(sizes: dict[str, SieveBand]) -> None:
    # All passes 3/8 in, so all passes 1/2 in; 3 % pass No. 8, so at most 3 % pass No. 16.
    found = fit(curve(three_eighths=100, n4=20, n8=3), sizes["8"])
    assert [one.measured_fraction for one in found] == [None, 1.0, 0.20, 0.03, None]
    assert fits(found) is True


def test_a_missing_sieve_that_must_be_outside(sizes: dict[str, SieveBand]) -> None:
    # Half passes No. 8, so at least half passes No. 4: the band ends at 30 %.
    found = fit(curve(three_eighths=95, n8=50), sizes["8"])
    assert [one.holds for one in found] == [None, True, False, False, None]
    assert fits(found) is False


def test_one_sieve_outside_decides_though_others_are_missing(sizes: dict[str, SieveBand]) -> None:
    assert fits(fit(curve(three_eighths=60, n16=1), sizes["8"])) is False


def test_exactly_at_the_ends_of_a_band_is_inside(sizes: dict[str, SieveBand]) -> None:
    assert fits(fit(curve(half=100, three_eighths=85, n4=30, n8=10, n16=5), sizes["8"])) is True
    assert fits(fit(curve(half=100, three_eighths=84.9, n4=30, n8=10, n16=5), sizes["8"])) is False


@pytest.mark.parametrize(
    ("sieves", "says"),
    [
        ([(0.01, 0.5)], "at least two sieves"),
        ([(0.01, 0.5), (0.0, 0.1)], "is not positive"),
        ([(0.01, 1.5), (0.005, 0.1)], "outside 0 to 100 %"),
        ([(0.01, 0.5), (0.01, 0.5)], "is given twice"),
        ([(0.01, 0.2), (0.005, 0.5)], "only 20 % the coarser 10 mm sieve"),
        ([(float("nan"), 0.2), (0.005, 0.1)], "is not positive"),
        ([(0.01, float("nan")), (0.005, 0.1)], "outside 0 to 100 %"),
    ],
)
def test_curves_that_no_sample_gives(sieves: list[tuple[float, float]], says: str) -> None:
    with pytest.raises(BadCurve, match=says):
        SieveCurve.of(sieves)


def test_a_curve_that_ends_above_d15() -> None:
    with pytest.raises(CurveTooShort, match=r"D15 cannot be read: 22 % .* add a finer sieve"):
        grain_size_m(curve(half=100, n4=22), 0.15)


def test_a_curve_that_starts_below_d85() -> None:
    with pytest.raises(CurveTooShort, match=r"only 70 % passes .* add a coarser sieve"):
        grain_size_m(curve(half=70, n4=22), 0.85)


def test_a_curve_that_starts_or_ends_exactly_at_the_share() -> None:
    assert grain_size_m(curve(half=85, n4=15), 0.85) == 0.0125
    assert grain_size_m(curve(half=85, n4=15), 0.15) == 0.00475


def test_a_gap_gives_its_finest_sieve() -> None:
    assert grain_size_m(curve(half=100, three_eighths=50, n4=50, n8=0), 0.5) == 0.00475


def test_shares_of_nothing_and_all_have_no_size() -> None:
    for share in (0.0, 1.0, -0.1, float("nan")):
        with pytest.raises(OutOfRange):
            grain_size_m(curve(half=100, n4=0), share)


def test_uniformity_is_one_size_over_another() -> None:
    # By hand: 3 mm over 1 mm. The example beside the formula is held to its printed digits only.
    assert uniformity_coefficient(0.003, 0.001) == pytest.approx(3, rel=1e-12)


def test_a_size_of_nothing_has_no_uniformity() -> None:
    with pytest.raises(OutOfRange):
        uniformity_coefficient(0.001, 0.0)


@given(st.lists(st.integers(0, 400), min_size=4, max_size=8))
def test_more_passing_never_gives_a_larger_size(quarter_points: list[int]) -> None:
    shares = [1.0, *sorted((q / 400 for q in quarter_points), reverse=True), 0.0]
    sizes_m = [0.064 / 2**step for step in range(len(shares))]
    finer = [*(min(1.0, share + 0.1) for share in shares[:-1]), 0.0]
    one, other = (
        SieveCurve.of(zip(sizes_m, shares, strict=True)),
        SieveCurve.of(zip(sizes_m, finer, strict=True)),
    )
    found = [(grain_size_m(one, p), grain_size_m(other, p)) for p in (0.15, 0.5, 0.85)]
    for coarse_m, fine_m in found:
        assert fine_m <= coarse_m * (1 + 1e-12)
    for (first_m, _), (second_m, _) in itertools.pairwise(found):
        assert first_m <= second_m * (1 + 1e-12)


def test_every_band_fits_itself(sizes: dict[str, SieveBand]) -> None:
    edges: tuple[BandEdge, ...] = ("fine", "mid", "coarse")
    for band in sizes.values():
        for edge in edges:
            assert fits(fit(band.curve(edge), band)) is True
