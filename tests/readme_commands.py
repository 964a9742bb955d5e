"""Prints the shell commands of a Markdown file: all blocks fenced as `sh`, in order."""

from __future__ import annotations

import re
import sys
from pathlib import Path


def commands(text: str) -> str:
    blocks = re.findall(r"^```sh\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)
    return "\n".join(blocks)


if __name__ == "__main__":
    sys.stdout.write(commands(Path(sys.argv[1]).read_text(encoding="utf-8")))
