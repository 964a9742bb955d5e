"""Mistakes in the project part of a site and in the submission part of a rule set, whole lines."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from checker.api import load_ruleset, places
from checker.core.problems import BadInput
from checker.findings.checked import Checked
from checker.rulesets.submission import read_submission
from tests.packet.conftest import FILES


def line_of(path: Path, text: str) -> int:
    lines = path.read_text("utf-8").splitlines()
    return next(i for i, line in enumerate(lines, 1) if text in line)


@pytest.mark.parametrize(
    ("old", "new", "column", "says"),
    [
        (
            "  revision: A\n",
            "  revision: first\n",
            13,
            "the revision is 'first'; use a letter such as B, or a number such as 2",
        ),
        (
            "start: 2026-05-04",
            "start: 4 May 2026",
            18,
            "'start' is '4 May 2026'; write YYYY-MM-DD",
        ),
        (
            "added: 120 sq ft",
            "added: 120 ft",
            33,
            "'120 ft' is not an area; write it like 250 sq ft",
        ),
        (
            "  parcel: 041-2-07",
            "  parcell: 041-2-07",
            3,
            "'parcell' is not a key of 'project'; did you mean 'parcel'?",
        ),
        (
            "owner: {name: The owner (invented)",
            "owner: {nam: The owner (invented)",
            11,
            "'nam' is not a key of 'owner'; did you mean 'name'?",
        ),
    ],
)
def test_project(
    changed: Callable[..., Checked], tmp_path: Path, old: str, new: str, column: int, says: str
) -> None:
    with pytest.raises(BadInput) as caught:
        changed((old, new))
    line = line_of(tmp_path / "changed.yaml", new.strip())
    assert [str(problem) for problem in caught.value.problems] == [
        f"changed.yaml:{line}:{column}: {says}"
    ]


def test_a_pasted_book_is_refused(changed: Callable[..., Checked]) -> None:
    with pytest.raises(BadInput) as caught:
        changed(("request: A pool", f"request: {'long ' * 1000}A pool"))
    assert "characters, more than the 4,000 allowed" in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "{item: owner, ",
            "{item: ownr, ",
            "'item' of entry 1 of 'items' is 'ownr'; did you mean 'owner'?",
        ),
        (
            "{document: survey-plat, ",
            "{item: survey, document: survey-plat, ",
            "entry 12 of 'items' needs one of 'item' and 'document'; keep one of the two",
        ),
        ("counts_since: 2014-04-07", "counts_since: 2014", "'counts_since' of this file"),
        ("stamp_width: 6 in", "stamp_width: 6 lb", "'stamp_width': '6 lb' is a mass, but a length"),
        (
            "  scales: [10, 20, 30]",
            "  scales: [10, 25, 30]",
            "entry 2 of 'scales' is the number 25",
        ),
        (
            "when: {measure: disturbed_area, at_least: 2500 sq ft}\n      needs",
            "when: {measure: disturbed_aera, at_least: 2500 sq ft}\n      needs",
            "did you mean 'disturbed_area'?",
        ),
        (
            'needs: [erosion-plan]\n      cite: {source: code, section: "7.1"}',
            'needs: [erosion-plan]\n      cite: {source: cod, section: "7.1"}',
            "'cod' is no source of this file; did you mean 'code'?",
        ),
    ],
)
def test_submission(tmp_path: Path, old: str, new: str, says: str) -> None:
    text = (FILES / "larkmoor.yaml").read_text("utf-8")
    assert old in text
    path = tmp_path / "place.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    ruleset = load_ruleset(str(path))
    with pytest.raises(BadInput) as caught:
        read_submission(ruleset)
    assert len(caught.value.problems) == 1
    shown = str(caught.value.problems[0])
    assert says.removesuffix(" of this file") in shown
    assert caught.value.problems[0].place.line > 55


def test_what_the_office_asks_for() -> None:
    found = read_submission(load_ruleset(str(FILES / "larkmoor.yaml")))
    assert [item.item for item in found.items if not item.is_must] == ["trees"]
    assert found.sheets == ("tabloid", "letter")
    assert found.stamp is not None
    assert found.stamp.to("in") == pytest.approx(6)
    assert [str(trigger.citation) for trigger in found.triggers] == [
        "Larkmoor Land Use Code (invented), 7.1 (2025-01)",
        "Larkmoor Land Use Code (invented), 7.2 (2025-01)",
    ]


@pytest.mark.parametrize("name", sorted(places()))
def test_every_place_of_the_package_reads(name: str) -> None:
    read_submission(load_ruleset(name))
