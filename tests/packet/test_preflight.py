"""What the preflight stops, what it only notes, and that it sees what is missing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from checker import api
from checker.findings.checked import Checked
from checker.packet.papers import make_papers
from checker.papers.checks import Check, Preflight
from checker.papers.job import Job, make_job
from checker.papers.triggers import triggered
from tests.packet.conftest import DAY, FILES


def flight(checked: Checked, day: date | None = DAY) -> Preflight:
    return make_papers(make_job(checked, day=day), lambda _: None).preflight


def found(preflight: Preflight, what: str) -> Check:
    return next(check for check in preflight.checks if check.what.startswith(what))


def test_a_full_site_file_is_ready(orchard: Checked) -> None:
    assert [check.what for check in flight(orchard).stops] == []


@pytest.mark.parametrize(
    ("line", "what", "says"),
    [
        ("  parcel: 041-2-07\n", "Parcel or tax number", "give 'parcel' under 'project'"),
        ("  address: 14 Orchard Row (invented)\n", "Site address", "give 'address'"),
        (
            "  owner: {name: The owner (invented), phone: 000 000 0000}\n",
            "Owner's name",
            "give 'owner' under 'project'",
        ),
        (
            "  - {document: survey-plat, title: Boundary survey, date: 2026-01-20}\n",
            "A copy of the survey",
            "list 'survey-plat' under 'on_file'",
        ),
        (
            "  - {document: erosion-plan, title: Erosion plan, date: 2026-02-10}\n",
            "Erosion plan (for: Grading permit)",
            "list 'erosion-plan' under 'on_file'",
        ),
    ],
)
def test_a_missing_must_item_stops(
    changed: Callable[..., Checked], line: str, what: str, says: str
) -> None:
    preflight = flight(changed((line, "")))
    check = found(preflight, what)
    assert check in preflight.stops
    assert says in check.says


WIDER_DRIVE = ("corner: [78, 0], size: [16, 50]", "corner: [78, 0], size: [20, 90]")


def test_a_rule_that_fails_stops(changed: Callable[..., Checked]) -> None:
    """A drive of 20 x 90 and the terrace in concrete, by hand.

    1,600 + 1,800 + 60 + 88 + 1,104 + 120 = 4,772 against 4,400: over by 372.
    """
    terrace = "title: Terrace, material: permeable-paving"
    checked = changed(WIDER_DRIVE, (terrace, "title: Terrace, material: concrete-slab"))
    check = found(flight(checked), "Rule: Impervious cover")
    assert check.is_must
    assert check.says == "not met: over by 372 sq ft"


def test_an_unknown_factor_stops_as_cannot_tell(changed: Callable[..., Checked]) -> None:
    """The terrace counts 552 when its rate is proven, else 1,104: 4,220 or 4,772, about 4,400."""
    proven = "size: [44, 36]}}, attributes: {infiltration_rate: 60 in/h}, section: terrace}"
    preflight = flight(changed(WIDER_DRIVE, (proven, "size: [44, 36]}}}")))
    check = found(preflight, "Rule: Impervious cover")
    assert check.state == "cannot tell"
    assert check in preflight.stops


def test_an_old_survey_stops(orchard: Checked) -> None:
    # Surveyed on 2026-01-20, good for one year.
    assert found(flight(orchard, date(2027, 1, 20)), "Survey not older").state == "there"
    late = flight(orchard, date(2027, 1, 21))
    assert found(late, "Survey not older") in late.stops
    assert found(flight(orchard, None), "Survey not older").state == "cannot tell"


def test_conditions_of_the_place(orchard: Checked) -> None:
    # The limit of disturbance is 60 x 76 = 4,560 sq ft: under 5,000.
    assert found(flight(orchard), "Drainage calculations").state == "not asked"


def test_without_a_limit_of_disturbance_nothing_is_guessed(
    changed: Callable[..., Checked],
) -> None:
    row = "  - {id: limit-of-disturbance, kind: other, title: Limit of disturbance, shape: "
    row += "{rectangle: {corner: [16, 28], size: [60, 76]}}}\n"
    preflight = flight(changed((row, "")))
    check = found(preflight, "Grading permit")
    assert check.state == "cannot tell"
    assert "limit-of-disturbance" in check.says
    assert check in preflight.stops


def test_thresholds_with_this_projects_figures(orchard_job: Job) -> None:
    # By hand: disturbed 60 x 76 = 4,560 against 2,500; added 3,220 - 2,880 = 340 against 500.
    grading, drainage = triggered(orchard_job)
    assert (grading.needed, grading.figure) == ("needed", "4,560 sq ft")
    assert (drainage.needed, drainage.figure) == ("not needed", "340 sq ft")
    assert "7.1" in grading.clause


def test_work_over_an_easement_is_noted(changed: Callable[..., Checked]) -> None:
    preflight = flight(
        changed(("corner: [18, 30], size: [4, 30]", "corner: [6, 30], size: [4, 30]"))
    )
    check = found(preflight, "Work over Sewer easement")
    assert check in preflight.notes
    assert "D Side walk" in check.says


def test_a_recorded_area_that_differs_is_noted(changed: Callable[..., Checked]) -> None:
    preflight = flight(changed(("recorded_area: 11,000 sq ft", "recorded_area: 11,040 sq ft")))
    check = found(preflight, "Drawn and recorded")
    assert check in preflight.notes
    assert check.says == "drawn 11,000 sq ft, recorded 11,040 sq ft"


def test_a_small_sheet_is_noted(orchard: Checked) -> None:
    job = make_job(orchard, day=DAY, sheet_size="letter")
    preflight = make_papers(job, lambda _: None).preflight
    assert any("no room for a clear space" in check.says for check in preflight.notes)


def sample(name: str) -> Checked:
    site = api.load_site(Path("samples") / name / "site.yaml")
    return api.check(site, api.load_ruleset_for(site))


def test_the_main_sample_has_everything_that_its_office_asks_for() -> None:
    ready = flight(sample("osier-after"), date(2026, 3, 2))
    assert [check.what for check in ready.checks if check.state not in {"there", "not asked"}] == []
    assert found(ready, "Soaking test report (for: Drainage permit)").state == "there"


def test_papers_of_an_owed_permit_are_asked_for_as_first_drawn() -> None:
    stops = {check.what for check in flight(sample("osier-before"), date(2026, 3, 2)).stops}
    assert "Soaking test report (for: Drainage permit)" in stops
    assert "Bonding plan (for: Work within 3 ft of the pool)" in stops
    assert "Request to change the standard section" in stops


@pytest.mark.parametrize(
    ("old", "new", "what", "says"),
    [
        (
            "owner: {name: The owner (invented), phone: 000 000 0000}",
            "owner: {name: The owner (invented)}",
            "Owner's name",
            "a bare name: give 'phone', 'email' or 'address' of 'owner'",
        ),
    ],
)
def test_what_is_there_in_name_alone_is_missing(
    changed: Callable[..., Checked], old: str, new: str, what: str, says: str
) -> None:
    check = found(flight(changed((old, new))), what)
    assert (check.state, check.says) == ("missing", says)


def test_an_unanswered_comment_stops(changed: Callable[..., Checked]) -> None:
    """The first has answer and sheet; the second neither."""
    comments = (
        "project:\n  comments: [{number: '1', comment: Cut, answer: Cut, sheet: S2}, "
        "{number: '2', comment: Letter}]\n"
    )
    preflight = flight(changed(("project:\n", comments)))
    assert found(preflight, "Answer to comment 1").state == "there"
    check = found(preflight, "Answer to comment 2")
    assert check in preflight.stops
    assert check.says == "give answer and sheet of it under 'comments'"


def test_flood_and_groundwater_are_asked_for(orchard: Checked) -> None:
    whats = {check.what for check in flight(orchard).checks}
    assert {"Flood zone of the lot, or that it lies in none", "Depth of groundwater"} <= whats


def test_every_usual_item_can_be_looked_for(orchard_job: Job) -> None:
    """Each line of the list of what offices usually ask has a title and a look of its own."""
    from checker.files.tables import table
    from checker.packet.item_titles import TITLES
    from checker.packet.items import look

    for row in table("usual-submission").rows:
        assert row["item"] in TITLES
        assert look(row["item"], orchard_job, ()).says
    counts = [row["of_64"] for row in table("usual-submission").rows]
    assert counts == sorted(counts, reverse=True)


def test_a_roof_without_a_leader_is_told(plain: Callable[[str], Checked]) -> None:
    """A house whose water nobody leads: missing; once it says where it runs, there."""
    text = """
