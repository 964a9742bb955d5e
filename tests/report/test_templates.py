"""Templates: the frame holds, one's own page is read in a sandbox, what is wrong is told."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import get_args

import pytest
from jinja2 import meta

from checker.core.problems import BadInput
from checker.pages.blocks import (
    Block,
    Bullets,
    Chip,
    Page,
    Pairs,
    Section,
    Sign,
    Table,
    caution,
    numbers,
    para,
    texts_of,
)
from checker.pages.html_writer import MARK, POLICY, html_of
from checker.pages.markdown_writer import MARK as MD_MARK
from checker.pages.markdown_writer import markdown_of
from checker.pages.templating import STANDARD, PageContext, _plain

EVIL = "<script>alert(1)</script> {{ 7 * 7 }} {% raw %} | *b*"
MODULES = "checker.papers.writing, checker.packet.writing, checker.api"
FOOT = '{% extends "standard/page.html" %}{% block foot %}'
LETTERHEAD = Path("samples/letterhead")
PAGE = Page(
    title=EVIL,
    above=(para(EVIL, "lead"), caution(EVIL)),
    sections=(
        Section(
            "part",
            EVIL,
            (
                Bullets((EVIL,), EVIL, is_numbered=True),
                Pairs(((EVIL, EVIL),)),
                Table(EVIL, (*texts_of(EVIL), *numbers(EVIL)), ((EVIL, Chip("x", EVIL, "fails")),)),
                Sign(EVIL, EVIL, (EVIL,), has_seal=True),
            ),
            Chip("✗", EVIL, "fails"),
        ),
    ),
    below=(para(EVIL),),
)


def own(folder: Path, text: str, name: str = "page.html") -> Path:
    (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize("name", ["page.html", "page.md"])
def test_templates_read_only_what_they_are_given(name: str) -> None:
    source = (STANDARD / "standard" / name).read_text(encoding="utf-8")
    names = meta.find_undeclared_variables(_plain().parse(source))
    # `part` is the macros that the frame imports itself.
    assert names - {"part"} <= set(PageContext.__struct_fields__)


@pytest.mark.parametrize("name", ["blocks.html", "blocks.md"])
def test_each_kind_of_block_has_its_piece(name: str) -> None:
    source = (STANDARD / "standard" / name).read_text(encoding="utf-8")
    kinds = {kind.__name__ for kind in get_args(Block)} - {"Section"}  # what is left over
    assert {kind for kind in kinds if f'kind == "{kind}"' not in source} == set()


@pytest.mark.parametrize("folder", [None, LETTERHEAD])
def test_texts_stay_texts(folder: Path | None) -> None:
    page = html_of(PAGE, folder)
    assert "<script>" not in page
    assert "{{ 7 * 7 }}" in page
    assert "49" not in page
    text = markdown_of(PAGE, folder)
    assert "<script>" not in text
    assert "\\*b\\*" in text
    assert html_of(PAGE, folder) == page
    assert markdown_of(PAGE, folder) == text


def test_the_letterhead_stands_above_and_the_frame_stays() -> None:
    page = html_of(PAGE, LETTERHEAD)
    assert page.index("Example Court and Terrace Works") < page.index("<h1>")
    assert MARK in page[:1000]
    assert POLICY in page
    assert "Looked through by" in page
    text = markdown_of(PAGE, LETTERHEAD)
    assert text.startswith(MD_MARK)
    assert text.index("Example Court") < text.index("\n# ")


def test_a_folder_may_hold_one_of_the_two(tmp_path: Path) -> None:
    own(tmp_path, '{% extends "standard/page.html" %}{% block closing %}Mine{% endblock %}')
    assert "Mine" in html_of(PAGE, tmp_path)
    assert markdown_of(PAGE, tmp_path) == markdown_of(PAGE)


@pytest.mark.parametrize(
    ("text", "says", "line"),
    [
        ('{% extends "standard/page.html" %}\n{% block style %}', "block", 2),
        ('{% extends "standard/page.html" %}\n{% block foot %}{{ nothing }}{% endblock %}',
         "'nothing' is undefined", 2),
        ('{% extends "standard/page.html" %}\n{% block foot %}{{ page.wrong }}{% endblock %}',
         "wrong", 2),
        ('{% extends "standard/page.html" %}\n\n{% block foot %}{{ 1 / 0 }}{% endblock %}',
         "division", 3),
        ('{% include "../../../etc/passwd" %}', "passwd", 0),
        (f"{FOOT}{{{{ 'x' * 9 }}}}{{% endblock %}}", "do not reckon", 1),
        (f"{FOOT}{{{{ page.title | safe }}}}{{% endblock %}}", "safe", 1),
        (f"{FOOT}{{% macro a() %}}{{{{ a() }}}}{{% endmacro %}}{{{{ a() }}}}{{% endblock %}}",
         "recursion", 1),
        ("<p>{{ page.title }}</p>", "frame", 0),
        (f"{FOOT}{{{{ page.__class__.__mro__ }}}}{{% endblock %}}", "__class__", 1),
        (f"{FOOT}{{{{ ''.__class__.__mro__[1] }}}}{{% endblock %}}", "__class__", 1),
        ('{% extends "standard/page.html" %}{% block foot %}{{ range(9) }}{% endblock %}',
         "range", 1),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told(tmp_path: Path, text: str, says: str, line: int) -> None:
    with pytest.raises(BadInput) as caught:
        html_of(PAGE, own(tmp_path, text))
    problem = caught.value.problems[0]
    assert says in problem.says
    assert problem.place.file.endswith("page.html")
    assert problem.place.line == line


def test_a_folder_without_templates_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="holds neither"):
        html_of(PAGE, tmp_path)
    with pytest.raises(BadInput, match="holds neither"):
        html_of(PAGE, tmp_path / "not there")


def test_a_page_that_is_no_text_is_told(tmp_path: Path) -> None:
    (tmp_path / "page.html").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadInput, match="template cannot be used"):
        html_of(PAGE, tmp_path)


def test_templates_are_loaded_only_where_a_page_is_written() -> None:
    done = subprocess.run(
        [sys.executable, "-c", f"import {MODULES}, sys; print('jinja2' in sys.modules)"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == "False"
