"""What runs off the lot before and after, by hand."""

from __future__ import annotations

import pytest

from checker.core.units import Amount
from checker.measure.drainage.before_after import running_off
from tests.measure.terrace import DATA, survey

GROUND = {"measured_rate": "1 in/h", "safety_factor": 2, "soil_group": "B"}


def test_both_states_by_hand() -> None:
    """A lot of 3,600 sq ft: 800 of roof before, and 800 of new slab after; 1 in in 30 min, 2 in/h.

    Runoff share: (800 x 0.95 + 2800 x 0.35) / 3600 = 0.48333, then (1600 x 0.95 + 2000 x 0.35) /
    3600 = 0.61667. Peak: 0.010390 gal/min each in/h and sq ft: 0.48333 x 2 x 3600 x 0.010390 =
    36.16 and 46.13 gal/min. Curve numbers of group B: (800 x 98 + 2800 x 61) / 3600 = 69.22 and
    77.44. S = 1000 / CN - 10 = 4.446 and 2.913 in; 0.2 S = 0.889 and 0.583: (1 - 0.889)^2 /
    (1 + 3.557) = 0.00270 in, and (1 - 0.583)^2 / (1 + 2.330) = 0.05232 in over 3,600 sq ft.
    """
    found = survey(ground=GROUND)
    before, after = running_off(found, "existing"), running_off(found, "proposed")
    assert before.runoff_fraction == pytest.approx(0.48333, abs=1e-5)
    assert after.curve_number == pytest.approx(77.444, abs=0.001)
    for name, unit, wanted in (
        ("peak_before", "gal/min", 36.16), ("peak_after", "gal/min", 46.13),
        ("runoff_before", "cu ft", 0.00270 / 12 * 3600), ("runoff_after", "cu ft", 15.70),
    ):  # fmt: skip
        measured = found.measured(name)
        assert isinstance(measured, Amount)
        assert measured.to(unit) == pytest.approx(wanted, rel=0.01), name


def test_without_a_soil_group_nobody_can_tell() -> None:
    assert "soil_group" in str(getattr(survey().measured("runoff_after"), "ask", ""))


def test_new_permeable_paving_never_betters_the_change() -> None:
    """Its number is a rule of the place: new it counts as sealed, removed as open ground."""
    slab = survey(ground=GROUND)
    permeable = [DATA["surfaces"][0], DATA["surfaces"][1] | {"material": "permeable-paving"}]
    assert running_off(survey(ground=GROUND, surfaces=permeable), "proposed") == running_off(
        slab, "proposed"
    )
    removed = [DATA["surfaces"][0], permeable[1] | {"stage": "removed"}]
    gone = survey(ground=GROUND, surfaces=removed, panels=None)
    assert running_off(gone, "existing").sealed_m2 == running_off(slab, "existing").sealed_m2


def test_more_paving_never_sheds_less() -> None:
    """A sweep: wider slabs, never a smaller peak or volume after."""
    last = (0.0, 0.0)
    for width in range(2, 20, 3):
        slab = DATA["surfaces"][1] | {"shape": {"rectangle": {"corner": [10, 20],
                                                              "size": [40, width]}}}  # fmt: skip
        after = running_off(
            survey(ground=GROUND, surfaces=[DATA["surfaces"][0], slab], panels=None), "proposed"
        )
        assert (after.peak_m3_per_s, after.volume_m3) > last
        last = (after.peak_m3_per_s, after.volume_m3)
