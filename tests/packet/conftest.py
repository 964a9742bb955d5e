"""Packets of two invented lots, made once for all tests of a module."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from checker.api import check, load_ruleset, load_ruleset_for, load_site
from checker.findings.checked import Checked
from checker.packet.writing import Packet, write_packet
from checker.papers.job import Job, make_job

FILES = Path(__file__).parent / "files"
DAY = date(2026, 3, 2)


def judged(path: Path) -> Checked:
    site = load_site(path, path.name)
    return check(site, load_ruleset_for(site))


@pytest.fixture(scope="session")
def orchard() -> Checked:
    """A lot whose project part says everything: see `files/orchard.yaml`."""
    return judged(FILES / "orchard.yaml")


@pytest.fixture(scope="session")
def orchard_job(orchard: Checked) -> Job:
    return make_job(orchard, day=DAY)


@pytest.fixture(scope="session")
def orchard_packet(orchard: Checked, tmp_path_factory: pytest.TempPathFactory) -> Packet:
    folder = tmp_path_factory.mktemp("packets") / "orchard"
    return write_packet(orchard, folder, date=DAY)


@pytest.fixture
def changed(tmp_path: Path) -> Callable[..., Checked]:
    """The orchard lot, with texts of its file replaced."""

    def make(*pairs: tuple[str, str], name: str = "changed.yaml", rules: str = "") -> Checked:
        text = (FILES / "orchard.yaml").read_text("utf-8")
        for old, new in pairs:
            assert old in text
            text = text.replace(old, new)
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        (tmp_path / "larkmoor.yaml").write_text(
            rules or (FILES / "larkmoor.yaml").read_text("utf-8"), encoding="utf-8"
        )
        return judged(path)

    return make


@pytest.fixture
def plain(tmp_path: Path) -> Callable[[str], Checked]:
    """A site file from its text, under the rules of `files/larkmoor.yaml`."""

    def make(text: str) -> Checked:
        path = tmp_path / "site.yaml"
        path.write_text(text, encoding="utf-8")
        site = load_site(path, "site.yaml")
        return check(site, load_ruleset(str(FILES / "larkmoor.yaml")))

    return make
