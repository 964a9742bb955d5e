"""The drawing sheets: lengths measured on the page, the clear space, and what a PDF must be."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from checker.drawing.layout import fit, layout_of
from checker.findings.checked import Checked
from checker.packet.writing import Packet, write_packet
from checker.papers.job import Job, make_job
from checker.papers.sheets import site_sheets
from tests.packet.conftest import DAY

POINTS_PER_IN = 72.0
WITHIN = 0.005
"""Measured lengths on the page are true to half a per cent."""

Matrix = tuple[float, float, float, float, float, float]


def sheet_pages(path: Path) -> dict[str, Any]:
    pages = {}
    for page in PdfReader(path).pages:
        found = re.match(r"\s*(S\d) ", page.extract_text())
        if found:
            pages[found[1]] = page
    return pages


def times(first: Matrix, second: Matrix) -> Matrix:
    a, b, c, d, e, f = first
    p, q, r, s, t, u = second
    return (
        a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t,
        e * q + f * s + u,
    )  # fmt: skip


def paths(page: Any) -> list[list[tuple[float, float]]]:
    """Every straight path of a page, in points on paper."""
    found: list[list[tuple[float, float]]] = []
    _walk(page, page.get_contents(), page.pdf, (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), found)
    return found


def _walk(owner: Any, content: Any, pdf: Any, start: Matrix, found: list[Any]) -> None:
    stack: list[Matrix] = []
    matrix = start
    points: list[tuple[float, float]] = []
    forms = owner.get("/Resources", {}).get("/XObject", {})
    for given, operator in ContentStream(content, pdf).operations:
        word = operator.decode("latin-1")
        if word == "q":
            stack.append(matrix)
        elif word == "Q":
            matrix = stack.pop()
        elif word == "cm":
            matrix = times(tuple(map(float, given)), matrix)  # type: ignore[arg-type]
        elif word in {"m", "l"}:
            if word == "m" and points:
                found.append(points)
                points = []
            x, y = map(float, given)
            a, b, c, d, e, f = matrix
            points.append((a * x + c * y + e, b * x + d * y + f))
        elif word in {"S", "s", "f", "f*", "B", "n"} and points:
            found.append(points)
            points = []
        elif word == "Do":
            form = forms[given[0]].get_object()
            if form.get("/Subtype") == "/Form":
                own = tuple(float(v) for v in form.get("/Matrix", (1, 0, 0, 1, 0, 0)))
                _walk(form, form, pdf, times(own, matrix), found)  # type: ignore[arg-type]


def lengths(page: Any) -> list[float]:
    return [
        ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
        for points in paths(page)
        for (x1, y1), (x2, y2) in pairwise(points)
    ]


def near(values: list[float], wanted: float) -> bool:
    return any(abs(value - wanted) <= WITHIN * wanted for value in values)


def test_the_test_line_is_two_inches(orchard_packet: Packet) -> None:
    for page in sheet_pages(orchard_packet.folder / "packet.pdf").values():
        assert "This line is 2 inches long" in page.extract_text()
        assert near(lengths(page), 2 * POINTS_PER_IN)


def test_lot_and_work_are_true_to_scale(orchard_packet: Packet) -> None:
    """At 1 in = 20 ft: 100 ft is 5 in, 110 ft 5.5 in, the terrace 44 x 36 ft 2.2 x 1.8 in."""
    page = sheet_pages(orchard_packet.folder / "packet.pdf")["S2"]
    assert "1 in = 20 ft" in page.extract_text()
    found = lengths(page)
    for feet in (100, 110, 44, 36):
        assert near(found, feet / 20 * POINTS_PER_IN), feet
    # A length that nothing on the lot has is not found, so the search can fail.
    assert not near(found, 97.3 / 20 * POINTS_PER_IN)


@pytest.mark.parametrize(
    ("size", "points"), [("letter", (792, 612)), ("tabloid", (1224, 792)), ("arch-d", (2592, 1728))]
)
def test_paper_sizes(orchard: Checked, tmp_path: Path, size: str, points: tuple[int, int]) -> None:
    """8.5 x 11, 11 x 17 and 24 x 36 in, at 72 points to the inch."""
    packet = write_packet(orchard, tmp_path / "p", sheet_size=size)
    page = sheet_pages(packet.folder / "packet.pdf")["S2"]
    assert sorted(map(float, page.mediabox[2:])) == sorted(points)


def test_the_largest_engineers_scale_that_fits() -> None:
    # 11 x 17 in, by hand: the drawing is 17 - 0.8 - 3.6 = 12.6 in wide and
    # 11 - 0.8 - 1.75 - 0.35 = 8.1 in high; less 0.9 in: 11.7 x 7.2 in. 100 ft in 7.2 in: 13.9 ft
    # an inch, so 20; 70 ft: 9.7, so 10.
    ft = 0.3048
    found, is_accepted = fit((90 * ft, 100 * ft), ["tabloid"], (), "us")
    assert is_accepted
    assert found.feet_per_inch == pytest.approx(20)
    found, _ = fit((90 * ft, 70 * ft), ["tabloid"], (), "us")
    assert found.feet_per_inch == pytest.approx(10)


def test_a_lot_too_large_for_the_accepted_scales_is_told() -> None:
    found, is_accepted = fit((3000 * 0.3048, 3000 * 0.3048), ["tabloid"], (10, 20), "us")
    assert not is_accepted
    # 3,000 ft in 7.2 in is 417 ft an inch: the next usual scale is 500.
    assert found.scale.text.startswith("1 in = 500 ft")


def test_clear_space_of_six_inches_where_the_sheet_allows() -> None:
    for size, has in (("letter", False), ("tabloid", True), ("arch-d", True)):
        stamp = layout_of(size, is_upright=False, stamp_in=6.0).stamp
        assert (stamp is not None) is has
        assert stamp is None or stamp.w == 6.0


def test_existing_conditions_have_no_proposed_surface(orchard_job: Job) -> None:
    _, images = site_sheets(orchard_job)
    letters = {
        surface.stage: orchard_job.keys.letter(surface.id)
        for surface in orchard_job.checked.site.surfaces
    }
    assert f">{letters['proposed']}</text>" not in images["S1-lot.svg"]
    assert f">{letters['proposed']}</text>" in images["S2-lot.svg"]
    assert f">{letters['removed']}</text>" in images["S1-lot.svg"]


def test_dimensions_to_the_lot_line(orchard_job: Job) -> None:
    # By hand: the terrace ends at y = 64 + 36 = 100, the lot at 110; the walk begins at x = 18.
    text = orchard_job.figures.text
    assert text("distance.terrace.line") == "10.00 ft"
    assert text("distance.terrace.rear") == "10.00 ft"
    assert text("distance.side-walk.left") == "18.00 ft"
    _, images = site_sheets(orchard_job)
    assert ">10.00 ft</text>" in images["S2-lot.svg"]


def test_metric_sheets(changed: Callable[..., Checked]) -> None:
    job = make_job(changed(("units: ft\n", "units: ft\nshown_in: metric\n")))
    sheets, _ = site_sheets(job)
    assert any("50 mm" in text.text for text in sheets[0].texts)


# What a PDF must be


def test_tagged_searchable_and_bookmarked(orchard_packet: Packet) -> None:
    reader = PdfReader(orchard_packet.folder / "packet.pdf")
    root: Any = reader.trailer["/Root"]
    assert bool(root["/MarkInfo"]["/Marked"])
    assert "/StructTreeRoot" in root
    assert str(root["/Lang"]).startswith("en")
    titles = [str(item.title) for item in reader.outline if not isinstance(item, list)]
    assert {"S1 Existing conditions", "S2 Site plan with the work"} <= set(titles)
    assert len(titles) == len(set(titles))
    assert b"pdfuaid:part" in root["/Metadata"].get_object().get_data()
    assert not reader.is_encrypted
    assert "/AcroForm" not in root
    assert any("Terrace" in page.extract_text() for page in reader.pages)


def test_fonts_are_embedded(orchard_packet: Packet) -> None:
    reader = PdfReader(orchard_packet.folder / "packet.pdf")
    seen = 0
    for page in reader.pages:
        for font in page.get("/Resources", {}).get("/Font", {}).values():
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            described = inner["/FontDescriptor"].get_object()
            assert any(key in described for key in ("/FontFile2", "/FontFile3"))
            seen += 1
    assert seen


def test_no_clock_and_small(orchard_packet: Packet) -> None:
    path = orchard_packet.folder / "packet.pdf"
    raw = path.read_bytes()
    assert b"CreationDate" not in raw
    assert b"xmp:CreateDate" not in raw
    assert len(raw) < 10_000_000


def test_pictures_have_a_long_description(orchard_job: Job) -> None:
    sheets, _ = site_sheets(orchard_job)
    says = sheets[1].images[0].says
    for surface in orchard_job.checked.site.surfaces:
        assert orchard_job.keys.named(surface.id) in says
    assert DAY.isoformat() not in says


def test_no_page_holds_a_single_row_or_line(orchard_packet: Packet) -> None:
    """What goes over to a new page is more than the head of a table and one row."""
    reader = PdfReader(orchard_packet.folder / "packet.pdf")
    for page in reader.pages:
        lines = [line for line in page.extract_text().splitlines() if line.strip()]
        body = [line for line in lines if " · " not in line and not line.startswith("page ")]
        assert len(body) >= 3, body
