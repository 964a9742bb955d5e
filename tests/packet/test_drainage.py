"""Drainage documents: areas that add up, the balance of water, what blocked ways do."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from checker.core.problems import BadInput
from checker.core.units import AREA, VOLUME, Amount
from checker.findings.checked import Checked
from checker.packet.papers import make_papers
from checker.packet.writing import write_packet
from checker.pages.blocks import Table, Text, every, texts
from checker.papers.drainage import drainage_calculations, overflow_results
from checker.papers.job import Job, make_job
from checker.papers.sheets import site_sheets
from tests.packet.conftest import DAY, FILES
from tests.packet.reading import docx_text, pdf_text

PARTS = (FILES / "water-parts.yaml").read_text("utf-8")


@pytest.fixture
def wet(changed: Callable[..., Checked]) -> Job:
    return make_job(changed(("project:\n", f"{PARTS}project:\n")), day=DAY)


def table(job: Job, caption: str) -> Table:
    blocks = (*drainage_calculations(job, "7").blocks, *overflow_results(job))
    return next(b for b in every(blocks) if isinstance(b, Table) and b.caption.startswith(caption))


def test_areas_add_up_to_the_lot(wet: Job) -> None:
    rows = table(wet, "Areas and where").rows
    assert rows[-1][3] == wet.figures.text("lot.area") == "11,000 sq ft"
    areas = [
        Amount(f.amount.value_si, AREA).to("sq ft")
        for f in wet.figures
        if f.key.startswith("water.shed.") and f.key.endswith(".area") and f.amount
    ]
    assert math.fsum(areas) == pytest.approx(11000)


def test_the_terrace_goes_to_its_channel(wet: Job) -> None:
    # It falls from 100.00 at y = 64 to 99.40 at y = 100, by hand 0.60 / 36 = 1.67 %.
    rows = {row[1]: row for row in table(wet, "Areas and where").rows}
    assert rows["G Terrace, panel terrace"][5] == "rear-channel"
    _, images = site_sheets(wet)
    assert ">1.67 %</text>" in images["S2-lot.svg"]
    assert ">99.40</text>" in images["S2-lot.svg"]
    assert "rear-channel" in images["S2-lot.svg"]
    assert "rear-channel" not in images["S1-lot.svg"]


def test_volumes_by_hand(wet: Job) -> None:
    """1.6 in on the roof, 1,600 sq ft at 0.95, and on the terrace, 1,104 sq ft at 1.00.

    (1,600 x 0.95 + 1,104) x 1.6 / 12 = 349.9 cu ft.
    """
    table(wet, "Balance")
    runoff = wet.figures["water.balance.runoff"].amount
    assert runoff is not None
    assert Amount(runoff.value_si, VOLUME).to("cu ft") == pytest.approx(349.87, abs=0.01)
    assert wet.figures.text("water.balance.runoff") == "349.9 cu ft"
    assert wet.figures.text("water.balance.missing") == "0.00 %"


def test_what_blocked_ways_do(wet: Job) -> None:
    found = table(wet, "The design storm with each thing blocked").rows
    rows = {str(row[0]).partition(" ")[2]: row for row in found}
    # The terrace's water, 1,104 x 1.6 / 12 = 147.2 cu ft, goes over the rear edge at 99.45, but for
    # what stands below it: a wedge from 99.40, 0.05 / 0.016667 = 3 ft wide, 44 x 3 x 0.05 / 2 =
    # 3.30, and over the channel 0.54 sq ft x 0.07 ft = 0.04.
    assert "143.9 cu ft" in str(rows["rear-channel"][3])
    # The leader has no second way: all of the roof's, 1,520 x 1.6 / 12 = 202.7, stands.
    assert rows["house-leader"][2] == "202.7 cu ft"
    assert rows["nothing"][1:4] == ("0.0 cu ft", "0.0 cu ft", "none")


def test_ways_that_share_nothing(wet: Job) -> None:
    rows = {row[0]: row for row in table(wet, "Outlets that share nothing").rows}
    assert rows["house"][1] == "1"
    assert rows["terrace"][1] == "2"


def test_results_stand_in_narrative_and_statement(wet: Job, tmp_path: Path) -> None:
    """The well is empty 43.62 h after the rain, by hand.

    In feet and hours: it holds 9 pi + 0.4 x 16 pi = 48.38 sq ft for each foot, and the soil takes
    0.5 / 12 = 1/24 ft/h over 25 pi of base and 10 pi h of wall. So h falls to 1 mm, 0.0033 ft, in
    48.38 x 24 / (10 pi) x ln((2.5 + h) / 2.5033) = 36.96 ln((2.5 + h) / 2.5033): from the mouth at
    5.6 ft in 43.40 h. At the end of the rain it stands at 5.815 ft, where what comes, 349.87 cu
    ft/h, is what goes: with the mouth shut that would take 44.37 h, but the mouth, drained along
    with the soil in steps of 0.07 s by its orifice, takes it down soon: 43.62 h.
    """
    packet = write_packet(wet.checked, tmp_path / "p", date=DAY)
    emptied = packet.figures["water.store.dry-well.emptied"].amount
    assert emptied is not None
    assert 43.40 < emptied.value_si / 3600 < 44.37
    assert emptied.value_si / 3600 == pytest.approx(43.62, rel=0.004)
    pdf, word = (
        pdf_text(packet.folder / "packet.pdf"),
        docx_text(packet.folder / "narrative.docx"),
    )
    for key in ("water.store.dry-well.emptied", "water.edge.rear-edge.peak"):
        text = packet.figures.text(key)
        assert text in pdf
        assert text in word


def test_preflight_finds_drainage(wet: Job) -> None:
    papers = make_papers(wet, lambda _: None)
    assert not papers.paper("drainage-calculations").is_empty
    said = {check.what: check for check in papers.preflight.checks}
    assert said["Spot levels"].state == "there"


def test_without_parts_it_says_what_to_give(orchard_job: Job) -> None:
    paper = drainage_calculations(orchard_job, "7")
    assert paper.is_empty
    assert "Give 'ways_out'" in texts(paper.blocks[0])[0]


def test_a_missing_level_is_asked_for(changed: Callable[..., Checked]) -> None:
    parts = PARTS.replace("rim: 99.38, ", "")
    job = make_job(changed(("project:\n", f"{parts}project:\n")))
    blocks = every(drainage_calculations(job, "7").blocks)
    said = [texts(block)[0] for block in blocks if isinstance(block, Text)]
    assert any("give 'rim' of rear-channel" in text for text in said)


def test_a_mistake_in_a_part_is_told_first(changed: Callable[..., Checked]) -> None:
    parts = PARTS.replace("kind: dry-well", "kind: dry-wel")
    with pytest.raises(BadInput) as caught:
        make_job(changed(("project:\n", f"{parts}project:\n")))
    assert "did you mean 'dry-well'?" in str(caught.value)


def test_a_drainage_that_cannot_work_is_told(changed: Callable[..., Checked]) -> None:
    parts = PARTS.replace("id: house-pipe, to: dry-well", "id: house-pipe, to: house-leader")
    job = make_job(changed(("project:\n", f"{parts}project:\n")))
    blocks = every(drainage_calculations(job, "7").blocks)
    said = [texts(block)[0] for block in blocks if isinstance(block, Text)]
    assert any(text.startswith("Caution: The drainage as drawn cannot work") for text in said)
