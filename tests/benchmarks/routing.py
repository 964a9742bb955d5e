"""Ten years of 5-minute rain through a store: our router beside plain fixed-step loops.

Run it from the top of a checkout: `python tests/benchmarks/routing.py`. Each way runs cold in a
process of its own, reading the same made-up rain from a file; the times are printed as multiples
of `python -c pass` in the same run. The results beside them show what the time buys: an explicit
loop with the step of the rain gets neither the peak nor the overflow.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import tempfile
import time
from array import array
from pathlib import Path

ROUNDS = 9
STEP_S = 300.0
STEPS = 10 * 365 * 288

PLAIN = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}

STORE = """
BED_M2, VOID, DEPTH_M = 15.0, 0.4, 0.38
RATE, EDGE_M, DRAINED_M2 = 0.25 * 0.0254 / 3600, 2.0, 135.0
"""

OURS = (
    STORE
    + """
import sys
import numpy as np
from checker.water.outlets import Infiltration, Weir, storage_table
from checker.water.routing import route
from checker.water.stores import stone_bed
bed = stone_bed(0.0, DEPTH_M, 5.0, 3.0, VOID).then(0.1, BED_M2)
table = storage_table(
    bed,
    (Infiltration(rate_m_per_s=RATE, counts_walls=False), Weir(crest_m=DEPTH_M, length_m=EDGE_M)),
)
rain_m = np.fromfile(sys.argv[1])
got = route(table, rain_m * (DRAINED_M2 / 300.0), 300.0, every_step=False)
print(f'{{"peak_m": {got.peak_level_m}, "over_m3": {got.outflow_m3["overflow"]}}}')
"""
)

LOOP = (
    STORE
    + """
import sys
from array import array
parts = int(sys.argv[2])
rain_m = array("d")
with open(sys.argv[1], "rb") as file:
    rain_m.frombytes(file.read())
step = 300.0 / parts
held = over = peak = 0.0
brim = BED_M2 * VOID * DEPTH_M
for depth in rain_m:
    if depth == 0.0 and held == 0.0:
        continue
    come = depth * DRAINED_M2 / parts
    for _ in range(parts):
        soaked = min(RATE * BED_M2 * step, held + come)
        head = max(0.0, held - brim) / BED_M2
        gone = min(1.66 * EDGE_M * head ** 1.5 * step, max(0.0, held + come - soaked - brim))
        held = max(0.0, held + come - soaked - gone)
        over += gone
        if held > peak:
            peak = held
    if held < 1e-9:
        held = 0.0
top = peak / BED_M2 / VOID if peak < brim else DEPTH_M + (peak - brim) / BED_M2
print(f'{{"peak_m": {top}, "over_m3": {over}}}')
"""
)


def made_up_rain(path: Path) -> None:
    """Showers of random length and strength, in the tenths of a millimetre that a gauge tips."""
    dice = random.Random(7)
    rain_m = array("d", bytes(8 * STEPS))
    at = 0.0
    while True:
        at += dice.expovariate(1 / (4 * 288))
        length = max(1, int(dice.expovariate(1 / 72)))
        first = int(at)
        if first + length >= STEPS:
            break
        depth = dice.expovariate(1 / 0.009) * (4 if dice.random() < 0.02 else 1)
        parts = [dice.gammavariate(0.35, 1) * (dice.random() > 0.4) for _ in range(length)]
        whole = sum(parts) or 1.0
        for i, part in enumerate(parts):
            rain_m[first + i] += round(depth * part / whole / 0.0001) * 0.0001
        at += length
    path.write_bytes(rain_m.tobytes())


def best(rounds: int, *command: str) -> tuple[float, dict[str, float]]:
    """The least disturbed of several cold runs, and what it printed."""
    times_s, printed = [], ""
    for _ in range(rounds):
        start_s = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", *command], check=True, capture_output=True, env=PLAIN, text=True
        )
        times_s.append(time.perf_counter() - start_s)
        printed = done.stdout
    return min(times_s), json.loads(printed or "{}")


def main() -> None:
    """Print the times as ratios, and the peaks and overflows."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rain"
        made_up_rain(path)
        base_s, _ = best(ROUNDS, "pass")
        rows = [
            ("ours", *best(ROUNDS, OURS, str(path))),
            ("loop with steps of 5 min", *best(3, LOOP, str(path), "1")),
            ("loop with steps of 30 s", *best(1, LOOP, str(path), "10")),
            ("loop with steps of 3 s", *best(1, LOOP, str(path), "100")),
        ]
    print(f"{'python -c pass':28} {base_s * 1000:9.1f} ms")
    for name, took_s, got in rows:
        print(
            f"{name:28} {took_s * 1000:9.1f} ms {took_s / base_s:8.2f} x"
            f"   peak {got['peak_m']:.4f} m   over the edge {got['over_m3']:.3f} m3"
        )


if __name__ == "__main__":
    main()
