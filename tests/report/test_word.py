"""Word documents: whose they are, and tables whose words are not broken."""

from __future__ import annotations

import io

import pytest

from checker.pages.blocks import Column, Table, numbers, texts_of
from checker.pages.paper import Paper
from checker.pages.word_writer import _widths_in, docx_bytes

docx = pytest.importorskip("docx")

TABLE = Table(
    "Areas",
    (Column("Key", width=0.1), *texts_of("Surface"), *numbers("Overlap and outside, sq ft")),
    (("A", "Terrace of permeable paving", "1,234"), ("B", "Drive", "56")),
)


def test_the_program_is_named_and_no_template_maker() -> None:
    paper = Paper(id="p", number="1", title="Areas", blocks=(TABLE,))
    document = docx.Document(io.BytesIO(docx_bytes(paper, "A lot", "footer")))
    core = document.core_properties
    assert core.author == "Soakline"
    assert core.title == "A lot: Areas"
    assert (core.comments, core.last_modified_by) == ("", "")


def test_no_column_is_narrower_than_its_longest_word() -> None:
    widths = _widths_in(TABLE)
    # At 9 points a letter is some 0.07 in wide: "permeable", "Surface", "outside," and "Key".
    for wide, longest in zip(widths, ("Key", "permeable", "Overlap"), strict=True):
        assert wide >= len(longest) * 0.07
    assert sum(widths) == pytest.approx(7.0)


def test_a_table_of_too_many_long_words_keeps_to_the_paper() -> None:
    long = Table("t", texts_of(*"abcdefgh"), (("w" * 40,) * 8,))
    assert sum(_widths_in(long)) == pytest.approx(7.0)
