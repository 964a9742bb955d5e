"""Profiles of the property tests: the same cases in every run, none timed."""

from __future__ import annotations

import os
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("ci", deadline=None, derandomize=True, max_examples=100)
settings.register_profile("here", deadline=None, derandomize=True, max_examples=50)
settings.load_profile("ci" if os.environ.get("CI") else "here")

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(autouse=True)
def _at_the_top(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tests name files as a user at the top of a checkout does."""
    monkeypatch.chdir(ROOT)


@pytest.hookimpl(trylast=True)
def pytest_unconfigure(config: pytest.Config) -> None:
    """Say in the last line what was not tried on this machine, and why: CI tries all of it."""
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.stats.get("skipped", []) if reporter is not None else []
    why = Counter(
        report.longrepr[2].removeprefix("Skipped: ").removeprefix("could not import ")
        for report in skipped
        if isinstance(report.longrepr, tuple)
    )
    if reporter is not None and why:
        said = "; ".join(f"{reason} ({count})" for reason, count in why.most_common())
        reporter.write_line(f"Not tried here, but in CI: {said}", yellow=True)
