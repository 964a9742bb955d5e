"""Kills `soakline check` at random moments and looks at what lies there.

    python -m tests.faults.killing 100

A folder of pages must be that of one design or of the other, never a mix and never half of one.
The tests beside it kill at every single step of the writing; this is the whole command, from the
outside, as a person or a system would kill it.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SITES = ("samples/fernhollow-before/site.yaml", "samples/fernhollow-after/site.yaml")


def command(site: str, out: Path) -> list[str]:
    """The check of a site."""
    return [sys.executable, "-m", "checker", "check", site, "--out", str(out)]


def pages(folder: Path) -> dict[str, bytes]:
    """What lies in a folder."""
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def run(trials: int, seed: int = 1) -> tuple[int, int]:
    """Kill so many checks.

    Returns:
        How many were killed before they were done, and how many left the new pages.
    """
    chance = random.Random(seed)
    killed = replaced = 0
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    with tempfile.TemporaryDirectory() as place:
        out, whole, longest_s = Path(place) / "out", [], 0.0
        for site in SITES:
            began_s = time.monotonic()
            subprocess.run(
                command(site, out), cwd=ROOT, env=environment, check=False, capture_output=True
            )
            longest_s = max(longest_s, time.monotonic() - began_s)
            whole.append(pages(out))
        assert whole[0] != whole[1]
        for number in range(trials):
            was = pages(out)
            process = subprocess.Popen(
                command(SITES[number % 2], out), cwd=ROOT, env=environment,
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )  # fmt: skip
            time.sleep(chance.uniform(0.5, 1.05) * longest_s)
            killed += process.poll() is None
            process.kill()
            process.wait()
            assert pages(out) in whole, f"trial {number}: a mix of pages"
            replaced += pages(out) != was
        subprocess.run(
            command(SITES[1], out), cwd=ROOT, env=environment, check=False, capture_output=True
        )
        assert pages(out) == whole[1]
        left = [path.name for path in Path(place).iterdir()]
        assert left == ["out"], f"left behind: {left}"
    return killed, replaced


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    killed_count, replaced_count = run(count)
    print(  # noqa: T201
        f"{count} checks, {killed_count} killed, {replaced_count} had put new pages in place: "
        "no mix, nothing left behind"
    )
