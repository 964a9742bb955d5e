"""The stone sizes and sieves of the reference tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.courses.gradation import SieveBand
from checker.courses.tables import bands, sieve_openings_m
from checker.files.source import read_document

TABLES = Path(__file__).parents[2] / "rules" / "tables"


@pytest.fixture(scope="session")
def openings() -> dict[str, float]:
    data = read_document(TABLES / "sieves.yaml").data
    return sieve_openings_m(data["rows"], data["columns"])


@pytest.fixture(scope="session")
def sizes(openings: dict[str, float]) -> dict[str, SieveBand]:
    return bands(read_document(TABLES / "stone-sizes.yaml").data["rows"], openings)
