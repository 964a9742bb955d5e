"""Revision A against revision B, and what was approved against what was built."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.files.source import read_document
from checker.findings.checked import Checked
from checker.pages.blocks import Sign, Table, every, texts
from checker.papers.closing import closing_set
from checker.papers.deviation import deviation_request
from checker.papers.difference import changes
from checker.papers.job import Job, make_job
from checker.papers.resubmittal import resubmittal_kit
from checker.papers.sheets import site_sheets

CASES = read_document(Path(__file__).parents[1] / "published" / "packet-cases.yaml").data
SMALLER = ("corner: [26, 64], size: [44, 36]", "corner: [26, 64], size: [44, 32]")
LETTER_B = ("  revision: A\n", "  revision: B\n")


def tables(job_paper: object) -> list[Table]:
    return [block for block in every(job_paper.blocks) if isinstance(block, Table)]  # type: ignore[attr-defined]


def test_no_change_gives_no_difference(orchard_job: Job) -> None:
    assert changes(orchard_job, orchard_job, ("A", "B"), orchard_job.figures) == ()


def test_a_smaller_terrace(orchard: Checked, changed: Callable[..., Checked]) -> None:
    """By hand: 44 x 32 = 1,408 instead of 1,584 drawn: -176; counted half, the total falls by 88.

    3,220 - 88 = 3,132; the room grows from 1,180 to 1,268.
    """
    earlier, later = make_job(orchard), make_job(changed(SMALLER, LETTER_B))
    found = {c.what: c for c in changes(earlier, later, ("A", "B"), later.figures)}
    area = found["Terrace: drawn area"]
    assert area[2:] == ("1,584 sq ft", "1,408 sq ft", "−176 sq ft")
    assert area.key == later.keys.letter("terrace")
    total = found["Impervious area, proposed"]
    assert total[2:] == ("3,220 sq ft", "3,132 sq ft", "−88 sq ft")
    room = found["Impervious cover of the lot: room left"]
    assert room[2:] == ("+1,180 sq ft", "+1,268 sq ft", "+88 sq ft")
    assert len(found) == 3


def test_moved_added_left_out_and_renamed(
    orchard: Checked, changed: Callable[..., Checked]
) -> None:
    text = (
        "  - {id: shed, title: Shed, material: roof, shape: {rectangle: {corner: [84, 92], size: "
    )
    text += "[10, 12]}}, measured_by: survey}\n"
    shed = "  - {id: bench, title: Bench, material: stone-slab, stage: proposed, "
    shed += "shape: {rectangle: {corner: [80, 96], size: [5, 2]}}}\n"
    later = make_job(changed((text, shed), ("corner: [18, 30]", "corner: [17, 30]"), LETTER_B))
    found = {c.what: c for c in changes(make_job(orchard), later, ("A", "B"), later.figures)}
    assert found["Shed: left out"].key == "(H)"
    assert found["Bench: added"].key == "H"
    assert found["Side walk: place or form"].after == "moved or reshaped"


def test_the_kit_answers_comments(orchard: Checked, changed: Callable[..., Checked]) -> None:
    comments = (
        "  comments:\n"
        "    - {number: '1', comment: Show the oak., answer: Shown., sheet: S2}\n"
        "    - {number: '2', comment: State the datum.}\n"
        "  revisions: [{revision: B, says: terrace shortened, date: 2026-04-01}]\n"
    )
    checked = changed(SMALLER, LETTER_B, ("  trees: ", comments + "  trees: "))
    paper = resubmittal_kit(make_job(checked, previous=make_job(orchard)), "15")
    answers, box, difference = tables(paper)
    assert answers.rows == (
        ("1", "Show the oak.", "Shown.", "S2"),
        ("2", "State the datum.", "not given", "not given"),
    )
    assert box.rows == (("B", "2026-04-01", "terrace shortened"),)
    assert difference.caption == "Revision A and revision B"


def test_the_same_letter_twice_is_told(orchard: Checked, changed: Callable[..., Checked]) -> None:
    paper = resubmittal_kit(make_job(changed(SMALLER), previous=make_job(orchard)), "15")
    said = " ".join(text for block in every(paper.blocks) for text in texts(block))
    assert "Both site files say revision A" in said


def test_built_against_approved(orchard: Checked, changed: Callable[..., Checked]) -> None:
    """Built 44 x 38: by hand 88 sq ft more paving, 44 more counted: 3,220 against 3,264."""
    built = changed((SMALLER[0], "corner: [26, 64], size: [44, 38]"))
    paper = closing_set(make_job(orchard, built=make_job(built)), "14")
    said = " ".join(text for block in every(paper.blocks) for text in texts(block))
    told = "Impervious area: approved 3,220 sq ft, as built 3,264 sq ft, difference +44 sq ft; "
    assert told in said
    assert "As built every rule that applies is met." in said


def test_published_storage_as_built(changed: Callable[..., Checked]) -> None:
    """Aspen CO: one basin built at 14 against 20 cu ft, its partner at 23 against 17; 37 = 37."""
    case = CASES["built_storage"]
    rows = "".join(
        f"    - {{what: Basin {i}, approved: {was} cu ft, built: {will} cu ft}}\n"
        for i, (was, will) in enumerate(zip(case["designed"], case["built"], strict=True), 1)
    )
    job = make_job(changed(("  trees: ", f"  built:\n{rows}  trees: ")))
    table = next(t for t in tables(closing_set(job, "14")) if t.caption.startswith("Storage"))
    assert table.rows[-1] == ("All together (same)", "37.0 cu ft", "37.0 cu ft")
    assert table.rows[0] == ("Basin 1", "20.0 cu ft", "14.0 cu ft")


def test_without_a_built_lot_the_columns_are_blank(orchard_job: Job) -> None:
    table = tables(closing_set(orchard_job, "14"))[0]
    assert all(row[-2:] == ("", "") for row in table.rows)


def test_two_places_are_not_compared(orchard: Checked, changed: Callable[..., Checked]) -> None:
    from tests.packet.conftest import FILES

    rules = (FILES / "larkmoor.yaml").read_text("utf-8").replace("id: larkmoor", "id: otherwise", 1)
    other = changed(rules=rules)
    with pytest.raises(BadInput, match="compared") as caught:
        make_job(orchard, previous=make_job(other))
    assert "under 'otherwise', not 'larkmoor'" in str(caught.value)


def test_the_letter_for_a_changed_section(changed: Callable[..., Checked]) -> None:
    """Every point that five government texts ask of such a request, and lines left blank."""
    asked = (
        "  deviation:\n"
        "    standard: Standard detail 12, section 3 (invented)\n"
        "    differs: 12 in of stone instead of 18 in\n"
        "    constraint: rock at 2 ft\n"
        "    performance: [{what: storage, standard: 7.2 in, proposed: 4.8 in}]\n"
        "  trees: "
    )
    job = make_job(changed(("  trees: ", asked)))
    paper = deviation_request(job, "9")
    said = " ".join(text for block in every(paper.blocks) for text in texts(block))
    assert "Not valid until the engineer of record and the reviewing engineer sign" in said
    assert "rock at 2 ft" in said
    assert "Who keeps it up not given." in said
    assert "no precedent" in said
    signs = [block for block in every(paper.blocks) if isinstance(block, Sign)]
    assert [sign.title for sign in signs] == ["Engineer of record", "Reviewing engineer"]
    assert all(sign.has_seal for sign in signs)


def test_no_letter_where_none_is_asked_for(orchard_job: Job) -> None:
    assert deviation_request(orchard_job, "9").is_empty


def test_a_record_drawing_over_the_approved_one(
    orchard: Checked, changed: Callable[..., Checked]
) -> None:
    built = changed((SMALLER[0], "corner: [26, 64], size: [44, 38]"))
    sheets, images = site_sheets(make_job(orchard, built=make_job(built)))
    assert [sheet.number for sheet in sheets] == ["S1", "S2", "S3", "S4"]
    assert "as built over approved" in sheets[3].title
    # Four surfaces are approved as new or rebuilt: walk, pool, coping, terrace.
    assert images["S4-lot.svg"].count('stroke-dasharray="2.4 1.2"') == 4
    assert 'stroke-dasharray="2.4 1.2"' not in images["S3-lot.svg"]
