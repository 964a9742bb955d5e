"""Files written by `change --write`, read by `check`: invented lots that once went wrong."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from checker.cli.main import run as run_command
from checker.core.problems import BadInput
from checker.files.source import read_text
from checker.solve.search import least_change
from tests.solve.made import COUNTS, SQ_FT_M2, checked, cover_rules, rules
from tests.solve.test_search import DRIVE, HOUSE, PATIO

SITES = Path(__file__).parent / "sites"
WRITTEN = {
    # 140 sq ft too much. Permeable paving counts a quarter: 187 sq ft, so 47 bays of 4, at $29.
    "bays": ("188.0 sq ft of the patio into permeable paving: bays 1 to 47", 545_200, "passes"),
    # All or nothing: 600 sq ft at $8.
    "closed": ("all 600.0 sq ft of the patio into lawn", 480_000, "passes"),
    # 210 of 600 sq ft may count, paving by a half: 420 of it at $30 and 180 of lawn at $8.
    "empty": ("a band 14.00 ft wide", 1_404_000, "passes"),
    # 87 sq ft may count: 88 of gravel at 80 % and 32 of porous concrete at a half are 86.4. Gravel
    # is $10 cheaper than the slab, porous concrete $6 dearer.
    "reserve": ("turn the rest of the patio, 32.0 sq ft,", -68_800, "passes"),
    # 5 sq ft too much with the reserve: 3 ft of the pad's 6 ft at $7.
    "round": ("18.0 sq ft of the pad into lawn: a band 3.00 ft wide", 12_600, "passes"),
    # 55 sq ft: all 60 of the pad, since 3 ft must be left of it, at $7.
    "round-all": ("all 60.0 sq ft of the pad into lawn", 42_000, "passes"),
    # 18 m2, 193.8 sq ft at $7. The rules on outlets lack facts and are told apart.
    "stuck": ("18.00 m2 of the patio into lawn: a band 3.000 m wide", 135_660, "cannot tell"),
    # 297 of 600 sq ft may count, paving by a half: 540 of it at $30, and lawn at least 3 ft wide.
    "thin": ("turn the rest of the patio, 60.0 sq ft, into lawn", 1_668_000, "passes"),
    # 150 sq ft at $8.
    "turned": ("a band 6.00 ft wide along its north-west side (25.00 ft)", 120_000, "passes"),
    # What is not built is not paid: 600 sq ft at $30.
    "unbuilt": ("leave all 600.0 sq ft of the patio unbuilt", -1_800_000, "passes"),
    # A fifth of 2,750 sq ft is cut by 600 of them, at $7.
    "was2": ("all 600.0 sq ft of the patio into lawn", 420_000, "passes"),
}


@pytest.fixture
def sites(tmp_path: Path) -> Path:
    return shutil.copytree(SITES, tmp_path / "sites")


@pytest.mark.parametrize("name", WRITTEN)
def test_what_is_written_is_what_was_told(
    name: str, sites: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    says, cents, verdict = WRITTEN[name]
    new, out = sites / "new.yaml", sites / "out"
    code, told = run(capsys, "change", sites / f"{name}.yaml", "--write", new, "--out", out)
    assert code == 0, told
    assert says in told
    best = json.loads((out / "change.json").read_text())["options"][0]
    assert best["proof"]["is_proven"]
    assert best["cost_cents"] == cents
    code, judged = run(capsys, "check", new, "--out", sites / "judged")
    assert code == (0 if verdict == "passes" else 1), judged
    assert judged.lower().startswith(verdict)
    # Of the written file nothing more is asked, or nothing in it may change any more.
    code, again = run(capsys, "change", new)
    assert code == 2 or again.startswith(("NOTHING NEEDS", "NO SURFACE")), again


def test_what_no_change_can_do_is_told_and_nothing_is_written(
    sites: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = sites / "new.yaml"
    code, told = run(capsys, "change", sites / "triple.yaml", "--write", new)
    assert code != 0
    assert not new.exists()
    # Each pair of the three rules can be met; the three together cannot.
    for title in ("Cover:", "Permeable:", "Green:"):
        assert title in told


def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str]:
    """A command's exit code, and what it prints as one line."""
    code = run_command([str(argument) for argument in arguments])
    return code, " ".join(capsys.readouterr().out.split())


DECLARED = """\
attributes:
  sanded: {kind: yes or no, title: sand is spread on it, ask: "is sand spread on it?"}
"""
NO_SAND = """\
  - id: no-sand
    title: No sand on permeable paving
    cite: {source: code, section: "2"}
    require: {for_each: {material: permeable-paving}, require: {fact: sanded, is: no}}
"""
HARD = "may_become: [permeable-paving, lawn]", "may_become: [permeable-paving]"


def test_what_a_place_asks_of_surfaces_is_kept_and_given_for_new_ones() -> None:
    # 3,300 counted, 3,225 allowed: 75 / 0.75 = 100 sq ft of permeable paving, 5 ft of 20 ft.
    ruleset = rules(
        DECLARED + COUNTS % "0.25" + "rules:\n"
        "  - id: cover-limit\n    title: Counted cover\n    cite: {source: code, section: '1'}\n"
        "    require: {measure: cover, at_most: 3225 sq ft}\n" + NO_SAND
    )
    # 'sanded' is asked by this place, 'elsewhere' by none that is loaded: both stand in the file.
    surfaces = (
        HOUSE + DRIVE + PATIO.replace(*HARD) + "    attributes: {sanded: yes, elsewhere: 3}\n"
    )
    built = "goal: {as_built: {permeable-paving: {sanded: no}}}\n"
    assert least_change(checked(surfaces, ruleset)).best is None
    best = least_change(checked(surfaces, ruleset, built)).best
    assert best is not None
    assert best.faults == ()
    assert round(best.changed_m2 / SQ_FT_M2, 6) == 100
    entries = {s["id"]: s for s in read_text(best.text, "after.yaml").data["surfaces"]}
    assert entries["patio"]["attributes"] == {"sanded": "yes", "elsewhere": 3}
    assert entries["patio-permeable-paving"]["attributes"] == {"sanded": False}
    # All of it: what was said of the slab is not said of the new paving.
    whole = built.replace("{as_built", "{surfaces: {patio: {change: whole}}, as_built")
    best = least_change(checked(surfaces, ruleset, whole)).best
    assert best is not None
    assert best.faults == ()
    entries = {s["id"]: s for s in read_text(best.text, "after.yaml").data["surfaces"]}
    assert entries["patio"]["attributes"] == {"sanded": False}


def test_what_a_place_does_not_ask_is_not_taken_for_new_paving() -> None:
    goal = "goal: {as_built: {permeable-paving: {sanded: no}}}\n"
    with pytest.raises(BadInput, match="'sanded' is no attribute of a surface that this place"):
        least_change(checked(HOUSE + DRIVE + PATIO, cover_rules("3200 sq ft"), goal))
