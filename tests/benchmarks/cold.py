"""How long commands take from a cold start, beside `python -c pass` in the same run.

Run it from the top of a checkout: `python tests/benchmarks/cold.py`. It prints ratios; seconds
depend on the machine, ratios hardly.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SAMPLE = "samples/fernhollow-before/site.yaml"
ROUNDS = 15

# As after an installation: with the compiled modules kept.
PLAIN = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


def best_s(*command: str) -> float:
    """The best of several runs: the least disturbed one."""
    times_s: list[float] = []
    for _ in range(ROUNDS):
        start_s = time.perf_counter()
        subprocess.run([sys.executable, *command], check=False, capture_output=True, env=PLAIN)
        times_s.append(time.perf_counter() - start_s)
    return min(times_s)


def warm_s() -> float:
    """One check of a 20-surface lot through the API, load and judge, in a running process."""
    from checker import api

    text = Path(SAMPLE).read_text(encoding="utf-8")
    lines = [
        f"  - {{id: bed-{i}, material: planting-bed, shape: "
        f"{{rectangle: {{corner: [{1 + 4 * (i % 2)}, {62 + 5 * (i // 2)}], size: [3, 4]}}}}}}"
        for i in range(8)
    ]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "site.yaml"
        more = text.replace("surfaces:\n", "surfaces:\n" + "\n".join(lines) + "\n", 1)
        path.write_text(more, encoding="utf-8")
        assert len(api.load_site(path).surfaces) == 20
        times_s: list[float] = []
        for _ in range(30):
            start_s = time.perf_counter()
            site = api.load_site(path)
            api.check(site, api.load_ruleset_for(site))
            times_s.append(time.perf_counter() - start_s)
    return min(times_s)


def main() -> None:
    """Print the ratios."""
    base_s = best_s("-c", "pass")
    with tempfile.TemporaryDirectory() as folder:
        rows = [
            ("python -c pass", base_s, ""),
            ("soakline --help", best_s("-m", "checker", "--help"), "at most 7"),
            (
                "soakline check, HTML and Markdown",
                best_s("-m", "checker", "check", SAMPLE, "--out", folder),
                "at most 27",
            ),
            ("warm load and check, 20 surfaces", warm_s(), "below 1"),
        ]
    for name, took_s, wanted in rows:
        print(f"{name:36} {took_s * 1000:8.1f} ms {took_s / base_s:6.2f} x   {wanted}")


if __name__ == "__main__":
    main()
