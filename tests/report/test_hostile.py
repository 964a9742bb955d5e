"""Texts of files that try to act on a page come out as the texts they are."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from checker.core.markdown import escape
from checker.findings.checked import Checked
from checker.pages.terminal_writer import WIDTH
from checker.papers.terminal import answer_text
from checker.papers.writing import reports_of
from tests.report.conftest import check_text
from tests.report.test_access import Page

HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "</title></style></svg><script>alert(1)</script>",
    "--><script>alert(1)</script><!--",
    "]]><script>alert(1)</script>",
    "| a | b |",
    "`code` **bold** _em_ [link](javascript:alert(1)) ![x](y)",
    "# heading",
    "1. first",
    "- item",
    "\\u001b[31mred\\u0007",
    "\\u202eevil",
    "two\\nlines",
    "&lt;b&gt; &amp; &#x3c;",
    "$x^2$ ~~gone~~ <https://example.org>",
    "x" * 3000,
    "漢字と\U0001f3e1",
]

SITE = """\
format: site/1
title: "@"
place: sorrel-bend-rules.yaml
units: ft
rest_of_lot: lawn
none_found: [well]
facts: {zone: R-2}
on_file: [{document: letter, title: "@", by: "@", reference: "@"}]
lot: {boundary: {points: [[0, 0], [100, 0], [100, 120], [0, 120]]}}
features: [{id: tree, kind: tree, title: "@", shape: {at: [90, 110]}}]
regions:
  - {id: part, kind: easement, title: "@", shape: {rectangle: {corner: [5, 5], size: [40, 30]}}}
surfaces:
  - id: house
    material: roof
    title: "@"
    measured_by: "@"
    shape: {rectangle: {corner: [10, 40], size: [45, 60]}}
  - id: walk
    material: permeable-paving
    stage: proposed
    title: "@"
    shape: {rectangle: {corner: [60, 5], size: [4, 60]}}
"""


@pytest.fixture(params=HOSTILE, ids=range(len(HOSTILE)))
def checked(request: pytest.FixtureRequest, tmp_path: Path) -> Checked:
    text: str = request.param
    quoted = text.replace('"', '\\"')
    if "\\u" not in text and "\\n" not in text:
        quoted = text.replace("\\", "\\\\").replace('"', '\\"')
    return check_text(SITE.replace("@", quoted), tmp_path)


def test_html_stays_whole_and_runs_nothing(checked: Checked) -> None:
    page = Page(reports_of(checked)["report.html"])
    assert not page.all("script", "img", "iframe", "b", "object")
    for _, attributes, _ in page.elements:
        assert not [name for name in attributes if name.startswith("on")]
    (_, _, heading), = page.all("h1")  # fmt: skip
    shown = " ".join(checked.site.title.split())
    if shown.isascii() and shown.isprintable():
        assert heading == shown


def test_the_plan_is_well_formed(checked: Checked) -> None:
    tags = {e.tag.rpartition("}")[2] for e in ET.fromstring(reports_of(checked)["plan.svg"]).iter()}
    assert not tags & {"script", "img", "b"}


def test_markdown_shows_the_text(checked: Checked) -> None:
    markdown_it = pytest.importorskip("markdown_it")
    text = reports_of(checked)["report.md"]
    parser = markdown_it.MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    tokens = parser.parse(text)
    html = [token.content for token in tokens if token.type == "html_block"]
    assert html == ["<!-- written by soakline -->\n"]
    kinds = {child.type for token in tokens for child in token.children or ()}
    assert kinds <= {
        "text", "strong_open", "strong_close", "softbreak", "image", "text_special", "code_none",
    }  # fmt: skip
    images = [c for token in tokens for c in token.children or () if c.type == "image"]
    plans = ["plan.svg", "plan-before.svg", "plan-after.svg"]
    assert [image.attrs["src"] for image in images] == plans
    assert [t.tag for t in tokens if t.type == "heading_open"].count("h1") == 1
    # As many cells in each row as in the head of its table: no text opens a cell.
    columns = 0
    cells = 0
    for token in tokens:
        if token.type == "th_open":
            columns += 1
        elif token.type == "thead_open":
            columns = 0
        elif token.type == "tr_open":
            cells = 0
        elif token.type == "td_open":
            cells += 1
        elif token.type == "tr_close" and cells:
            assert cells == columns
    headings = [tokens[i + 1] for i, t in enumerate(tokens) if t.type == "heading_open"]
    shown = " ".join(checked.site.title.split())
    if shown.isascii() and shown.isprintable():
        assert "".join(child.content for child in headings[0].children) == shown


def test_a_terminal_gets_no_control_signs(checked: Checked) -> None:
    table = answer_text(checked)
    assert all(sign.isprintable() or sign == "\n" for sign in table)
    assert max(map(len, table.splitlines())) <= WIDTH


def test_data_can_be_read_back(checked: Checked) -> None:
    data = json.loads(reports_of(checked)["findings.json"].encode("utf-8"))
    assert len(data["surfaces"]) == 2


@pytest.mark.parametrize(
    ("text", "escaped"),
    [
        ("a_b*c", r"a\_b\*c"),
        ("1. first", r"1\. first"),
        ("0.25 to 1", "0.25 to 1"),
        ("- item", r"\- item"),
        ("# no heading", r"\# no heading"),
        ("a | b", r"a \| b"),
        ("<b>&amp;", "&lt;b&gt;&amp;amp;"),
        (r"back\slash", r"back\\slash"),
        ("+488 sq ft", "+488 sq ft"),
        ("$1,344.00 or $5", "$1,344.00 or $5"),
        ("$x^2$ and $6x$", r"\$x^2\$ and $6x\$"),
    ],
)
def test_markdown_escapes(text: str, escaped: str) -> None:
    assert escape(text) == escaped
