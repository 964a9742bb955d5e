"""The worksheet and the ledger against sums worked by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from checker.findings.checked import Checked
from checker.pages.blocks import Table, every, plain
from checker.papers.worksheet import coverage_section
from checker.words.brief import Brief, brief_of
from checker.words.ledger import ledgers_of
from checker.words.letters import Keys
from tests.report.conftest import BRINE, FERNHOLLOW, SAMPLES, SORREL, check_file

# Sorrel Bend, square feet:
#   house        50 x 30                                              1,500
#   drive        16 x 60 = 960, of which 16 x 4 = 64 outside the lot    896
#   pool         30 x 15                                                450
#   coping       32 x 17 - 450                                           94
#   side patio   20 x 12                                                240
#   old patio    20 x 12, goes                                          240
#   terrace      50 x 35 = 1,750 - 544 (pool and coping) - 8 x 6 = 48 (side patio) = 1,158,
#                of which 14 x 8 = 112 lie under the dining roof      1,046
#   deck         18 x 14                                                252
#   dining roof  14 x 8                                                 112
# Today: 1,500 + 896 + 450 + 94 + 240 + 240 = 3,420
# After: 1,500 + 896 + 450 + 94 + 240 + 252 + 112 = 3,544, and of the terrace, whose rate nobody
# gave, between half and all: 3,544 + 523 = 4,067 to 3,544 + 1,046 = 4,590


Cells = dict[str, tuple[str, ...]]


def tables(checked: Checked) -> tuple[Brief, dict[str, Table]]:
    """The tables of the worksheet by what their captions begin or end with."""
    brief = brief_of(checked)
    found = (block for block in every([coverage_section(brief)]) if isinstance(block, Table))
    return brief, {table.caption.rpartition(": ")[2].partition(";")[0]: table for table in found}


def rows_of(table: Table, key: int = 0) -> Cells:
    rows = [tuple(map(plain, row)) for row in table.rows]
    return {row[key] or row[1]: row for row in rows}


def test_from_today_to_after_the_work(sorrel: Checked) -> None:
    _, found = tables(sorrel)
    lines = rows_of(found["counted areas"])
    assert lines["A"][2:] == ("1,500", "0", "0", "0", "0", "1,500", "0")
    assert lines["B"][2:] == ("896", "0", "896", "896", "0", "896", "0")
    assert lines["E"][2:] == ("240", "240", "0", "0", "0", "0", "−240")
    assert lines["G"][2:] == (
        "0", "0", "0", "0", "523 to 1,046", "523 to 1,046", "+523 to 1,046",
    )  # fmt: skip
    # New: 252 + 112 = 364, and 523 to 1,046 of the terrace: 887 to 1,410.
    # Net: 4,067 - 3,420 = 647 and 4,590 - 3,420 = 1,170.
    assert lines["Total"][2:] == (
        "3,420", "240", "896", "896", "887 to 1,410", "4,067 to 4,590", "+647 to 1,170",
    )  # fmt: skip


def test_what_counts_after_the_work(sorrel: Checked) -> None:
    _, found = tables(sorrel)
    lines = rows_of(found["areas and factors"])
    # 1,750 - 1,046 = 704 taken out: 544 pool and coping, 48 side patio, 112 under the roof.
    # It is not there today.
    assert lines["G"][4:10] == ("1,750", "704", "–", "1,046", "–", "0.5 to 1")
    assert lines["B"][4:8] == ("960", "64", "896", "896")
    # The lawn: 12,000 - 3,420 = 8,580 today; 12,000 - 4,590 = 7,410 after the work.
    assert lines["Rest of the lot (lawn)"][6:8] == ("8,580", "7,410")
    assert lines["Total"][6:8] == ("12,000", "12,000")
    clauses = rows_of(found["why each line counts so"])
    assert clauses["C"][-1] == "Sorrel Bend Code (invented), 2.1 (2024)"
    assert clauses["G"][2:] == (
        "Walks patio and deck",
        "proven permeable paving; condition not proven",
        "Sorrel Bend Design Guide (invented), 4.2 (edition 3)",
    )
    groups = rows_of(found["totals by group"])
    # House 1,500 and dining roof 112.
    assert (groups["Buildings"][1], groups["Buildings"][6]) == ("1,500", "1,612")
    # 12,000 - 4,590 = 7,410 and 12,000 - 4,067 = 7,933.
    assert groups["Does not count"] == ("Does not count", "8,580", *[""] * 4, "7,410 to 7,933", "")
    # 4,067 / 12,000 = 33.89 %; 4,590 / 12,000 = 38.25 %.
    assert groups["Share of the lot"][1] == "28.50 %"
    assert groups["Share of the lot"][6] == "33.89 to 38.25 %"


def test_maximum_existing_proposed_increase_remaining(sorrel: Checked) -> None:
    brief = brief_of(sorrel)
    found = [
        table
        for table in every([coverage_section(brief)])
        if isinstance(table, Table) and table.columns[-1].title == "Share of the land"
    ]
    cover = next(table for table in found if table.caption.startswith("Hard area of the lot; "))
    share = next(table for table in found if table.caption.startswith("Share of hard area; "))
    # 4,500 - 4,590 = -90; 4,500 / 12,000 = 37.5 %.
    assert cover.rows == (
        ("Maximum allowed", "4,500 sq ft", "37.50 %"),
        ("Existing", "3,420 sq ft", "28.50 %"),
        ("Proposed", "4,067 to 4,590 sq ft", "33.89 to 38.25 %"),
        ("Increase", "+647 to 1,170 sq ft", "+5.39 to 9.75 %"),
        ("Remaining", "−90 sq ft", "−0.75 %"),
    )
    assert "; at most; exactly at the limit is allowed; " in cover.caption
    # A limit on the share: less than 60 % of 12,000 = 7,200.
    assert share.rows[0] == ("Maximum allowed", "7,200 sq ft", "60.00 %")
    assert "; less than; exactly at the limit is not allowed; " in share.caption


def test_the_ledger_says_who_took_the_overlaps(sorrel: Checked) -> None:
    after, today = ledgers_of(sorrel, Keys(sorrel.site))
    lines = {line.letter: line for line in after.ground}
    assert lines["G"].displaced == "592"
    assert set(lines["G"].displaced_by.split("; ")) == {
        "C Pool 450", "D Coping 94", "F Side patio 48",
    }  # fmt: skip
    assert lines["B"].outside == "64"
    # Ground after: 896 + 450 + 94 + 240 + 1,158 = 2,838; 12,000 - 2,838 = 9,162.
    assert (after.visible, after.rest, after.total) == ("2,838", "9,162", "12,000")
    # Ground today: 896 + 450 + 94 + 240 + 240 = 1,920; 12,000 - 1,920 = 10,080.
    assert (today.visible, today.rest, today.total) == ("1,920", "10,080", "12,000")
    assert {line.letter for line in after.above} == {"A", "H", "I"}


def number(text: str, end: int) -> float:
    parts = [float(part.replace(",", "").replace("−", "-")) for part in text.split(" to ")]
    return parts[-1] if end else parts[0]


@pytest.mark.parametrize(
    "path",
    [SORREL, BRINE, FERNHOLLOW, SAMPLES / "fernhollow-after" / "site.yaml"],
    ids=lambda path: f"{path.parent.name}-{path.stem}",
)
def test_every_printed_line_reconciles(path: Path) -> None:
    checked = check_file(path)
    _, found = tables(checked)
    for line in rows_of(found["counted areas"]).values():
        if len(line) < 9:
            continue  # nothing is changed: one column
        for end in (0, 1):
            existing, removed, was, becomes, new, proposed = (
                number(text, end) for text in line[2:8]
            )
            sum_ = existing - removed - was + becomes + new
            assert sum_ == pytest.approx(proposed, abs=0.011)
    for ledger in ledgers_of(checked, Keys(checked.site)):
        assert ledger.reconciles
        assert ledger.total == ledger.lot_area
        for booked in (*ledger.ground, *ledger.above):
            parts = [number(text, 0) for text in (booked.outside, booked.displaced, booked.visible)]
            assert sum(parts) == pytest.approx(number(booked.drawn, 0), abs=0.011)


def test_the_hand_worked_sample(fernhollow: Checked) -> None:
    # samples/fernhollow-before/expected.yaml: 2,818 today, 4,642 after; the old deck goes: 508.
    _, found = tables(fernhollow)
    assert rows_of(found["counted areas"])["Total"][2:] == (
        "2,818",
        "508",
        "0",
        "0",
        "2,332",
        "4,642",
        "+1,824",
    )
