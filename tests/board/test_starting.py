"""Ways to begin in the browser: a deed typed, a drawing of the survey, an invented lot."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from checker import api
from tests.board.driving import SAMPLES, expect, said


def test_a_deed_is_typed(page: Any, path: Path) -> None:
    deed = api.load_site(SAMPLES / "deed-lot" / "site.yaml")
    courses = deed.document.data["lot"]["boundary"]["courses"]
    page.get_by_label("One course a line").fill("\n".join(courses[:2]))
    page.get_by_role("button", name="Draw the deed").click()
    expect(page.locator("#said.refused")).not_to_be_empty()
    page.get_by_label("One course a line").fill("\n".join(courses))
    page.get_by_role("button", name="Draw the deed").click()
    said(page, "lot drawn")
    page.get_by_role("button", name="Save").click()
    said(page, "Saved")
    assert page.wrong == [] or all("422" in text for text in page.wrong)
    own = api.load_site(path)
    assert own.lot.boundary.area == pytest.approx(deed.lot.boundary.area, rel=1e-9)


def test_a_drawing_is_handed_in_and_its_layers_named(page: Any, path: Path) -> None:
    page.get_by_label("A file:").set_input_files(SAMPLES / "dxf-lot" / "survey.dxf")
    said(page, "survey.dxf is kept beside the site file")
    rows = page.locator("#layers tbody tr")
    expect(rows.first).to_be_visible()
    row = page.locator("#layers tr", has=page.locator("select")).filter(has_text="sq ft").first
    row.locator("select").select_option("gravel")
    said(page, ": gravel")
    page.get_by_role("button", name="Save").click()
    said(page, "Saved")
    assert "gravel" in {surface.material.id for surface in api.load_site(path).surfaces}
    assert page.wrong == []


def test_an_invented_lot_is_taken_and_taken_back(page: Any) -> None:
    page.get_by_label("Sample", exact=True).select_option("tern-court")
    page.get_by_role("button", name="Take the sample").click()
    said(page, "The sample is on the board")
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Take the sample").wait_for()
    assert page.wrong == []
