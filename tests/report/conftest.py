"""Lots for tests of reports: two of their own, and those of the samples that need no extra."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker import api
from checker.findings.checked import Checked

SITES = Path(__file__).with_name("sites")
SORREL = SITES / "sorrel-bend.yaml"
BRINE = SITES / "brine-court.yaml"
SAMPLES = Path(__file__).parents[2] / "samples"
FERNHOLLOW = SAMPLES / "fernhollow-before" / "site.yaml"


def check_file(path: Path) -> Checked:
    """A check of a site file, named as a user beside it would name it."""
    site = api.load_site(path, path.name)
    return api.check(site, api.load_ruleset_for(site))


def check_text(text: str, folder: Path) -> Checked:
    """A check of a site file made from a text, beside the rule set of Sorrel Bend."""
    rules = SITES / "sorrel-bend-rules.yaml"
    (folder / rules.name).write_bytes(rules.read_bytes())
    path = folder / "site.yaml"
    path.write_text(text, encoding="utf-8")
    return check_file(path)


@pytest.fixture(scope="session")
def sorrel() -> Checked:
    return check_file(SORREL)


@pytest.fixture(scope="session")
def brine() -> Checked:
    return check_file(BRINE)


@pytest.fixture(scope="session")
def fernhollow() -> Checked:
    return check_file(FERNHOLLOW)
