"""Prints the shell commands of a Markdown file: all blocks fenced as `sh`, in order.

The line that runs the whole suite is left out: `.ci/run` ran the same tests a moment before, and
once more would double the longest part of it. That the line runs here is then known from there.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

SUITE = ".venv/bin/python -m pytest -q\n"


def commands(text: str) -> str:
    blocks = re.findall(r"^```sh\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)
    return "\n".join(block for block in blocks if block != SUITE)


if __name__ == "__main__":
    sys.stdout.write(commands(Path(sys.argv[1]).read_text(encoding="utf-8")))
