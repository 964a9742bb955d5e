"""Figures read back from every file; no number in a text stands outside the figures."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from checker.findings.coverage import MOVES
from checker.packet.papers import Papers, make_papers
from checker.packet.writing import Packet
from checker.pages.blocks import Sign, every
from checker.pages.markdown_writer import paper_as_markdown
from checker.papers.certifications import FORMS
from checker.papers.job import Job
from checker.papers.names import NUMBERS
from tests.packet.reading import cells, docx_text, md_text, numbers_in, pdf_text

ALWAYS = {
    "lot.area": ("packet.pdf", "narrative.docx", "narrative.md"),
    "lot.acres": ("packet.pdf", "narrative.docx", "narrative.md"),
    "lot.recorded": ("packet.pdf", "narrative.docx", "narrative.md"),
    "rule.cover-limit.measured": ("packet.pdf", "narrative.docx", "narrative.md"),
    "rule.cover-limit.limit": ("packet.pdf", "narrative.docx", "narrative.md"),
    "rule.cover-limit.margin": ("packet.pdf", "narrative.docx", "narrative.md"),
    "limit.impervious_area.cover-limit.proposed_share": (
        "packet.pdf",
        "narrative.docx",
        "narrative.md",
    ),
    "cover.impervious_area.total.existing": ("packet.pdf", "narrative.docx", "narrative.md"),
    "cover.impervious_area.existing_share": ("packet.pdf", "narrative.docx", "narrative.md"),
    "trigger.grading-permit": ("packet.pdf",),
    "earlier.total": ("packet.pdf",),
}
READERS: dict[str, Callable[[Path], str]] = {".pdf": pdf_text, ".docx": docx_text, ".md": md_text}

# Lengths of published tables, of the scale, and of what the site file says itself: not measured.
QUOTED = (
    "6 in", "2 inches", "1 in = 20 ft", "5 ft", "4 ft", "25 ft", "2 ft", "3 ft", "10 ft", "0.5 in",
    "1 ft", "100.00 ft", "40 %", "20 ft", "40 ft",
)  # fmt: skip


@pytest.fixture(scope="module")
def papers(orchard_job: Job) -> Papers:
    return make_papers(orchard_job, lambda _: None)


@pytest.mark.parametrize(
    ("key", "name"), [(key, name) for key, names in ALWAYS.items() for name in names]
)
def test_a_figure_reads_back(orchard_packet: Packet, key: str, name: str) -> None:
    text = orchard_packet.figures.text(key)
    found = READERS[Path(name).suffix](orchard_packet.folder / name)
    assert text in found


@pytest.mark.parametrize("name", ["packet.pdf", "narrative.docx", "narrative.md"])
def test_no_number_stands_outside_the_figures(orchard_packet: Packet, name: str) -> None:
    known = {figure.text for figure in orchard_packet.figures}
    known |= {text for figure in known for text in numbers_in(figure)}
    known |= {text.removeprefix(sign) for text in known for sign in ("+", "−")}
    limits = {"2,500 sq ft", "500 sq ft", "5,000 sq ft"}  # thresholds, said by the rule set
    found = numbers_in(READERS[Path(name).suffix](orchard_packet.folder / name))
    assert found - known - limits - set(QUOTED) == set()


def test_the_same_text_in_word_and_markdown(orchard_packet: Packet) -> None:
    word = numbers_in(docx_text(orchard_packet.folder / "narrative.docx"))
    assert word == numbers_in(md_text(orchard_packet.folder / "narrative.md"))
    assert word


def test_fourteen_sections_in_order(orchard_packet: Packet) -> None:
    text = (orchard_packet.folder / "narrative.md").read_text("utf-8")
    heads = re.findall(r"^## (\d+) ", text, re.MULTILINE)
    assert heads == [str(n) for n in range(1, 15)]


def test_word_has_real_headings_header_rows_and_a_language(orchard_packet: Packet) -> None:
    import docx
    from docx.oxml.ns import qn

    document = docx.Document(str(orchard_packet.folder / "narrative.docx"))
    styles = [p.style.name for p in document.paragraphs if p.style]
    assert styles.count("Heading 2") == 14
    assert styles[0] == "Heading 1"
    for table in document.tables:
        first = table.rows[0]._tr
        assert first.trPr is not None
        assert first.trPr.find(qn("w:tblHeader")) is not None
    language = document.styles["Normal"].element.rPr.find(qn("w:lang"))
    assert language.get(qn("w:val")) == "en-US"


# The workbook


def test_cached_results_are_the_figures(orchard_packet: Packet, orchard_job: Job) -> None:
    found = cells(orchard_packet.folder / "coverage-worksheet.xlsx", values=True)
    lines = orchard_job.coverages[0].lines
    for index in range(len(lines)):
        for column, what in zip("KLMNOP", MOVES, strict=True):
            number, _, decimals = orchard_packet.figures.number(
                f"cover.impervious_area.{index}.{what}"
            )
            cell = found[f"{column}{index + 6}"]
            assert cell == pytest.approx(number, abs=1e-6)
            shown = orchard_packet.figures.text(f"cover.impervious_area.{index}.{what}")
            assert f"{round(cell, decimals):,.{decimals}f} sq ft" == shown


def test_formulas_are_live_and_right(orchard_packet: Packet) -> None:
    """Every formula worked out anew by a small reader of ours, from the numbers it points to."""
    path = orchard_packet.folder / "coverage-worksheet.xlsx"
    formulas, results = cells(path, values=False), cells(path, values=True)
    live = {at: text for at, text in formulas.items() if str(text).startswith("=")}
    assert len(live) > 60
    for at, text in live.items():
        assert worked(text[1:], results) == pytest.approx(results[at], abs=1e-9), (at, text)


def worked(text: str, values: dict[str, Any]) -> float:
    def span(match: str) -> list[Any]:
        first, last = match.replace("$", "").split(":")
        column = first[0]
        rows = range(int(first[1:]), int(last[1:]) + 1)
        return [values.get(f"{column}{row}", 0) for row in rows]

    if found := re.fullmatch(r"SUM\((.+)\)", text):
        return float(sum(span(found[1])))
    if found := re.fullmatch(r"SUMIF\((.+?),(.+?),(.+)\)", text):
        wanted = values[found[2].replace("$", "")]
        keys, parts = span(found[1]), span(found[3])
        chosen = (part for key, part in zip(keys, parts, strict=True) if key == wanted)
        return float(sum(chosen))
    if found := re.fullmatch(r"INT\(ROUND\((.+),6\)\)/(\d+)", text):
        return math.floor(round(worked(found[1], values), 6)) / int(found[2])
    plain = re.sub(r"\$?([A-Z])\$?(\d+)", lambda m: repr(float(values[m[1] + m[2]])), text)
    assert re.fullmatch(r"[\d.e+*/()-]+", plain), plain
    return float(eval(plain))


def test_a_changed_area_changes_the_verdict_block(orchard_packet: Packet) -> None:
    """The limit block points to the totals, the totals to the lines: nothing is typed in."""
    formulas = cells(orchard_packet.folder / "coverage-worksheet.xlsx", values=False)
    total = next(at for at, text in formulas.items() if text == "Total" and at.startswith("B"))
    row = total[1:]
    assert formulas[f"P{row}"].startswith("=SUM(P6:P")
    proposed = next(at for at, text in formulas.items() if text == "Proposed" and at[0] == "B")
    assert formulas[f"C{proposed[1:]}"] == f"=P{row}"


def test_csv_holds_one_bare_value_per_cell(orchard_packet: Packet) -> None:
    raw = (orchard_packet.folder / "coverage-worksheet.csv").read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(raw.decode("utf-8-sig").splitlines()))
    heads, lines = rows[0], rows[1:]
    assert all(len(row) == len(heads) for row in rows)
    column = heads.index("Proposed (sq ft)")
    values = {row[2]: row[column] for row in lines}
    # By hand, as in test_coverage: no thousands comma, no unit.
    assert values["House"] == "1600"
    assert values["Total"] == "3220"


# The documents


def test_certifications_are_blank(orchard_job: Job, papers: Papers) -> None:
    said = [clean for person in orchard_job.project.people.values() for clean in person.lines()]
    blocks = list(every(papers.paper("certifications").blocks))
    for block in blocks:
        if isinstance(block, Sign):
            assert not any(text in f"{block.says} {block.lines}" for text in said)
    assert sum(isinstance(block, Sign) for block in blocks) == len(FORMS)


def test_every_document_is_in_the_index(orchard_packet: Packet, papers: Papers) -> None:
    text = pdf_text(orchard_packet.folder / "packet.pdf")
    for paper in papers.papers:
        if paper.id != "cover":
            assert f"{paper.number} {paper.title}" in text
    assert len(NUMBERS) == len(papers.papers)


def test_headings_never_skip_a_level(papers: Papers) -> None:
    for paper in papers.papers:
        text = paper_as_markdown(paper, "project", "footer")
        levels = [len(marks) for marks in re.findall(r"^(#+) ", text, re.MULTILINE)]
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in pairwise(levels))
        assert levels.count(1) == 1


def test_not_verified_is_visible(orchard_packet: Packet) -> None:
    text = pdf_text(orchard_packet.folder / "packet.pdf")
    assert text.count("Not verified") >= 3
