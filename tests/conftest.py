"""Profiles of the property tests: the same cases in every run, none timed."""

from __future__ import annotations

import os
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
