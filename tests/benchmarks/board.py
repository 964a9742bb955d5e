"""How fast the drawing page answers, measured in the browser.

    python tests/benchmarks/board.py

Prints, for 20 and 200 surfaces, the 50th and 95th percentile of milliseconds from letting go of a
corner to the new verdict on the screen (goals 50 and 150 ms), of a verdict while dragging, and from
the command to the first page (goal 1 s). Run it on a quiet machine.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any, Final

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.board.driving import chromium, entered, served

TIMES: Final = 40
HEAD: Final = """\
format: site/1
title: Bench (invented)
invented: yes
place: alder-ferry
units: ft
facts: {zone: R-2}
rest_of_lot: lawn
lot:
  boundary: {points: [[0, 0], [400, 0], [400, 300], [0, 300]]}
  sides: {front: [1], rear: [3], side: [2, 4]}
surfaces:
"""

# From a change of the form to the verdict painted: two frames after the page drew it.
RELEASE: Final = """async (depth) => {
  const field = document.getElementById("field-depth");
  const was = document.querySelector("#verdict-body .numbers").textContent;
  const start = performance.now();
  field.value = depth;
  field.dispatchEvent(new Event("change"));
  while (document.querySelector("#verdict-body .numbers").textContent === was) {
    await new Promise((next) => requestAnimationFrame(next));
  }
  const took = performance.now() - start;
  // A hand needs longer than this between two acts.
  await new Promise((next) => setTimeout(next, 250));
  return took;
}"""
TRIALS: Final = """() => new Promise((done) => {
  const found = [];
  let last = performance.now();
  new MutationObserver(() => { const now = performance.now(); found.push(now - last); last = now; })
    .observe(document.getElementById("verdict-body"), { childList: true });
  window.trials = found;
  done();
})"""


def site_of(count: int) -> str:
    """A lot with so many slabs in rows of twenty, a few of them under others."""
    rows = [
        f"  - {{id: slab-{i}, material: concrete-slab, stage: proposed, "
        f"shape: {{rectangle: {{corner: [{5 + 19 * (i % 20)}, {5 + 28 * (i // 20)}],"
        f" size: [{14 + i % 5}, 20]}}}}}}\n"
        for i in range(count)
    ]
    return HEAD + "".join(rows)


def percentiles(times_ms: list[float]) -> str:
    cuts = statistics.quantiles(times_ms, n=20)
    return f"{statistics.median(times_ms):6.0f} {cuts[18]:6.0f}"


def measured(browser: Any, path: Path, count: int) -> None:
    path.write_text(site_of(count), encoding="utf-8")
    start = time.perf_counter()
    with served(path) as command:
        ready = time.perf_counter() - start
        page = entered(browser, command)
        first = time.perf_counter() - start
        page.get_by_role("button", name="Slab 0", exact=True).click()
        page.locator("#field-depth").wait_for()
        times = [float(page.evaluate(RELEASE, str(21 + i % 7))) for i in range(1, TIMES + 1)]
        page.wait_for_timeout(800)
        page.evaluate(TRIALS)
        box = page.locator(".handle").nth(2).bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        for i in range(60):
            page.mouse.move(x + i % 9, y - i / 2)
            page.wait_for_timeout(15)
        page.mouse.up()
        trials = [float(t) for t in page.evaluate("window.trials")][1:]
    print(f"{count:4} surfaces: let go to verdict {percentiles(times)} ms (median, 95 %)")
    print(f"               while dragging   {percentiles(trials)} ms between verdicts")
    both = f"{first * 1000:6.0f} ms, of it the command {ready * 1000:.0f}"
    print(f"               command to page  {both}", flush=True)


def main() -> None:
    with tempfile.TemporaryDirectory() as work, chromium() as browser:
        # As on a person's machine, what was compiled once is kept; the first start compiles it.
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(work) / "compiled")
        path = Path(work) / "first.yaml"
        path.write_text(site_of(1), encoding="utf-8")
        with served(path) as command:
            entered(browser, command)
        for count in (20, 200):
            measured(browser, Path(work) / f"bench-{count}.yaml", count)


if __name__ == "__main__":
    main()
