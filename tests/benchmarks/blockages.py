"""Everything blocked in turn and in pairs: our program beside a general solver of equations.

Run it from the top of a checkout: `python -m tests.benchmarks.blockages`. Both carry the design
storm of the largest drained sample through its network: ours with nothing blocked, with each thing
blocked by itself and with every two, all at once; scipy's LSODA with nothing blocked, once. The
times of both are printed as multiples of `python -c pass` in the same run, beside the farthest that
their levels and volumes lie apart.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

from checker.measure.drainage.network import network_of
from checker.measure.drainage.rain import storm
from checker.measure.survey import Survey
from checker.measure.words import built_in
from checker.site.read import read_site
from checker.water.blockages import blockages
from checker.water.conveyance import carry
from tests.water.plain import Plain

if TYPE_CHECKING:
    from collections.abc import Callable

SAMPLE = Path("samples/tern-court/site.yaml")
ROUNDS = 5
AFTER_S = 6 * 3600.0


def best_s(rounds: int, work: Callable[[], object]) -> float:
    """The least disturbed of several runs."""
    times_s = []
    for _ in range(rounds):
        start_s = time.perf_counter()
        work()
        times_s.append(time.perf_counter() - start_s)
    return min(times_s)


def main() -> None:
    """Print the times as ratios, and how far levels and volumes lie apart."""
    survey = Survey(read_site(SAMPLE), built_in(), {})
    network, rain = network_of(survey), storm(survey, "design")
    base_s = best_s(9, lambda: subprocess.run([sys.executable, "-c", "pass"], check=True))
    print(f"{'python -c pass':44} {base_s * 1000:9.1f} ms")

    def show(name: str, took_s: float) -> None:
        print(f"{name:44} {took_s * 1000:9.1f} ms {took_s / base_s:8.2f} x")

    ours = carry(network, rain, after_s=AFTER_S, to_rest=False)
    show(
        "ours, nothing blocked",
        best_s(ROUNDS, lambda: carry(network, rain, after_s=AFTER_S, to_rest=False)),
    )
    count = len(network.blockable())
    show(
        f"ours, {count} blocked in turn and in pairs",
        best_s(ROUNDS, lambda: blockages(network, rain, after_s=AFTER_S)),
    )
    start_s = time.perf_counter()
    theirs = Plain(network, rain).run(AFTER_S)
    show("LSODA, nothing blocked", time.perf_counter() - start_s)
    apart_m = max(
        abs(level_m - ours.levels_m[name.replace(" top", "/pond")])
        for name, level_m in theirs.highest_m.items()
    )
    direct = {catchment.to for catchment in network.catchments}
    apart_m3 = max(
        abs(volume_m3 - ours.volume_m3(name))
        for name, volume_m3 in theirs.gone_m3.items()
        if name != "soil" and name not in direct
    )
    print(f"  farthest apart: {apart_m * 1000:.2f} mm, {apart_m3:.4f} m3 of {ours.rain_m3:.2f} m3")


if __name__ == "__main__":
    main()
