"""Printed pages: one page is one page, and none is nearly empty but the last of its document."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker import api
from tests.report.conftest import FERNHOLLOW, SAMPLES, SITES, check_file
from tests.report.measuring import fullness, nearly_empty

pytest.importorskip("typst")
pytest.importorskip("pypdfium2")
pytest.importorskip("pypdf")

LINDEN = SITES / "linden" / "after.yaml"


@pytest.mark.parametrize("path", [LINDEN, FERNHOLLOW], ids=["linden", "fernhollow"])
def test_the_page_for_the_client_is_one_page(path: Path, tmp_path: Path) -> None:
    pdf = api.write_client(check_file(path), tmp_path / "client.pdf").read_bytes()
    (full,) = fullness(pdf)
    assert full > 0.5


@pytest.mark.parametrize("path", [LINDEN, FERNHOLLOW], ids=["linden", "fernhollow"])
def test_no_page_of_a_report_is_nearly_empty(path: Path, tmp_path: Path) -> None:
    pdf = api.write_report(check_file(path), tmp_path / "report.pdf").read_bytes()
    assert nearly_empty(pdf) == []
    # The measure sees an empty page: held against a share that few pages reach.
    assert nearly_empty(pdf, 1.01) != []


def test_no_page_of_the_fullest_packet_is_nearly_empty(tmp_path: Path) -> None:
    checked = check_file(SAMPLES / "osier-after" / "site.yaml")
    assert "packet.pdf" in api.packet(checked, tmp_path / "packet").files
    assert nearly_empty((tmp_path / "packet" / "packet.pdf").read_bytes()) == []
