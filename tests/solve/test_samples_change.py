"""The samples that ask for the least change, against figures worked by hand beside them."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from checker import api
from checker.core.units import Amount, read_amount
from checker.files.source import read_document, read_text
from checker.site.read import site_of
from checker.solve.measures import is_met
from checker.solve.options import Option, Options

ROOT = Path(__file__).resolve().parents[2]
PATHS = sorted((ROOT / "samples").glob("*/expected-change.yaml"))
CASES = [
    (path, key, wanted)
    for path in PATHS
    for key, wanted in read_document(path).data["options"].items()
]
IDS = [f"{path.parent.name}::{key}" for path, key, _ in CASES]


@cache
def options_of(folder: Path) -> Options:
    site = api.load_site(folder / "site.yaml")
    return api.least_change(api.check(site, api.load_ruleset_for(site)))


def near(found_si: float, written: str) -> None:
    wanted = read_amount(written)
    decimals = len(written.split(maxsplit=1)[0].partition(".")[2])
    found = Amount(found_si, wanted.dimension).to(wanted.unit)
    assert abs(found - wanted.to(wanted.unit)) <= 0.5 * 10**-decimals + 1e-9, (found, written)


def test_there_are_two_samples() -> None:
    assert len(PATHS) >= 2


@pytest.mark.parametrize(("path", "key", "wanted"), CASES, ids=IDS)
def test_an_option_is_as_worked_by_hand(path: Path, key: str, wanted: dict[str, Any]) -> None:
    option = options_of(path.parent).option(key)
    assert option.is_met
    assert option.proof.is_proven
    # To the cent: the printed area times the printed price.
    assert option.cents == round(read_amount(wanted["cost"]).value_si * 100)
    near(option.proof.found.value_si, wanted["proven"])
    near(option.proof.bound.value_si, wanted["proven"])
    for name, found_m2 in (
        ("changed", option.changed_m2),
        ("permeable", option.permeable_m2),
        ("deck given up", option.lost_deck_m2),
    ):
        if name in wanted:
            near(found_m2, wanted[name])
    for piece, hand in zip(option.pieces, wanted.get("pieces", option.pieces), strict=True):
        if not isinstance(hand, dict):
            continue
        assert piece.surface_id == hand["surface"]
        assert (piece.way.material.id if piece.way.material else "nothing") == hand["becomes"]
        near(piece.area_m2, hand["area"])
        assert (piece.width_m is None) is ("width" not in hand)
        if piece.width_m is not None:
            near(piece.width_m, hand["width"])
    for rule, measured in wanted.get("findings", {}).items():
        finding = next(f for f in option.after.verdict.findings if f.rule == rule)
        assert finding.measured is not None
        near(finding.measured.value_si, measured)


@pytest.mark.parametrize(("path", "key"), [case[:2] for case in CASES], ids=IDS)
def test_an_option_written_back_is_a_site_file_that_passes(path: Path, key: str) -> None:
    options = options_of(path.parent)
    text = api.option_text(options, key)
    again = site_of(read_text(text, "changed.yaml"), path.parent / "site.yaml")
    verdict = api.check(again, options.checked.ruleset).verdict
    assert all(is_met(finding) for finding in verdict.findings)
    before = (path.parent / "site.yaml").read_text(encoding="utf-8")
    # What was not changed keeps its words: the first lines, remarks included.
    assert text.splitlines()[:12] == before.splitlines()[:12]


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.parent.name)
def test_the_same_search_gives_the_same_pages(path: Path) -> None:
    site = api.load_site(path.parent / "site.yaml")
    again = api.least_change(api.check(site, api.load_ruleset_for(site)))
    assert api.change_pages(again) == api.change_pages(options_of(path.parent))


def options_met(options: Options) -> list[Option]:
    return [option for option in options.options if option.is_met and option.pieces]


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.parent.name)
def test_after_each_option_what_failed_is_met(path: Path) -> None:
    options = options_of(path.parent)
    failing = [finding for finding in options.checked.verdict.findings if not is_met(finding)]
    assert failing
    for option in options_met(options):
        after = {f.rule: f for f in option.after.verdict.findings}
        assert all(is_met(after[finding.rule]) for finding in failing)
