"""Levels and volumes of whole networks beside a general solver of differential equations."""

from __future__ import annotations

import pytest

from checker.water.conveyance import carry
from tests.water.networks import CLOUDBURST, TERRACE
from tests.water.plain import Plain


@pytest.mark.parametrize("closed", [(), ("bed/soil",)])
def test_levels_agree_with_a_solver_of_differential_equations(closed: tuple[str, ...]) -> None:
    theirs = Plain(TERRACE, CLOUDBURST, closed).run(3600.0)
    ours = carry(TERRACE, CLOUDBURST, closed, after_s=3600.0, to_rest=False)
    for name, level_m in theirs.highest_m.items():
        mine_m = ours.levels_m[name.replace(" top", "/pond")]
        assert mine_m == pytest.approx(level_m, abs=0.004), name
    for name, volume_m3 in theirs.gone_m3.items():
        soaked = sum(link.volume_m3 for link in ours.links if link.how == "soaks away")
        mine_m3 = soaked if name == "soil" else ours.volume_m3(name)
        assert mine_m3 == pytest.approx(volume_m3, abs=0.005 * ours.rain_m3), name
