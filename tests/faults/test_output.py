"""Where the words of a command go: to nobody, to a full disk, to a terminal that was shut."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from checker import api
from checker.cli.main import run
from checker.core.problems import BadInput
from tests.faults.rightless import open_folder, without_rights

ROOT = Path(__file__).resolve().parents[2]
AFTER = "samples/fernhollow-after/site.yaml"
BEFORE = "samples/fernhollow-before/site.yaml"


def soakline(shell: str) -> subprocess.CompletedProcess[str]:
    """A command in a shell, with its exit code whatever it is led to."""
    line = shell.replace("soakline", f"{sys.executable} -m checker")
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    return subprocess.run(
        ["bash", "-c", line], check=False, capture_output=True, text=True, cwd=ROOT, env=environment
    )


@pytest.mark.parametrize(("site", "code"), [(AFTER, 0), (BEFORE, 1)])
def test_a_reader_that_went_away_changes_no_verdict(site: str, code: int, tmp_path: Path) -> None:
    out = tmp_path / "r"
    found = soakline(f"soakline check {site} --out {out} | true; exit ${{PIPESTATUS[0]}}")
    assert (found.returncode, found.stderr) == (code, "")
    assert (out / "report.html").is_file()


@pytest.mark.parametrize(("site", "code"), [(AFTER, 0), (BEFORE, 1)])
@pytest.mark.parametrize("shut", [">&-", ">&- 2>&-", ">&- 2>&- <&-"])
def test_an_output_that_was_shut_changes_no_verdict(
    site: str, code: int, shut: str, tmp_path: Path
) -> None:
    out = tmp_path / "r"
    found = soakline(f"soakline check {site} --out {out} {shut}")
    assert (found.returncode, found.stderr) == (code, "")
    assert (out / "report.html").is_file()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the system has no such device")
def test_an_output_that_is_full_is_told() -> None:
    found = soakline(f"soakline check {AFTER} --no-report > /dev/full")
    assert found.returncode == 2
    assert found.stderr == "the output cannot be written: No space left on device\n"


def commands() -> list[Sequence[str]]:
    return [
        ["check", "dark/site.yaml", "--no-report"],
        ["check", "secret.yaml", "--no-report"],
        ["check", "site.yaml", "--out", "shut/r"],
        ["check", "site.yaml", "--out", "dark/r"],
        ["check", "site.yaml", "--out", "shut"],
        ["packet", "site.yaml", "--out", "dark/p"],
        ["packet", "site.yaml", "--out", "shut/p"],
        ["packet", "site.yaml", "--out", "dark"],
        ["new", "shut/new.yaml"],
        ["takeoff", "site.yaml", "--csv", "shut/t.csv"],
        ["check", "n" * 300],
        ["check", "site.yaml", "--out", "n" * 300],
        ["packet", "site.yaml", "--out", "n" * 300],
        ["takeoff", "site.yaml", "--csv", "n" * 300],
        ["new", "n" * 300],
        ["rules", "show", "./secret.yaml"],
        ["rules", "show", f"./{'n' * 300}.yaml"],
        ["check", "site.yaml", "--place", "dark/rules.yaml"],
        ["takeoff", "site.yaml", "--order-sizes", "secret.yaml"],
    ]


@pytest.mark.parametrize("command", commands(), ids=lambda command: " ".join(command)[:40])
def test_a_user_without_rights_is_told_what_he_may_not_do(
    command: Sequence[str], capfd: pytest.CaptureFixture[str]
) -> None:
    text = Path(AFTER).read_text(encoding="utf-8")
    with open_folder() as folder:
        (folder / "site.yaml").write_text(text, encoding="utf-8")
        (folder / "secret.yaml").write_text(text, encoding="utf-8")
        (folder / "secret.yaml").chmod(0)
        (folder / "dark").mkdir()
        (folder / "shut").mkdir()
        (folder / "dark" / "site.yaml").write_text(text, encoding="utf-8")
        (folder / "dark").chmod(0)
        (folder / "shut").chmod(0o555)

        def call() -> int:
            os.chdir(folder)
            return run(list(command))

        code = without_rights(call)
        printed = capfd.readouterr()
        assert "Traceback" not in printed.err
        assert "mistake of Soakline" not in printed.err
        assert code == 2, printed
        assert any(word in printed.err for word in ("ermission denied", "too long", "no file"))
        assert list((folder / "shut").iterdir()) == []


SECRET = "password: hunter2\npassword: again\nname: !secret x\n"


@pytest.mark.parametrize("where", ["place", "costs"])
@pytest.mark.parametrize("content", [SECRET, "hunter2", "hunter2: [", "[hunter2]"])
def test_a_name_that_leads_elsewhere_prints_nothing_of_it(
    tmp_path: Path, where: str, content: str
) -> None:
    (tmp_path / "secret.yaml").write_text(content)
    text = Path(AFTER).read_text(encoding="utf-8")
    if where == "place":
        text = text.replace("place: alder-ferry", "place: ./secret.yaml")
    else:
        text += "\ncosts: ./secret.yaml\n"
    site_file = tmp_path / "site.yaml"
    site_file.write_text(text, encoding="utf-8")
    site = api.load_site(site_file, "site.yaml")
    with pytest.raises(BadInput) as refused:
        api.least_change(api.check(site, api.load_ruleset_for(site)))
    assert "hunter2" not in str(refused.value)
    noun, kind = {"place": ("rule set", "ruleset"), "costs": ("cost table", "costs")}[where]
    said = str(refused.value.problems[0]).replace(tmp_path.as_posix(), "")
    line = text.split("\n").index(next(x for x in text.split("\n") if "secret.yaml" in x)) + 1
    column = {"place": 8, "costs": 8}[where]
    assert said == (
        f"site.yaml:{line}:{column}: '/secret.yaml' is no {noun}: it has no 'format: {kind}/1'; "
        "check the name"
    )


def test_outside_and_counted_are_not_both_said(tmp_path: Path) -> None:
    """A ring so wide that the lot is next to nothing of it: it lies on the lot all the same."""
    path = tmp_path / "site.yaml"
    path.write_text(
        "format: site/1\ntitle: t\nplace: alder-ferry\nunits: ft\nfacts: {zone: R-2}\n"
        "rest_of_lot: lawn\nlot: {boundary: {points: [[0, 0], [80, 0], [80, 125], [0, 125]]}}\n"
        "surfaces:\n"
        "  - {id: p, material: pool-water, shape: {circle: {centre: [40, 60], radius: 5}}}\n"
        "  - {id: q, material: pool-coping, shape: {ring: {around: p, width: 1e7 ft}}}\n"
    )
    said = [repair.says for repair in api.load_site(path).repairs]
    assert not any("lies outside the lot" in line for line in said)
    assert any(line.startswith("q reaches ") and "outside the lot" in line for line in said)
