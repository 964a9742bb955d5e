"""Every sample against its findings, which were worked by hand in its `expected.yaml`."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from checker import api
from checker.algebra import evaluate
from checker.algebra.nodes import Named
from checker.core.units import Amount, read_amount, same
from checker.files.source import read_document
from checker.findings.checked import Checked
from checker.findings.given import KEY

ROOT = Path(__file__).resolve().parents[1]
EXPECTED = sorted((ROOT / "samples").glob("*/expected.yaml"))


def agrees(found: Amount | None, written: str) -> bool:
    """The hand figure is met to half of its last digit, as far as a person would write it."""
    expected = read_amount(written)
    if found is None or found.dimension != expected.dimension:
        return False
    decimals = len(written.partition(" ")[0].partition(".")[2])
    unit = expected.unit
    gap = abs(found.to(unit) - expected.to(unit))
    return same(found.value_si, expected.value_si) or gap <= 0.5 * 10**-decimals


@cache
def checked(path: Path) -> Checked:
    site = api.load_site(path.parent / "site.yaml")
    return api.check(site, api.load_ruleset_for(site))


def test_there_are_samples() -> None:
    assert len(EXPECTED) >= 3


@pytest.mark.parametrize("path", EXPECTED, ids=lambda path: path.parent.name)
def test_findings_are_as_worked_by_hand(path: Path) -> None:
    expected: dict[str, Any] = read_document(path).data
    result = checked(path)
    findings = {finding.rule: finding for finding in result.verdict.findings}
    for rule, wanted in expected["findings"].items():
        finding = findings[rule]
        assert finding.status == wanted["status"], f"{rule}: {finding.because}"
        for key in ("measured", "limit", "margin"):
            if key in wanted:
                found = getattr(finding, key)
                assert agrees(found, wanted[key]), f"{rule}: {key} is {found}, not {wanted[key]}"
        for missing in wanted.get("missing", ()):
            assert missing in finding.because, f"{rule} does not ask for {missing}"


@pytest.mark.parametrize("path", EXPECTED, ids=lambda path: path.parent.name)
def test_counted_measures_are_as_worked_by_hand(path: Path) -> None:
    expected: dict[str, Any] = read_document(path).data
    result = checked(path)
    for key, wanted in expected.get("counted", {}).items():
        match = KEY.match(key)
        assert match is not None
        named = Named(match["name"], match["state"] or "", match["region"] or "")
        found = evaluate.as_amount(result.sheet.number(named))
        assert agrees(found, wanted), f"{key} is {found}, not {wanted}"


@pytest.mark.parametrize("path", EXPECTED, ids=lambda path: path.parent.name)
def test_what_follows_is_as_worked_by_hand(path: Path) -> None:
    expected: dict[str, Any] = read_document(path).data
    results = {result.result: result for result in checked(path).verdict.results}
    for name, wanted in expected.get("results", {}).items():
        found = results[name]
        assert found.status == wanted["status"], f"{name}: {found.because}"
        if "amount" in wanted:
            assert found.amount is not None, name
            amount = evaluate.as_amount(found.amount)
            assert agrees(amount, str(wanted["amount"])), f"{name} is {amount}"
