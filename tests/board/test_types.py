"""The types of the page's modules, checked where the TypeScript compiler is at hand.

It is a developer's tool alone: the page needs no build step and users need no Node.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

STATIC = Path(__file__).resolve().parents[2] / "checker" / "board" / "static"
TSC = shutil.which("tsc")


@pytest.mark.skipif(TSC is None, reason="no TypeScript compiler: npm install -g typescript@5.9")
def test_the_modules_of_the_page_have_right_types() -> None:
    assert TSC is not None
    done = subprocess.run(
        [TSC, "-p", str(STATIC / "jsconfig.json")], check=False, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout


def test_every_module_asks_to_be_checked_and_loads_only_its_neighbours() -> None:
    for path in STATIC.rglob("*.js"):
        text = path.read_text(encoding="utf-8")
        assert text.startswith("// @ts-check\n/** "), path.name
        assert len(text.splitlines()) <= 340, f"{path.name} holds more than one idea"
        for line in text.splitlines():
            if line.startswith("import "):
                assert 'from "./' in line or 'from "../' in line, line
