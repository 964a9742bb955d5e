"""Overlays of areas that cross themselves by a hair, as moving a result can leave them."""

from __future__ import annotations

import pytest
import shapely

from checker.measure.arrangement import OverlayFailed, common, joined, without

LOWER_HALF = shapely.box(0, 0, 10, 5)
# A square of 10 m with a notch from (5, 10) down to its lower edge and up to (4, 10); the notch
# reaches through that edge by a tenth of a nanometre.
NOTCHED = shapely.Polygon([(0, 0), (10, 0), (10, 10), (5, 10), (5, -1e-10), (4, 10), (0, 10)])


def test_a_hair_takes_no_ground_and_stops_nothing() -> None:
    assert not NOTCHED.is_valid
    # The notch is 0.5 m wide at half its height: 5 m x 0.5 m / 2 of the lower 50 m2.
    assert common(NOTCHED, LOWER_HALF).area == pytest.approx(48.75, abs=1e-6)
    # The notch is 10 m x 1 m / 2, of which 3.75 lie above.
    assert without(NOTCHED, LOWER_HALF).area == pytest.approx(46.25, abs=1e-6)
    assert joined([NOTCHED, shapely.box(10, 0, 12, 10)]).area == pytest.approx(115, abs=1e-6)


# The part of a bent strip that is narrower than a width: two of its edges cross by 1e-10 m.
SLIVER = shapely.from_wkt(
    "POLYGON ((466.4380255192518 -410.3964839040127, 466.43802806164604 -410.39637760905316, "
    "466.43802806164604 -410.39637760893675, 466.4373960334342 -410.42280228389427, "
    "466.31112288392615 -410.6217104307725, 466.31108003109694 -410.62168476879015, "
    "466.3110371781513 -410.6216591068369, 466.4380255192518 -410.3964839040127))"
)


def test_where_the_library_gives_up_at_a_hair_the_area_is_mended() -> None:
    around = shapely.box(466, -411, 466.5, -410)
    with pytest.raises(shapely.GEOSException):
        shapely.intersection(SLIVER, around)
    x_m, y_m = shapely.get_coordinates(SLIVER).T - [[466], [-410]]
    own_m2 = abs(sum(x_m[:-1] * y_m[1:] - x_m[1:] * y_m[:-1])) / 2
    assert common(SLIVER, around).area == pytest.approx(own_m2, abs=1e-9)
    assert without(around, SLIVER).area == pytest.approx(0.5 - own_m2, abs=1e-9)


def test_an_outline_that_really_crosses_itself_is_no_area() -> None:
    bow = shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 8)])
    with pytest.raises(OverlayFailed):
        common(bow, LOWER_HALF)
