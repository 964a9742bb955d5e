"""What a hundred kinds of record cost at a start, of ours and of the standard library.

Run it from the top of a checkout: `python tests/benchmarks/records.py`. It prints ratios to
`python -c pass`, the import of the library that makes the classes not counted.
"""

from __future__ import annotations

import subprocess
import sys
import time

ROUNDS = 11
KINDS = 100
_FIELDS = "  a: int\n  b: int\n  c: int = 3\n  d: int = 4\n"
OURS = "from checker.core.records import Record\n"
STANDARD = "from dataclasses import dataclass\n"


def best_s(code: str) -> float:
    """The best of several cold runs of a piece of code."""
    times_s: list[float] = []
    for _ in range(ROUNDS):
        start_s = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        times_s.append(time.perf_counter() - start_s)
    return min(times_s)


def main() -> None:
    """Print the two ratios."""
    base_s = best_s("pass")
    loop = f"for i in range({KINDS}):\n"
    ours_s = best_s(f"{OURS}{loop} class A(Record):\n{_FIELDS}") - best_s(OURS)
    decorated = f" @dataclass(frozen=True, slots=True)\n class A:\n{_FIELDS}"
    standard_s = best_s(f"{STANDARD}{loop}{decorated}") - best_s(STANDARD)
    print(f"{KINDS} kinds of record, ours: {ours_s / base_s:.1f} x; ", end="")
    print(f"frozen dataclasses: {standard_s / base_s:.1f} x `python -c pass`")


if __name__ == "__main__":
    main()
