"""Golden pages: wording and layout. A number in them is no evidence, see the other tests."""

from __future__ import annotations

from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from syrupy.extensions.single_file import SingleFileSnapshotExtension

from checker import api
from checker.pages.terminal_writer import WIDTH
from checker.papers.terminal import answer_text
from checker.papers.writing import reports_of
from tests.report.conftest import BRINE, SAMPLES, SORREL, check_file
from tests.report.test_access import Page


class MarkdownFile(SingleFileSnapshotExtension):
    file_extension = "md"


class SvgFile(SingleFileSnapshotExtension):
    file_extension = "svg"


class TextFile(SingleFileSnapshotExtension):
    file_extension = "txt"


class HtmlFile(SingleFileSnapshotExtension):
    file_extension = "html"


SAMPLE_NAMES = ["fernhollow-before", "fernhollow-after", "exactly-at-limit"]
LOTS = [SORREL, BRINE, *(SAMPLES / name / "site.yaml" for name in SAMPLE_NAMES)]


def name_of(path: Path) -> str:
    return path.stem if path.stem != "site" else path.parent.name


@pytest.mark.parametrize("path", LOTS, ids=name_of)
def test_markdown(path: Path, snapshot: SnapshotAssertion) -> None:
    page = reports_of(check_file(path))["report.md"].encode()
    assert page == snapshot(extension_class=MarkdownFile)


@pytest.mark.parametrize("path", LOTS, ids=name_of)
def test_terminal(path: Path, snapshot: SnapshotAssertion) -> None:
    table = f"{answer_text(check_file(path))}\n".encode()
    assert table == snapshot(extension_class=TextFile)


@pytest.mark.parametrize("path", [BRINE], ids=name_of)
def test_plan(path: Path, snapshot: SnapshotAssertion) -> None:
    plan = reports_of(check_file(path))["plan.svg"].encode()
    assert plan == snapshot(extension_class=SvgFile)


def test_html(snapshot: SnapshotAssertion) -> None:
    page = reports_of(check_file(SORREL))["report.html"].encode()
    assert page == snapshot(extension_class=HtmlFile)


@pytest.mark.parametrize("place", sorted(api.places()))
def test_every_place_gives_a_report(place: str, tmp_path: Path) -> None:
    """No wording of any rule set breaks a page; its facts are left open."""
    lines = (SAMPLES / "fernhollow-before" / "site.yaml").read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(("facts:", "place:"))]
    path = tmp_path / "site.yaml"
    path.write_text("\n".join([*kept, f"place: {place}"]), encoding="utf-8")
    checked = check_file(path)
    assert max(map(len, answer_text(checked).splitlines())) <= WIDTH
    assert Page(reports_of(checked)["report.html"]).all("h1")
