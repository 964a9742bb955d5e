"""Parts that a new file starts with: each alone and all together read, check and carry water."""

from __future__ import annotations

import re
from itertools import chain, combinations
from typing import TYPE_CHECKING

import pytest

from checker import api
from checker.cli.main import run
from checker.core.problems import BadInput
from checker.core.units import UNIT, Amount
from checker.files.source import read_text
from checker.measure.drainage.network import network_of
from checker.site.scaffold import new_site
from checker.site.snippets import SNIPPETS
from tests.site.drawings import SAMPLES

if TYPE_CHECKING:
    from pathlib import Path

    from checker.findings.checked import Checked

CHOICES = list(chain.from_iterable(combinations(SNIPPETS, n) for n in (1, 2, 3)))


def checked(folder: Path, parts: tuple[str, ...], unit: str) -> Checked:
    path, _ = api.new_site(folder / "site.yaml", units=unit, parts=parts)
    site = api.load_site(path)
    return api.check(site, api.load_ruleset_for(site))


@pytest.mark.parametrize("parts", CHOICES, ids=" ".join)
@pytest.mark.parametrize("unit", ["ft", "m"])
def test_any_of_them_read_and_check(tmp_path: Path, parts: tuple[str, ...], unit: str) -> None:
    found = checked(tmp_path, parts, unit)
    assert found.verdict.findings
    assert [s.id for s in found.site.surfaces if s.id == "court"] == ["court"] * (
        "section" in parts
    )
    if set(parts) - {"section"}:
        network = network_of(found.survey)
        assert len(network.stores) == ("dry-well" in parts)
        assert [item.id for item in network.inlets] == (
            ["channel"] * ("drain-line" in parts)
            + ["leader", "front-leader"] * ("dry-well" in parts)
        )


@pytest.mark.parametrize("unit", ["in", "mm", "cm", "yd", "us survey ft"])
def test_all_of_them_in_other_units(tmp_path: Path, unit: str) -> None:
    """The deck falls 2.5 % over 5 round metres, 0.125 of them; the channel lies a hair below."""
    found = checked(tmp_path, SNIPPETS, unit)
    channel = network_of(found.survey).inlets[0]
    metre = {"in": 40, "mm": 1000, "cm": 100, "yd": 1, "us survey ft": 3}[unit]
    rim = channel.rim_m / UNIT[unit].size_si
    assert rim == pytest.approx(100 - 0.13 * metre)


def test_the_dry_well_holds_the_design_storm(tmp_path: Path) -> None:
    """A start that overflows at once would be no start: nothing over its top in the storm."""
    found = checked(tmp_path, ("dry-well",), "ft")
    emptied = found.survey.measured("stores_emptying_time")
    assert isinstance(emptied, Amount)
    assert emptied.to("h") < 72


@pytest.mark.parametrize("parts", CHOICES, ids=" ".join)
@pytest.mark.parametrize("unit", ["ft", "m"])
def test_a_start_fails_no_rule_but_for_papers_that_nobody_has_yet(
    tmp_path: Path, parts: tuple[str, ...], unit: str
) -> None:
    """Under the fullest rule set that comes along: what must be added is asked, not failed."""
    path, _ = api.new_site(tmp_path / "site.yaml", place="osier-bend", units=unit, parts=parts)
    site = api.load_site(path)
    found = api.check(site, api.load_ruleset_for(site)).verdict.findings
    failing = [finding for finding in found if finding.status == "fails"]
    for name in ("upkeep-agreement", "soaking-test-report"):
        assert f"#   - {{document: {name}, date: " in path.read_text("utf-8")
    assert all("is on file" in finding.because for finding in failing), failing
    waiting = [finding for finding in found if finding.status == "cannot tell"]
    assert waiting
    assert all(finding.missing for finding in waiting)


def test_a_metric_file_has_no_feet_in_it(tmp_path: Path) -> None:
    """But for the calls of a deed, which are as deeds are."""
    path, _ = api.new_site(tmp_path / "site.yaml", place="osier-bend", units="m", parts=SNIPPETS)
    for line in path.read_text("utf-8").splitlines():
        is_wording = 'courses: ["' in line or "Another unit may be written" in line
        assert is_wording or not re.search(r"\d (sq )?(ft|in)\b", line), line


def test_beside_a_drawing_they_are_remarks() -> None:
    drawing = SAMPLES / "dxf-lot" / "survey.dxf"
    text = new_site("t", "fernhollow", "ft", drawing, parts=SNIPPETS).text
    assert "# sections:" in text
    assert "#   pipes:" in text
    assert not {"sections", "ways_out", "storms"} & set(read_text(text, "site.yaml").data)


def test_an_unknown_part_is_answered() -> None:
    with pytest.raises(
        BadInput, match="'drywell' is no part to start with; did you mean 'dry-well'"
    ):
        new_site("t", "alder-ferry", "ft", parts=("drywell",))


def test_as_a_command(tmp_path: Path) -> None:
    assert run(["new", str(tmp_path / "s.yaml"), "--with", "section", "--with", "dry-well"]) == 0
    assert "sections:" in (tmp_path / "s.yaml").read_text(encoding="utf-8")
