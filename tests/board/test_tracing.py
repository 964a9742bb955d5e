"""Tracing over a scanned survey: what is taken, how it is fitted by hand, what is drawn on it."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

from checker import api
from checker.board.survey import looked_at
from checker.core.problems import BadInput
from checker.core.units import UNIT
from tests.board.driving import said


def scan(kind: str = "PNG", size: tuple[int, int] = (500, 700)) -> bytes:
    """An invented survey, 80 by 125 ft at 4 pixels a foot, its lower left corner at 50, 100."""
    picture = Image.new("RGB", size, "white")
    ImageDraw.Draw(picture).rectangle((50, 100, 370, 600), outline="black", width=2)
    out = io.BytesIO()
    picture.save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize(("name", "kind"), [("a.png", "PNG"), ("a.jpg", "JPEG"), ("a.PDF", "PDF")])
def test_a_sheet_is_made_into_a_picture(name: str, kind: str) -> None:
    sheet = looked_at(name, scan(kind))
    assert sheet.png.startswith(b"\x89PNG")
    # 700 by 500, by hand.
    assert sheet.ratio == pytest.approx(1.4, abs=0.01)
    assert sheet.pages == 1


@pytest.mark.parametrize(
    ("name", "raw"),
    [
        ("a.png", b""),
        ("a.png", b"\x89PNG\r\n\x1a\nrubbish"),
        ("a.pdf", b"%PDF-1.7 rubbish"),
        ("a.png", scan("JPEG")),
        ("a.gif", b"GIF89a"),
        ("a.jpg", b"\xff\xd8\xff\xe0"),
        ("a.png", scan(size=(2100, 100))),
        ("a.png", scan()[:300]),
    ],
)
def test_what_is_no_survey_is_told(name: str, raw: bytes) -> None:
    with pytest.raises(BadInput, match="cannot be traced"):
        looked_at(name, raw)


def test_a_picture_that_unfolds_into_gigabytes_is_not_unfolded() -> None:
    bomb = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(bomb, "PNG")
    assert len(bomb.getvalue()) < 100_000
    with pytest.raises(BadInput):
        looked_at("a.png", bomb.getvalue())


def test_a_page_that_is_not_there_is_told() -> None:
    with pytest.raises(BadInput, match="has 1 pages"):
        looked_at("a.pdf", scan("PDF"), 2)


def tap(page: Any, x: float, y: float) -> None:
    """Tap a place of the lot, in the file's unit."""
    at = page.evaluate(
        """([x, y]) => { const m = document.getElementById("plan").getScreenCTM();
        const p = new DOMPoint(x, -y).matrixTransform(m); return [p.x, p.y]; }""",
        [x, y],
    )
    page.mouse.click(*at)


def on_sheet(page: Any, px: float, py: float) -> tuple[float, float]:
    """Where a pixel of the survey lies now, by the image on the page."""
    found = page.evaluate(
        """([px, py, w]) => { const image = document.querySelector("#plan image");
        const size = Number(image.getAttribute("width")) / w;
        const [x, y] = ["x", "y"].map((name) => Number(image.getAttribute(name)));
        const p = new DOMPoint(x + px * size, y + py * size);
        const q = p.matrixTransform(image.transform.baseVal.consolidate()?.matrix);
        return [q.x, -q.y]; }""",
        [px, py, 500],
    )
    return found[0], found[1]


def test_a_survey_is_scaled_turned_moved_and_traced(page: Any, path: Path, tmp_path: Path) -> None:
    scanned = tmp_path / "from" / "scan.png"
    scanned.parent.mkdir()
    # Laid on the glass a little askew.
    askew = Image.open(io.BytesIO(scan())).rotate(7, expand=False, fillcolor="white")
    askew.save(scanned)
    page.get_by_label("A PDF, PNG or JPEG").set_input_files(scanned)
    said(page, "scan.png is kept beside the site file")
    page.locator("#plan image").wait_for()

    def corner(px: float, py: float) -> tuple[float, float]:
        """Where a corner of the drawn lot is seen; the sheet was turned about its middle."""
        import math

        a = math.radians(-7)
        dx, dy = px - 250, py - 350
        return on_sheet(
            page, 250 + dx * math.cos(a) - dy * math.sin(a),
            350 + dx * math.sin(a) + dy * math.cos(a),
        )  # fmt: skip

    low, right, up = (50, 600), (370, 600), (50, 100)
    page.get_by_role("button", name="Scale by two points").click()
    tap(page, *corner(*low))
    tap(page, *corner(*right))
    page.get_by_label("Their distance").fill("80")
    page.keyboard.press("Enter")
    said(page, "survey scaled")
    page.get_by_role("button", name="Turn by a line").click()
    tap(page, *corner(*low))
    tap(page, *corner(*up))
    page.get_by_label("That line runs").fill("N 0 0 0 E")
    page.keyboard.press("Enter")
    said(page, "survey turned")
    page.get_by_role("button", name="Move", exact=True).click()
    tap(page, *corner(*low))
    tap(page, 0, 0)
    said(page, "survey moved")
    page.wait_for_timeout(300)
    # The lot on the sheet is 80 by 125 ft from 0, 0 now; a tap is good to half a foot.
    for pixel, place in ((low, (0, 0)), (right, (80, 0)), (up, (0, 125))):
        assert corner(*pixel) == pytest.approx(place, abs=0.8)
    page.get_by_role("button", name="Lot line").click()
    for x, y in ((0, 0), (80, 0), (80, 125), (0, 125)):
        tap(page, x, y)
    page.keyboard.press("Enter")
    said(page, "lot line reshaped")
    page.get_by_role("button", name="Save").click()
    said(page, "Saved")
    page.reload()
    page.locator("#plan image").wait_for()
    assert page.wrong == []
    site = api.load_site(path)
    # 80 by 125 ft; half a foot more or less on each side is 1 part in 100 at the most.
    assert site.lot.boundary.area == pytest.approx(10_000 * UNIT["sq ft"].size_si, rel=0.011)
    assert (tmp_path / "scan.png").read_bytes() == scanned.read_bytes()
    assert "traced_over: {file: scan.png" in path.read_text(encoding="utf-8")


def test_a_site_file_names_no_survey_elsewhere(tmp_path: Path) -> None:
    from checker.board.survey import placed

    (tmp_path / "scan.png").write_bytes(scan())
    told = {"file": "../scan.png", "corner": [0, 0], "width": 100}
    inside = tmp_path / "lot"
    inside.mkdir()
    assert "does not lie beside" in placed(told, inside, "ft")["problem"]
    assert placed(told | {"file": "scan.png"}, tmp_path, "ft")["ratio"] == pytest.approx(1.4)
    assert placed(told | {"file": "none.png"}, tmp_path, "ft")["problem"]
    assert placed(told | {"width": "-3 ft"}, tmp_path, "ft")["problem"]