format: site/1
title: Roof
invented: yes
place: larkmoor
units: ft
rest_of_lot: lawn
lot: {boundary: {points: [[0, 0], [80, 0], [80, 100], [0, 100]]}}
surfaces:
  - {id: house, material: roof, shape: {rectangle: {corner: [20, 30], size: [40, 30]}},
     attributes: {purpose: dwelling}}
"""
    from checker.packet.items import look

    bare = look("downspouts", make_job(plain(text)), ())
    assert not bare.is_there
    assert bare.says.endswith("'drains_to', of: A House")
    led = plain(text.replace("purpose: dwelling", "purpose: dwelling, drains_to: rest-of-lot"))
    assert look("downspouts", make_job(led), ()).is_there


WRONG = [
    (  # a request without a word of the neighbours
        "  neighbours: No water is led across a lot line that did not cross it before.\n",
        "",
        "Written description",
        "give neighbours under 'project': blanks in it",
    ),
    (  # a lot without anybody to keep the paving up
        "  owner: {name: The owner (invented), phone: 000 000 0000}\n",
        "",
        "Operation and upkeep plan",
        "say who keeps it up: 'upkeep_by' under 'project'",
    ),
    (  # a survey of nobody
        "survey: {by: A surveyor (invented), ",
        "survey: {",
        "Survey that the drawing is based on",
        "give 'by' under 'project: survey'",
    ),
    (  # a set whose revision has no line in its box
        "  revision: A\n",
        "  revision: C\n",
        "Revision box",
        "list revision C with its 'date' under 'revisions'",
    ),
]


@pytest.mark.parametrize(("old", "new", "what", "says"), WRONG)
def test_a_wrong_packet_is_not_there(
    changed: Callable[..., Checked], old: str, new: str, what: str, says: str
) -> None:
    from checker.packet.item_titles import TITLES
    from checker.packet.items import look

    job = make_job(changed((old, new)), day=DAY)
    item = next(name for name, title in TITLES.items() if title == what)
    seen = look(item, job, make_papers(job, lambda _: None).papers)
    assert (seen.is_there, seen.says) == (False, says)


PARTS = (FILES / "water-parts.yaml").read_text("utf-8")


@pytest.mark.parametrize(
    ("old", "new", "item", "says"),
    [
        (
            ", onto: own land, existing_flow: 0 gal/min",
            ", onto: street",
            "flow-before",
            "give 'existing_flow' of rear-edge",
        ),
        (
            "ground: {soil_group: B, measured_rate: 1 in/h, safety_factor: 2, ",
            "ground: {safety_factor: 2, ",
            "soil-information",
            "give 'measured_rate' or 'soil_group' under 'ground'",
        ),
        (
            "  design: {depth: 1.6 in, duration: 1 h, shape: uniform}\n",
            "",
            "design-storm",
            "give 'design' under 'storms' in the site file",
        ),
        (
            "measured_rate: 1 in/h, ",
            "",
            "drainage-calculations",
            "it could not be made: give 'measured_rate' under 'ground'",
        ),
        (
            "coping: 100.10",
            "",
            "overflow-statement",
            "to be filled in by the designer: Pool full and a cover on it",
        ),
        (
            (
                "    - {id: house-leader, kind: roof-leader, of: house, diameter: 4 in, "
                "to: house-pipe}\n"
            ),
            "",
            "downspouts",
            "draw a roof leader ('of'), or say 'drains_to', of: A House",
        ),
    ],
)
def test_a_wrong_drainage_is_not_there(
    changed: Callable[..., Checked], old: str, new: str, item: str, says: str
) -> None:
    from checker.packet.items import look

    assert old in PARTS
    job = make_job(changed(("project:\n", f"{PARTS.replace(old, new)}project:\n")), day=DAY)
    seen = look(item, job, make_papers(job, lambda _: None).papers)
    assert not seen.is_there
    assert says in seen.says
